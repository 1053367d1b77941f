"""A cut does not lie as high over the plate as its touch-off found it.

Finds: an arc start, or motion with the torch on, whose height stays where it was, or follows an earlier touch-off, when
the plate lies higher or lower within the plate band: a touch-off whose result is thrown away.

Matters: no plate is flat. The tip lights in the air, or is driven into the plate, and the cut runs at a wrong height.

Bad::

    Control: published
    Given: burning at 10 50
    G1 X60 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X70 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    G1 Z-44.05 F60
    G4 P0.2
    G92 Z-19.05
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 X80 F2200

Good::

    Program: bad
    G1 Z-44.05 F60 -> G1 Z#5063 F60

Do: set the Z datum at each touch-off, where that search tripped.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("height-not-followed", Severity.ERROR, __doc__)
