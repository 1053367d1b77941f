"""The whole cut is mirrored.

Finds: a cut that fits the drawing only as its mirror image.

Matters: a part of the wrong hand is scrap.

Bad::

    Program: hole and outline
    Given: burning at 100 40
    G1 X49.25 F1320 -> G1 X109.25 F1320
    G3 X30.75 Y40 I-9.25 J0 -> G3 X90.75 Y40 I-9.25 J0
    G3 X49.25 Y40 I9.25 J0 -> G3 X109.25 Y40 I9.25 J0
    G3 X49.19 Y41 I-9.25 J0 -> G3 X109.19 Y41 I-9.25 J0

Good::

    Program: hole and outline

Do: check hand and axis directions, then write the program again.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("mirrored", Severity.ERROR, __doc__)
