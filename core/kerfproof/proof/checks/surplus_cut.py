"""A cut that is not drawn.

Finds: a closed cut inside metal to keep that no contour asks for, or a piece cut in scrap that is nearly a drawn part
but not as drawn (errors); a drawn part that is cut once more than it is drawn, or another closed cut in scrap
(warnings); each by its size and place. An open cut through scrap that follows no drawn edge and no slit (a warning, by
its length and place).

Matters: the part gets a hole that nobody wanted, or the plate goes into parts that nobody ordered.

Bad::

    Drawing: rect 20 20 120 80
    Given: burning at 40 40
    G1 X49.25 F1320
    G3 X30.75 Y40 I-9.25 J0
    G3 X49.25 Y40 I9.25 J0
    G3 X49.19 Y41 I-9.25 J0
    M5
    G4 P0.3
    G0 Z25
    G0 X10 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    G4 P0.2
    G92 Z-19.05
    G4 P0.1
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z3 F900
    G4 P0.3
    G1 Z1.5 F900
    G1 X19.25 F2200
    G1 Y80.75
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

Do: take it out, or add it to the drawing.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("surplus-cut", Severity.ERROR, __doc__)
