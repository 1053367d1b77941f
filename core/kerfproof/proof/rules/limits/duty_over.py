"""The torch is on longer than its duty rating allows.

Finds: ten minutes with more torch-on time than the rating of the supply at this current, or one cut longer than that.
The rating falls with the square of the current. Where nobody knows at which air temperature it holds, the last fifth
below it is told, too. Rest is what the program itself waits. Where it keeps within the rating only because the
operator rests at stops as long as their comments say, that is told: a stop lets the program go on at once.

Matters: the supply switches off in the middle of a cut, or the torch is cooked.

Bad::

    Program: long line
    G1 X60 F2200 -> G1 X110 F10
    M2

Good::

    Program: bad
    G1 X110 F10 -> G1 X110 F2200

Do: take a chart row with less current, or have rests written between cuts (the job's `rests`, best as dwells).
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.load import (
    WINDOW,
    allowed_seconds,
    burns_of,
    rest_seconds,
    resting_words,
    stated_rests,
    sure_seconds,
    worst_windows,
)
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import Phrase, option, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.runs or e.process is None:
        return
    amps = e.process.amps
    most = allowed_seconds(e.machine, amps)
    if most >= WINDOW:
        return
    sure = sure_seconds(e.machine, amps)
    burns = burns_of(e.trace, e.speeds.seconds)
    if not (worst_windows(burns) > sure + 1e-6).any():
        return
    rests = stated_rests(e.trace)
    burns = burns_of(e.trace, rest_seconds(e.trace, e.speeds.seconds))
    worst = worst_windows(burns)
    over = np.flatnonzero(worst > sure + 1e-6)
    if not len(over):
        advice: Phrase = say(
            "wait that long with the supply on, or have the program wait by itself ({rests} dwell)",
            rests=option("rests"),
        )
        yield at_row(e, rests[0][0], f"the torch keeps within its rating {resting_words(rests)}", advice)
        return
    k = int(over[np.argmax(np.round(worst[over], 6))])
    on = f"{worst[k] / 60:.1f} minutes of torch in ten"
    if burns.seconds.max() > most:
        k = int(np.argmax(burns.seconds))
        on = f"one cut of {burns.seconds[k] / 60:.1f} minutes"
    row = int(burns.row[k])
    message = f"{on}, the rating allows {most / 60:.1f} at {amps:g} A"
    if worst.max() > most:
        advice = "less current" if on.startswith("one") else "less current, or rests between cuts"
        yield at_row(e, row, message, advice)
        return
    message += f", and {sure / 60:.1f} if it was rated in cool air"
    yield at_row(e, row, message, "look up the temperature of the rating, and tell it in torch.duty_ambient_c")


RULE = Rule("duty-over", Severity.WARNING, _judge)
