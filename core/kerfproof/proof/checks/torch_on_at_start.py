"""The torch output may be on at the first move.

Finds: a first move before any off word, on a control that was left with the output on.

Matters: the arc burns on the way to the first pierce.

Bad::

    Given: none
    G17 G40 G49 G80
    G90 G94
    G21
    G54
    G64 P0.05
    G0 X10 Y10
    M2

Good::

    Given: none
    M5
    G17 G40 G49 G80
    G90 G94
    G21
    G54
    G64 P0.05
    G0 X10 Y10
    M2

Do: put the off word first.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("torch-on-at-start", Severity.ERROR, __doc__)
