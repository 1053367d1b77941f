"""A cut does not lie where the work zero puts it.

Finds: an arc start, a search or motion with the torch on that lies elsewhere on the plate where the torch was parked
elsewhere, or where the work zero or machine zero lies elsewhere: a first move relative to the parked torch, motion in
machine coordinates, a place read from stored offsets, a zero that the program moves. Travel with the torch off that
does so is a warning; without an arc all motion counts.

Matters: on the next table, or after the next homing, the cut lies beside the plate or across it.

Bad::

    Drawing: rect 20 20 120 80
    Given: head
    G53 G0 X10 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-84 F150
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

Good::

    Program: outline

Do: go to each place in X and Y from the work zero, and leave the zero alone.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("zero-not-followed", Severity.ERROR, __doc__)
