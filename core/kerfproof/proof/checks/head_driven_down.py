"""The head may be driven down.

Finds: Z moves that go deeper than any search, on a control left in a stale state.

Matters: the head rams the plate or its own stop.

Bad::

    Given: head
    G0 Z-10
    G0 X10 Y10
    M2

Good::

    Program: outline

Do: no work-frame Z before a touch-off of its own.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("head-driven-down", Severity.ERROR, __doc__)
