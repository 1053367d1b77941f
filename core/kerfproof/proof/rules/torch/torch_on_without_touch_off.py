"""The torch lights where the plate was not found first.

Finds: a light-up on a machine with touch-off that has no tripped search at its place, or within 15 mm (or the
machine's own distance for leaving touch-off out). One that was already the touch-off of another cut is a warning where
the machine leaves none out.

Matters: plate is never flat. A contact torch that does not touch does not light and the whole contour is run cold;
one pressed too hard loses steps.

Bad::

    Program: line
    G0 X80 Y60
    G0 Z2
    G1 Z-1 F1000
    M3
    G4 P0.4

Good::

    Given: burning
    G1 X30 F2200
    M5

Do: touch off at every pierce.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import SHIFTED_TOUCH
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches:
        return
    reach = max(e.machine.retouch_distance, SHIFTED_TOUCH)
    last = e.searches_before(e.lights)
    places = np.array([e.searches[k].probed.rest[:2] if k >= 0 else (0.0, 0.0) for k in last.tolist()]).reshape(-1, 2)
    tripped = np.array([k >= 0 and e.searches[k].probed.tripped for k in last.tolist()], dtype=np.bool_)
    apart = np.hypot(*(places - e.trace.end[e.lights, :2]).T)
    searched = np.append(e.search_rows, -1)[last]
    shared = tripped & (apart <= reach) & (apart > e.machine.retouch_distance)
    shared[1:] &= searched[1:] < e.lights[:-1]
    shared[:1] = False
    for k in np.flatnonzero(shared).tolist():
        message = say("the torch lights on the touch-off of the cut before, {away} away", away=mm(apart[k], ".1f"))
        yield at_row(e, int(e.lights[k]), message, "touch off here too", Severity.WARNING)
    for k in np.flatnonzero(~tripped | (apart > reach)).tolist():
        row, away = int(e.lights[k]), float(apart[k])
        if last[k] < 0:
            yield at_row(e, row, "the torch lights and the plate was never found", "touch off first")
        elif not tripped[k]:
            yield at_row(e, row, "the torch lights after a search that found nothing", "guard the touch-off")
        else:
            yield at_row(
                e,
                row,
                say("the torch lights {away} from the last touch-off", away=mm(away, ".1f")),
                "touch off here too",
            )


RULE = Rule("torch-on-without-touch-off", Severity.ERROR, _judge)
