"""A notch is too narrow for the kerf.

Finds: notches whose walls face each other nearer than the kerf and of which more than 0.3 mm stays uncut (air plasma
holds no less), and inside corners of which a round kerf leaves more than two kerfs uncut, each with its place and
depth. A notch of which more than a kerf stays uncut is an error, unless the person leaves it out.

Matters: metal stays where the drawing has none.

Bad::

    Drawing: poly 20 20 120 20 120 80 70.3 80 70 78.6 69.7 80 20 80
    Given: burning at 10 50
    G1 X19.25 F2200
    G1 Y80.75
    G1 X69.7
    G2 X70 Y80.6874 I0 J-0.75
    G2 X70.3 Y80.75 I0.3 J-0.6874
    G1 X120.75
    G1 Y19.25
    G1 X19.25
    G1 Y51
    M5

Good::

    Program: outline

Do: saw or file it, or widen it in the drawing.
"""

from kerfproof.errors import Severity
from kerfproof.proof.rule_page import Check

CHECK = Check("corner-not-reached", Severity.WARNING, __doc__)
