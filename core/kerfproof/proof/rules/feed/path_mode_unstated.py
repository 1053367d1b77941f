"""The path mode is left to the control.

Finds: a program that cuts and never states G61 or G64, where blending would round a square corner by more than
0.1 mm.

Matters: a control that blends rounds corners by about 0.18 v2/a: 0.9 mm at 3000 mm/min and 500 mm/s2.

Bad::

    M5
    G17 G40 G49 G80 G21 G90
    G0 X10 Y10
    G1 X50 F2200

Good::

    Given: head
    G0 X10 Y10
    G1 X50 F2200

Do: state G64 with a tolerance, or G61.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

ROUNDING = 0.18
MOST = 0.1


def _judge(e: Evidence) -> Iterator[Hit]:
    rows = (e.travels & (e.trace.feed > 0)).nonzero()[0]
    if e.changes("path") or not len(rows):
        return
    row = int(rows[e.trace.feed[rows].argmax()])
    rounding = ROUNDING * (float(e.trace.feed[row]) / 60) ** 2 / e.machine.acceleration_mm_s2
    if rounding > MOST:
        message = say(
            "no path mode is stated: a square corner may be rounded by {rounding}", rounding=mm(rounding, ".2f")
        )
        yield at_row(e, row, message, "state G64 P or G61 at the top")


RULE = Rule("path-mode-unstated", Severity.WARNING, _judge)
