"""A drawn contour is not cut.

Finds: an outline or hole that no torch path follows.

Matters: the part is not as drawn.

Bad::

    Program: outline
    Drawing: rect 20 20 120 80; hole 40 40 20

Good::

    Program: hole and outline

Do: cut it, or leave it out of the job on purpose.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("feature-not-cut", Severity.ERROR, __doc__)
