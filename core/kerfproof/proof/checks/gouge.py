"""The kerf reaches into metal to keep.

Finds: torch-on motion whose kerf lies inside a drawn part by more than 20 um (an error) or 5 um (a warning).

Matters: the part comes out too small there.

Bad::

    Program: outline
    G1 Y80.75 -> G1 Y80.55

Good::

    Program: outline

Do: move the path to the drawn edge, or check the kerf it was made for.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("gouge", Severity.ERROR, __doc__)
