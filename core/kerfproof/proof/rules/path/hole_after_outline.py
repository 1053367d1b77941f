"""A cut in a piece that is loose already.

Finds: a light-up inside a piece that an earlier closed cut has freed.

Matters: the piece has dropped or tipped; the cut lands anywhere, or the torch hits it.

Bad::

    Program: loose outline
    G0 X70 Y50
    M3
    G4 P0.4
    M5

Good::

    Program: loose hole
    G0 X10 Y50
    M3
    G4 P0.4
    M5

Do: cut holes, slits and inner parts before what holds them.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import of_line, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.runs:
        return
    freed = e.stock.freed_by(e.starts, np.arange(len(e.runs)))
    for run in (e.runs[number] for number in np.flatnonzero(freed >= 0).tolist()):
        before = e.runs[int(e.stock.loose_run[freed[run.number]])]
        message = say("this cut lies in a piece that the cut {of} has freed", of=of_line(before.light_line))
        yield Hit(message, "cut inner features first", run.light_line, run.start)


RULE = Rule("hole-after-outline", Severity.ERROR, _judge)
