"""The whole cut is shifted.

Finds: a cut that fits the drawing when it is moved.

Matters: it runs off the plate, or through what was cut before.

Bad::

    Program: hole and outline
    Given: burning at 45 40
    G1 X49.25 F1320 -> G1 X54.25 F1320
    G3 X30.75 Y40 I-9.25 J0 -> G3 X35.75 Y40 I-9.25 J0
    G3 X49.25 Y40 I9.25 J0 -> G3 X54.25 Y40 I9.25 J0
    G3 X49.19 Y41 I-9.25 J0 -> G3 X54.19 Y41 I-9.25 J0
    G0 X10 Y50 -> G0 X15 Y50
    G1 X19.25 F2200 -> G1 X24.25 F2200
    G1 X120.75 -> G1 X125.75
    G1 X19.25 -> G1 X24.25

Good::

    Program: hole and outline

Do: check zero and the place of the drawing.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("shifted", Severity.ERROR, __doc__)
