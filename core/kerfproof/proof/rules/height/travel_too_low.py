"""Travel at cutting height with the torch off.

Finds: torch-off travel of more than 6 mm lower than 2 mm over the plate (warning: of more than 0.5 mm once the arc
had time to go out); where the plate is found anew behind it, also one lower than the plate band of the machine file; on
a homed machine a first travel before the torch was raised in machine coordinates (warning).

Matters: the tip catches dross, a bowed sheet or a tipped piece, or a plate that lies as much higher as it may.

Bad::

    Program: good
    G0 Z25 ->

Good::

    Program: line
    G0 X80

Do: raise to travel height after every cut.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import CONTACT_GAP
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

LOW, SHORT, SLACK = 2.0, 6.0, 1e-3
PRESSED = 1.0
"""So far at most may the tip be moved aside while it is pressed on the plate, mm."""
NUDGE = 0.5
"""No travel yet: what rounding and settling leave, mm."""
IN_MACHINE_FRAME = ("G53", "G28", "G30")


def _judge(e: Evidence) -> Iterator[Hit]:
    least = np.minimum(e.height[:, 0], e.height[:, 1])
    travel = e.moves & e.travels & ~e.trace.torch & e.known
    coasts = _coasts(e)
    for stretch in _stretches(e, least, np.flatnonzero(travel & (least < LOW)), LOW):
        way, pressed = e.length[stretch], stretch[least[stretch] < -CONTACT_GAP]
        long = way.sum() > SHORT or e.length[pressed].sum() > PRESSED
        if long or way[~coasts[stretch]].sum() > NUDGE:
            row = int(stretch[least[stretch].argmin()])
            low = float(least[row])
            where = (
                say("{low} over the plate", low=mm(low, ".1f"))
                if low >= 0
                else say("with the tip pressed {low} into its float", low=mm(-low, ".1f"))
            )
            severity = None if long else Severity.WARNING
            yield at_row(
                e,
                row,
                say("{way} of travel {where}, torch off", way=mm(way.sum(), ".1f"), where=where),
                "raise before travelling",
                severity,
            )
    yield from _below_band(e, least, travel)
    yield from _first_travel(e)


def _stretches(e: Evidence, least: Floats, rows: Ints, height: float) -> list[Ints]:
    """Return rows below a height, split where they are apart: what lies between two raises is one way."""
    raised = np.concatenate([[0], np.cumsum((e.height[:, 1] >= height) | e.trace.torch)])[rows]
    return np.split(rows, np.flatnonzero(np.diff(raised)) + 1) if len(rows) else []


def _coasts(e: Evidence) -> Bools:
    """Return in which rows the torch runs on from its cut while the arc dies, with no wait since the off word (n,)."""
    rows = np.arange(len(e.trace))
    if not len(e.last_rows):
        return np.zeros(len(rows), dtype=np.bool_)
    run = np.searchsorted(e.last_rows, rows) - 1
    waited = e.dwelt[rows] - e.dwelt[e.last_rows[np.maximum(run, 0)]]
    return np.asarray((run >= 0) & (waited < 1e-9))


def _below_band(e: Evidence, least: Floats, travel: Bools) -> Iterator[Hit]:
    """Tell travel that clears the plate as it was found last, but not one that lies a whole band higher."""
    band = e.machine.plate_height_band
    if not e.touches or band <= LOW:
        return
    # Where the torch lights next without a search it is over the plate that was found, aside from a spoiled spot.
    ends = np.append(e.lights, len(e.trace))[np.searchsorted(e.lights, np.arange(len(e.trace)))]
    searched = np.append(e.search_rows, len(e.trace))[np.searchsorted(e.search_rows, np.arange(len(e.trace)))]
    rows = np.flatnonzero(travel & (least < band - SLACK) & (searched <= ends))
    for stretch in _stretches(e, least, rows, band - SLACK):
        row, way = int(stretch[least[stretch].argmin()]), float(e.length[stretch].sum())
        if way <= SHORT or least[row] < LOW:
            continue
        message = say(
            "{way} of travel {least} over the plate that was found last: the next may lie",
            way=mm(way, ".1f"),
            least=mm(least[row], ".1f"),
        )
        yield at_row(
            e,
            row,
            say("{message} {band} higher", message=message, band=mm(band, "g")),
            "raise by more than the plate band before travelling",
        )


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
