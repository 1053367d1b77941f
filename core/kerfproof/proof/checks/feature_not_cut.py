"""A drawn contour is not cut.

Finds: an outline or hole that no torch path follows.

Matters: the part is not as drawn.

Bad::

    Drawing: rect 20 20 120 80; hole 40 40 20
    Given: burning at 10 50
    G1 X19.25 F2200
    G1 Y80.75
    G1 X120.75
    G1 Y19.25
    G1 X19.25
    G1 Y51
    M5

Good::

    Drawing: rect 20 20 120 80; hole 40 40 20
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

Do: cut it, or leave it out of the job on purpose.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("feature-not-cut", Severity.ERROR, __doc__)
