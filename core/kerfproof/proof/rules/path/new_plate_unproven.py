"""A stop asks for another sheet, but the cuts do not bear it out.

Finds: a stop whose comment asks for another sheet, where what is cut behind it lies in a piece that was cut before or
round it, with nothing around it that is cut once more, or where nothing at all is cut once more. All cuts are then
judged as cuts of one sheet: what lies there is told by the cuts alone, never by a comment.

Matters: who changes the sheet there gets holes on one and the outline on another; who does not starts in open kerfs.

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
    (next sheet)
    M0
    G0 X70 Y50
    M3
    G4 P0.4
    G1 X75 F2200
    G3 X65 Y50 I-5 J0
    G3 X75 Y50 I5 J0
    M5

Good::

    Given: burning at 10 50
    G1 Y80 F2200
    G1 X130
    G1 Y20
    G1 X10
    G1 Y50
    M5
    G4 P0.3
    G0 Z25
    (next sheet)
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

Do: cut each part whole on one sheet, stop with M0 between sheets, and write a program for each sheet that is another.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import of_line, say


def _judge(e: Evidence) -> Iterator[Hit]:
    for doubt in e.stock.unheard:
        if doubt.run >= 0:
            run = e.runs[doubt.run]
            what = say(
                "a stop asks for another sheet, but the cut {of} belongs to a piece cut before",
                of=of_line(run.light_line),
            )
            advice = "cut each part whole on one sheet, or take the words out"
            yield at_row(e, doubt.row, what, advice, Severity.ERROR)
        else:
            once = "a stop asks for another sheet, but nothing is cut once more behind it: judged as one sheet"
            yield at_row(e, doubt.row, once, "write a program for each sheet, or take the words out", Severity.WARNING)


RULE = Rule("new-plate-unproven", Severity.ERROR, _judge)
