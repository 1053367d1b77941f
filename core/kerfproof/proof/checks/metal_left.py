"""Metal is left on the drawn edge.

Finds: stretches of a drawn edge that the kerf does not reach, by more than 20 um (an error) or 5 um (a warning).
Where a round kerf can come no nearer in an inside corner, nothing is told.

Matters: the part comes out too large there, or hangs on.

Bad::

    Program: outline
    G1 Y80.75 -> G1 Y80.95

Good::

    Program: outline

Do: move the path to the drawn edge, or check the kerf it was made for.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("metal-left", Severity.ERROR, __doc__)
