"""A part or slug does not come free.

Finds: a drawn contour that is cut in places while no closed cut, alone or together with others, lets the piece go.

Matters: the piece hangs on and must be sawn out, or tears.

Bad::

    Drawing: rect 20 20 120 80
    Given: burning at 10 50
    G1 X19.25 F2200
    G1 Y80.75
    G1 X120.75
    G1 Y19.25
    G1 X19.25
    G1 Y40
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

Do: close the cut, or expect to finish it by hand.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("not-free", Severity.ERROR, __doc__)
