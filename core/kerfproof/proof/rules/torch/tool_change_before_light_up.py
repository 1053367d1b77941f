"""Tools are changed where the torch may be carried off.

Finds: a tool change (M6) between a light-up and what stands before it: its search, or on a machine without touch-off
its way to the pierce. After the first cut it is a warning.

Matters: a tool change may move the axes (NISTIR 6556, 3.6.3) and a control may add a tool length to Z. The torch then
lights at another place or height than was touched, or goes across pieces that have tipped.

Bad::

    Given: touched
    T2 M6
    M3
    G4 P0.4
    G1 Z3 F900

Good::

    Program: bad
    T2 M6 ->

Do: change tools before the way to the pierce, or take the word out.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    tools = np.array([row for row in e.rows(Step.OUTPUT).tolist() if e.trace.text[row] == "M6"], dtype=np.int64)
    if not len(tools):
        return
    found = e.search_rows if e.touches else np.flatnonzero(e.travels)
    for row in e.lights.tolist():
        before = np.searchsorted(found, row)
        since = int(found[before - 1]) if before else -1
        between = tools[(tools > since) & (tools < row)]
        if len(between) and before:
            what = "touch-off" if e.touches else "way to the pierce"
            message = f"M6 between the {what} and the light-up may move the axes"
            yield at_row(e, int(between[0]), message, "change tools before the way to the pierce")
            return
    late = tools[tools > e.lights[0]] if len(e.lights) else tools[:0]
    if len(late):
        message = "M6 after the first cut may move the axes across pieces that have tipped"
        yield at_row(e, int(late[0]), message, "take the word out", Severity.WARNING)


RULE = Rule("tool-change-before-light-up", Severity.ERROR, _judge)
