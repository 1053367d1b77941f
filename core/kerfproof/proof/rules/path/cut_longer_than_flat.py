"""A cut longer than the plate stays flat.

Finds: on a table without height control, a cut of more than 300 times the thickness after one touch-off (never less
than 300 mm, never more than 2000; common practice, no source).

Matters: the plate bows with the heat while the torch keeps the height of the pierce.

Bad::

    Given: burning at 10 50
    G1 X510 F2200
    G1 Y550
    M5

Good::

    Given: burning at 10 50
    G1 X110 F2200
    G1 Y150
    M5

Do: watch the height on the long stretch, or split the cut at a corner.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say

PER_THICKNESS, LEAST, MOST = 300.0, 300.0, 2000.0


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None or e.machine.height_control_on:
        return
    limit = min(max(PER_THICKNESS * e.process.thickness, LEAST), MOST)
    for run in e.runs:
        if run.length > limit:
            message = say(
                "a cut of {length} after one touch-off, the plate stays flat for about {limit}",
                length=mm(run.length, ".1f"),
                limit=mm(limit),
            )
            yield at_row(e, run.first_row, message, "watch the height")


RULE = Rule("cut-longer-than-flat", Severity.NOTE, _judge)
