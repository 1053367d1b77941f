"""A contour is cut on the side to keep.

Finds: a closed cut that follows a drawn contour inside the metal instead of in the scrap.

Matters: the part comes out a whole kerf wrong all round.

Bad::

    Program: outline
    G1 X19.25 F2200 -> G1 X20.75 F2200
    G1 Y80.75 -> G1 Y79.25
    G1 X120.75 -> G1 X119.25
    G1 Y19.25 -> G1 Y20.75
    G1 X19.25 -> G1 X20.75

Good::

    Program: outline

Do: put the path on the scrap side.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("wrong-side", Severity.ERROR, __doc__)
