"""A rapid on the way to a touch-off reaches the plate.

Finds: a rapid down that a search follows and that ends lower over the plate, as it was found last, than the plate band
of the machine file; on tables where the plate is tilted, bowed and moves from touch to touch, less than 0.5 mm over it.

Matters: at the rapid nothing stops the head: it is rammed into its float, or the tip into the plate.

Bad::

    Program: good
    G0 Z-18 -> G0 Z-24

Good::

    Given: head
    G0 X10 Y10
    G4 P0.2
    G92 Z0
    G38.2 Z-84 F1000
    #101=#5063
    #102=SQRT[0-2-#101]
    G1 Z[#101+2] F600
    G4 P0.1
    G38.2 Z[#101-1.5] F150
    #102=SQRT[0.3-ABS[#5063-#101]]
    G1 Z#5063 F60
    G4 P0.2
    G92 Z-19.05
    G4 P0.1
    G0 Z25
    G0 X30 Y10
    G4 P0.2
    G92 Z0
    G0 Z-18
    G38.2 Z-49.05 F1000
    M2

Do: end it at least the plate band over the plate as it was found last, and search from there.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("rapid-reaches-plate", Severity.ERROR, __doc__)
