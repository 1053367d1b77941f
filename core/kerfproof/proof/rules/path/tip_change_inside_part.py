"""The tip is changed between a part's holes and its outline.

Finds: a stop for a new tip (a tool word, or a stop whose comment speaks of a new tip) after a hole and before the
outline of the same part.

Matters: a new tip cuts another kerf, and the plate may have been moved: holes and outline no longer agree.

Bad::

    Program: loose hole
    (change the tip)
    M0
    G0 X10 Y50
    M3
    G4 P0.4
    G1 X20 F2200
    G1 Y80
    G1 X120
    G1 Y20
    G1 X20
    G1 Y50
    M5

Good::

    Program: bad
    (change the tip) ->
    M0 ->
    (change the tip)
    M0

Do: change tips between parts.
"""

import re
from bisect import bisect_left
from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Bundle
from kerfproof.geom.region import nesting
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

_NEW = r"(NEW|CHANGE|REPLACE|SWAP|FRESH)"
_TIP = r"(TIP|NOZZLE|ELECTRODE|CONSUMABLE)"
_CHANGE = re.compile(rf"\b{_NEW}\b.*\b{_TIP}|\b{_TIP}S?\b.*\b{_NEW}", re.IGNORECASE)


def tip_changes(e: Evidence) -> list[int]:
    """Return the rows at which the tip is changed."""
    comments = e.trace.comments  # in order of their lines
    stops = []
    for row in e.rows(Step.STOP).tolist():
        line = e.line(row)
        near = comments[bisect_left(comments, (line - 2, "")) : bisect_left(comments, (line + 1, ""))]
        if any(_CHANGE.search(text) for _, text in near):
            stops.append(row)
    tools = [r for r in e.rows(Step.OUTPUT).tolist() if e.trace.text[r] == "M6"]
    return sorted(stops + tools)


def _judge(e: Evidence) -> Iterator[Hit]:
    changes = tip_changes(e)
    if not changes or not len(e.path.rings):
        return
    sheet = e.stock.plate_of[e.path.ring_run]
    split: set[int] = set()
    for number in np.unique(sheet).tolist():
        rings = np.flatnonzero(sheet == number)
        depth, parent = nesting(Bundle.of([e.path.rings.path(k) for k in rings.tolist()]))
        holes, run = np.flatnonzero(depth % 2 == 1), e.path.ring_run[rings]
        for row in changes:
            done = sum(r.last_row < row for r in e.runs)  # runs finished before
            if ((run[holes] < done) & (run[parent[holes]] >= done)).any():
                split.add(row)
    for row in sorted(split):
        yield at_row(e, row, "the tip is changed between a part's holes and its outline", "change it between parts")


RULE = Rule("tip-change-inside-part", Severity.WARNING, _judge)
