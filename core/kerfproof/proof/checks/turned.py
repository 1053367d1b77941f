"""The whole cut is turned.

Finds: a cut that fits the drawing after a quarter or half turn.

Matters: the part may be right, but its place and the sheet are not.

Bad::

    Program: hole and outline
    Given: burning at 100 60
    G1 X49.25 F1320 -> G1 X109.25 F1320
    G3 X30.75 Y40 I-9.25 J0 -> G3 X90.75 Y60 I-9.25 J0
    G3 X49.25 Y40 I9.25 J0 -> G3 X109.25 Y60 I9.25 J0
    G3 X49.19 Y41 I-9.25 J0 -> G3 X109.19 Y61 I-9.25 J0

Good::

    Program: hole and outline

Do: check how the drawing lies, or prove it with the turn it was written with.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("turned", Severity.ERROR, __doc__)
