"""From a stop on, the proof takes it that another sheet lies on the table.

Finds: each stop (M0) behind which parts are cut whole once more, or parts that can't share the sheet with what was cut
before. No comment is needed for that, and none counts for it. What is cut behind the stop is judged as cut of a full
sheet.

Matters: who presses start without changing the sheet there burns a second pass into parts that are cut already.

Bad::

    Given: burning at 10 50
    G1 Y80 F2200
    G1 X130
    G1 Y20
    G1 X10
    G1 Y50
    M5
    G4 P0.3
    G0 Z25
    M0
    G0 X10 Y50
    M3
    G4 P0.4
    G1 Y80 F2200
    G1 X130
    G1 Y20
    G1 X10
    G1 Y50
    M5

Good::

    Given: burning at 10 50
    G1 Y80 F2200
    G1 X130
    G1 Y20
    G1 X10
    G1 Y50
    M5

Do: change the sheet at that stop, every time, or write a program for each sheet.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    for row in e.stock.changes:
        what = f"from line {e.line(row)} on the proof takes it that another sheet lies there"
        yield at_row(e, row, what, "change it at that stop")


RULE = Rule("new-sheet-assumed", Severity.WARNING, _judge)
