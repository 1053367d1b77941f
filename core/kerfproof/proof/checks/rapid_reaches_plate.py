"""A rapid on the way down to a start reaches the plate.

Finds: a rapid down with the torch off, or a feed move down that is faster than a search, which ends too near the plate:
before a search lower than the plate band of the machine file over it, at a start without a touch-off of its own lower
than 1.5 mm, both less than 0.5 mm on tables where the plate is tilted, bowed and moves from touch to touch; after a
touch-off of the same start in the plate.

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
