"""Units are not stated, or change midway.

Finds: motion before G20 or G21 (warning), and a second, different unit word (error).

Matters: the same numbers are 25.4 times too large or too small.

Bad::

    M5
    G17 G90
    G0 X10 Y10

Good::

    M5
    G17 G21 G90
    G0 X10 Y10

Do: state the unit once at the top, the same in every block.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    units = e.changes("units")
    if len(e.moving):
        row = int(e.moving[0])
        if not units or units[0].line > e.line(row):
            message = "motion before any unit is stated: the control's own is assumed"
            yield at_row(e, row, message, "write G20 or G21 at the top", Severity.WARNING)
    for change in units:
        if change.word != units[0].word:
            yield Hit(f"the unit changes from {units[0].word} to {change.word}", "keep one unit", change.line)


RULE = Rule("units-missing-or-changed", Severity.ERROR, _judge)
