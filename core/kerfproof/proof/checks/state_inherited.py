"""The program relies on what the control was left in.

Finds: motion that is another on a control left in inches or millimetres, incremental mode, another plane, another
work offset, G41, G43, G93, the other kind of arc centres (where words for it exist) or a stale frame. A warning where
the end word of the last program has restored what is missing: G54, G17, G40, G94.

Matters: the same program does something else after a power cut, or after one that was stopped.

Bad::

    Drawing: rect 20 20 120 80
    Given: none
    M5
    G17 G40 G49 G80
    G94
    G21
    G54
    G64 P0.05
    F6000
    G0 X10 Y50
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

    Drawing: rect 20 20 120 80
    Given: none
    M5
    G17 G40 G49 G80
    G90 G94
    G21
    G54
    G64 P0.05
    F6000
    G0 X10 Y50
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
    G1 Y80.75
    G1 X120.75
    G1 Y19.25
    G1 X19.25
    G1 Y51
    M5

Do: state units, modes and frame at the top.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("state-inherited", Severity.ERROR, __doc__)
