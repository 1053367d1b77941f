"""The kerf reaches into metal to keep.

Finds: torch-on motion whose kerf lies inside a drawn part by more than 20 um (an error) or 5 um (a warning).

Matters: the part comes out too small there.

Bad::

    Drawing: rect 20 20 120 80
    Given: burning at 10 50
    G1 X19.25 F2200
    G1 Y80.55
    G1 X120.75
    G1 Y19.25
    G1 X19.25
    G1 Y51
    M5

Good::

    Drawing: rect 20 20 120 80
    Given: burning at 10 50
    G1 X19.25 F2200
    G1 Y80.75
    G1 X120.75
    G1 Y19.25
    G1 X19.25
    G1 Y51
    M5

Do: move the path to the drawn edge, or check the kerf it was made for.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("gouge", Severity.ERROR, __doc__)
