"""The head may be driven down.

Finds: Z moves that go deeper than any search, on a control left in a stale state.

Matters: the head rams the plate or its own stop.

Bad::

    Given: head
    G0 Z-10
    G0 X10 Y10
    M2

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

Do: no work-frame Z before a touch-off of its own.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("head-driven-down", Severity.ERROR, __doc__)
