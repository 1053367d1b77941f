"""Travel at cutting height with the torch off.

Finds: torch-off travel of more than 6 mm lower than 2 mm over the plate; on a homed machine also a first travel
before the torch was raised in machine coordinates (warning).

Matters: the tip catches dross, a bowed sheet or a tipped piece.

Bad::

    Given: burning
    G1 X30 F2200
    M5
    G4 P0.3
    G0 X80

Good::

    Given: burning
    G1 X30 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X80

Do: raise to travel height after every cut.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.motion.trace import Step
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.limits import CONTACT_GAP
from kerfproof.verify.rule import Hit, Rule, at_row

LOW, SHORT = 2.0, 6.0
PRESSED = 1.0
"""So far at most may the tip be moved aside while it is pressed on the plate, mm."""
IN_MACHINE_FRAME = ("G53", "G28", "G30")


def _judge(e: Evidence) -> Iterator[Hit]:
    least = np.minimum(e.height[:, 0], e.height[:, 1])
    rows = np.flatnonzero(e.moves & e.travels & ~e.trace.torch & e.known & (least < LOW))
    # What lies between two raises is one way, in however many steps it is gone.
    raised = np.concatenate([[0], np.cumsum((e.height[:, 1] >= LOW) | e.trace.torch)])[rows]
    for stretch in np.split(rows, np.flatnonzero(np.diff(raised)) + 1) if len(rows) else []:
        way, pressed = e.length[stretch], stretch[least[stretch] < -CONTACT_GAP]
        if way.sum() > SHORT or e.length[pressed].sum() > PRESSED:
            row = int(stretch[least[stretch].argmin()])
            low = float(least[row])
            where = f"{low:.1f} mm over the plate" if low >= 0 else f"with the tip pressed {-low:.1f} mm into its float"
            yield at_row(e, row, f"{way.sum():.1f} mm of travel {where}, torch off", "raise before travelling")
    yield from _first_travel(e)


def _first_travel(e: Evidence) -> Iterator[Hit]:
    """Tell a first travel at whatever height the last job left the torch, where the program could raise it."""
    if not (e.touches and e.machine.z_homed and e.control.machine_frame_word):
        return
    rows = np.flatnonzero(e.travels & ~e.known)
    raised = [row for row in e.rows(Step.RAPID, Step.FEED).tolist() if e.trace.text[row].startswith(IN_MACHINE_FRAME)]
    if len(rows) and (not raised or raised[0] > rows[0]):
        message = "the first travel runs at whatever height the torch was left"
        yield at_row(e, int(rows[0]), message, f"raise by {e.control.machine_frame_word} first", Severity.WARNING)


RULE = Rule("travel-too-low", Severity.ERROR, _judge)
