"""A cut that is not drawn.

Finds: a closed cut inside metal to keep that no contour asks for, or a piece cut in scrap that is nearly a drawn part
but not as drawn (errors); a drawn part that is cut once more than it is drawn, or another closed cut in scrap
(warnings); each by its size and place. An open cut through scrap that follows no drawn edge and no slit (a warning, by
its length and place).

Matters: the part gets a hole that nobody wanted, or the plate goes into parts that nobody ordered.

Bad::

    Program: hole and outline
    Drawing: rect 20 20 120 80

Good::

    Program: outline

Do: take it out, or add it to the drawing.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("surplus-cut", Severity.ERROR, __doc__)
