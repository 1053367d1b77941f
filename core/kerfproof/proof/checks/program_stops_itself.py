"""The program stops itself though nothing is wrong.

Finds: a guard, a search or an expression that stops the control on the table as it should be.

Matters: nothing behind it is cut, and nothing behind it was proven.

Bad::

    Drawing: rect 20 20 120 80
    Given: head
    G0 X10 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-5 F150
    M3

Good::

    Program: outline

Do: mend the guard or the search.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("program-stops-itself", Severity.ERROR, __doc__)
