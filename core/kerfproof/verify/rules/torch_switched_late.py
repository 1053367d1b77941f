"""The torch is put out by a word that waits for a motion, and nothing moves before the program stops.

Finds: a torch that M63 or M67 puts out where no motion stands between that word and a stop or the end (an error); and
one switched by such a word where the line of the machine file acts at once (a warning).

Matters: the torch burns on beside the operator. That these words wait for the next motion is common practice, from
memory.

Bad::

    Machine: contact-output
    Given: touched
    M64 P0
    G4 P0.4
    G1 Z1.5 F900
    G1 X30 F2200
    M63 P0
    G4 P0.3
    M0

Good::

    Machine: contact-output
    Given: touched
    M64 P0
    G4 P0.4
    G1 Z1.5 F900
    G1 X30 F2200
    M65 P0
    G4 P0.3
    M0

Do: put the torch out by M65 or M68, which act at once.
"""

import re
from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.motion.trace import Step
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.lines import words_of
from kerfproof.verify.rule import Hit, Rule, at_row

_LATE = re.compile(r"M6(2|3|7)(?!\d)")


def _judge(e: Evidence) -> Iterator[Hit]:
    yield from _other_word(e)
    rows = e.rows(Step.TORCH_OFF)
    late = {text: bool(_LATE.search(words_of(text))) for text in {e.trace.text[row] for row in rows.tolist()}}
    rows = rows[[late[e.trace.text[row]] for row in rows.tolist()]]
    stops = e.rows(Step.STOP, Step.OPTIONAL_STOP, Step.END)
    for row in rows.tolist():
        moved, stopped = (int(np.searchsorted(where, row, side="right")) for where in (e.moving, stops))
        next_move = e.moving[moved] if moved < len(e.moving) else len(e.trace)
        next_stop = stops[stopped] if stopped < len(stops) else len(e.trace)
        word = e.trace.text[row]
        if e.trace.torch[row] and next_stop <= next_move:
            message = f"{word} puts the torch out with the next motion, but the program stops before that: it burns on"
            yield at_row(e, row, message, "put it out by a word that acts at once")


def _other_word(e: Evidence) -> Iterator[Hit]:
    """Tell a torch that is switched late where the line of the machine file acts at once."""
    own = {Step.TORCH_ON: e.machine.torch_on, Step.TORCH_OFF: e.machine.torch_off}
    for row in e.rows(Step.TORCH_ON, Step.TORCH_OFF).tolist():
        text, line = e.trace.text[row], own[Step(int(e.trace.kind[row]))]
        if text != line and _LATE.search(words_of(text)) and not _LATE.search(words_of(line)):
            message = f"{text} switches the torch with the next motion, the machine file's {line} at once"
            yield at_row(e, row, message, f"write {line}", Severity.WARNING)
            return


RULE = Rule("torch-switched-late", Severity.ERROR, _judge)
