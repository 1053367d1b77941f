"""A tour, frame or dry run is not of what is drawn.

Finds: a tour that stops at no pierce of a drawn feature, a frame whose box does not hold what is cut, a dry run that
moves along nothing (errors); a frame that reaches far beyond the drawing (a warning). The path of a dry run is compared
as cuts are, and told by the same names.

Matters: clamps and the plate are looked at in places where nothing is cut, and not where the torch will go.

Bad::

    Mode: tour
    Drawing: rect 20 20 120 80; hole 70 50 10
    Given: head
    G0 X10 Y50
    M0

Good::

    Mode: tour
    Drawing: rect 20 20 120 80; hole 70 50 10
    Given: head
    G0 X70 Y50
    M0
    G0 X10 Y50
    M0

Do: write it again from the drawing.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("raised-path-differs", Severity.ERROR, __doc__)
