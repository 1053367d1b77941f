"""The whole cut is mirrored.

Finds: a cut that fits the drawing only as its mirror image.

Matters: a part of the wrong hand is scrap.

Bad::

    Drawing: rect 20 20 120 80; hole 40 40 20
    Given: burning at 100 40
    G1 X109.25 F1320
    G3 X90.75 Y40 I-9.25 J0
    G3 X109.25 Y40 I9.25 J0
    G3 X109.19 Y41 I-9.25 J0
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

Do: check hand and axis directions, then write the program again.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("mirrored", Severity.ERROR, __doc__)
