"""Text behind the program end.

Finds: lines that are not empty after M2, M30 or the closing percent sign.

Matters: the control never reads them; a cut that stands there is not made.

Bad::

    Given: head
    M2
    G0 X10

Good::

    Given: head
    G0 X10
    M2

Do: move the end word to the end, or remove the rest.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule

REASON = "after the program end"


def _judge(e: Evidence) -> Iterator[Hit]:
    for unread in e.refused(REASON):
        yield Hit("this and what follows is never run", "put the end word last", unread.line)


RULE = Rule("text-after-end", Severity.NOTE, _judge)
