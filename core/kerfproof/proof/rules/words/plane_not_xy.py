"""Arcs in another plane than XY.

Finds: G18 or G19, and arcs in a program that never states G17 (warning).

Matters: a control left in another plane bends every arc into Z.

Bad::

    M5
    G18 G21 G90
    G0 X10 Y10

Good::

    M5
    G17 G21 G90
    G0 X10 Y10

Do: state G17 at the top and in each block.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    planes = e.changes("plane")
    for change in planes:
        if change.word != "G17":
            yield Hit(f"{change.word} selects another plane than XY", "write G17", change.line)
    arcs = (e.trace.sweep != 0).nonzero()[0]
    if len(arcs) and not any(change.line <= e.line(int(arcs[0])) for change in planes):
        yield at_row(e, int(arcs[0]), "an arc before any plane is stated", "write G17 at the top", Severity.WARNING)


RULE = Rule("plane-not-xy", Severity.ERROR, _judge)
