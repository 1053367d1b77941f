"""A pierce in metal to keep.

Finds: a light-up inside a drawn part, unless the run cuts a drawn slit.

Matters: the crater is in the part.

Bad::

    Drawing: rect 20 20 120 80
    Given: burning at 30 50
    G1 X19.25 F2200
    M5

Good::

    Program: bad
    Given: burning at 10 50

Do: pierce in scrap.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.kept is None or not e.runs:
        return
    for number in np.flatnonzero(e.kept.holds(e.starts)).tolist():
        run = e.runs[number]
        first, stop = int(e.path.first[run.number]), int(e.path.first[run.number + 1])
        slit = e.swept is not None and stop > first and bool(e.swept.on_slit[first])
        if not slit:
            yield Hit("the torch pierces metal to keep", "pierce in scrap", run.light_line, run.start)


RULE = Rule("pierce-on-kept-metal", Severity.ERROR, _judge, by_drawing=True)
