"""A drawn feature is cut with another size, or beside its place.

Finds: a contour that no cut follows all round, where a closed cut about its middle leaves a feature of another size or
beside its place; both sizes are told.

Matters: a hole of another size is no hole for its bolt, and metal that is gone does not come back.

Bad::

    Drawing: hole 40 40 20; rect 20 20 120 80
    Given: burning at 40 40
    G1 X51.25 F2200
    G3 X28.75 Y40 I-11.25 J0
    G3 X51.25 Y40 I11.25 J0
    G3 X51.19 Y41 I-11.25 J0
    M5
    G4 P0.3
    G0 Z25

Good::

    Program: bad
    Drawing: hole 40 40 20
    G1 X51.25 F2200 -> G1 X49.25 F1320
    G3 X28.75 Y40 I-11.25 J0 -> G3 X30.75 Y40 I-9.25 J0
    G3 X51.25 Y40 I11.25 J0 -> G3 X49.25 Y40 I9.25 J0
    G3 X51.19 Y41 I-11.25 J0 -> G3 X49.19 Y41 I-9.25 J0

Do: cut it as drawn, or prove against the drawing that the program was made from.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("feature-differs", Severity.ERROR, __doc__)
