"""A slit is not cut.

Finds: places of a drawn slit that the torch does not follow.

Matters: the slit is missing or too short.

Bad::

    Drawing: rect 20 20 120 80
    Slit: line 40 50 100 50
    Given: burning at 42 50
    G1 X80 F2200
    M5

Good::

    Program: bad
    Given: burning at 40 50
    G1 X80 F2200 -> G1 X100 F2200

Do: cut it on its line from end to end.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("slit-not-cut", Severity.ERROR, __doc__)
