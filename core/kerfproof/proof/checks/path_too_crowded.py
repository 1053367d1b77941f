"""The torch crosses its own path too often.

Finds: a torch path that meets itself so often that open kerfs can only be judged in part.

Matters: such a program cuts no part; what is not judged is not proven.

Bad::

    Repeat: 4000
    Given: burning at 10 50
    G1 X11 F2200
    G1 X10

Good::

    Program: outline

Do: look at the program: it is a scribble.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("path-too-crowded", Severity.ERROR, __doc__)
