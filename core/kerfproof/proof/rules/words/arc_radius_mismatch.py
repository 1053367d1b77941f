"""An arc whose ends do not lie on one circle.

Finds: arcs whose start and end radius differ by more than the control allows (0.002 mm or 0.0002 inch in NISTIR
6556, 3.5.3.2).

Matters: the control stops with an error in the middle of a cut, or draws another curve than meant.

Bad::

    Given: head
    G1 X10 Y0 F2200
    G2 X20 Y0 I5.02 J0

Good::

    Given: head
    G1 X10 Y0 F2200
    G2 X20 Y0 I5 J0

Do: write more decimals and centres worked out from the rounded ends.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule

REASON = "start and end radius of the arc differ"


def _judge(e: Evidence) -> Iterator[Hit]:
    for unread in e.refused(REASON):
        yield Hit(unread.told, "work the centre out from the rounded ends", unread.line)


RULE = Rule("arc-radius-mismatch", Severity.ERROR, _judge)
