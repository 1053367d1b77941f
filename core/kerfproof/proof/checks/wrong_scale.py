"""The whole cut is 25.4 times too large or too small.

Finds: a cut that fits the drawing after the factor of an inch.

Matters: millimetres and inches are mixed up.

Bad::

    Drawing: rect 20 20 120 80; hole 40 40 20
    Given: burning at 1016 1016
    G1 X1250.95 F1320
    G3 X781.05 Y1016 I-234.95 J0
    G3 X1250.95 Y1016 I234.95 J0
    G3 X1250.89 Y1017 I-234.95 J0
    Then: burning at 254 1270
    G1 X488.95 F2200
    G1 Y2051.05
    G1 X3067.05
    G1 Y488.95
    G1 X488.95
    G1 Y1271
    M5

Good::

    Program: hole and outline

Do: check the unit of the drawing and of the program.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("wrong-scale", Severity.ERROR, __doc__)
