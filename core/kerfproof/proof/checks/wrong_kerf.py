"""The path was made for another kerf.

Finds: a cut that lies right everywhere, but off by the same amount: half the difference of two kerfs.

Matters: every outline comes out too large or too small, every hole the other way.

Bad::

    Program: outline
    G1 X19.25 F2200 -> G1 X19.05 F2200
    G1 Y80.75 -> G1 Y80.95
    G1 X120.75 -> G1 X120.95
    G1 Y19.25 -> G1 Y19.05
    G1 X19.25 -> G1 X19.05

Good::

    Program: outline

Do: if your tip cuts as wide as the path was made for, give that kerf; if not, write the program again for yours.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("wrong-kerf", Severity.ERROR, __doc__)
