"""A part or slug does not come free.

Finds: a drawn contour that is cut in places while no closed cut, alone or together with others, lets the piece go.

Matters: the piece hangs on and must be sawn out, or tears.

Bad::

    Program: outline
    G1 Y51 -> G1 Y40

Good::

    Program: outline

Do: close the cut, or expect to finish it by hand.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("not-free", Severity.ERROR, __doc__)
