"""A feed move without a feed.

Finds: G1, G2, G3 or a search before any F word, or with F0.

Matters: the control stops, or moves at whatever feed it remembers.

Bad::

    M5
    G17 G21 G90
    G1 X10 Y10

Good::

    M5
    G17 G21 G90
    G1 X10 Y10 F2200

Do: state F on the first feed move of every block.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule

REASON = "a feed move without a feed"


def _judge(e: Evidence) -> Iterator[Hit]:
    for unread in e.refused(REASON):
        yield Hit("a feed move without a feed", "state F", unread.line)


RULE = Rule("feed-missing", Severity.ERROR, _judge)
