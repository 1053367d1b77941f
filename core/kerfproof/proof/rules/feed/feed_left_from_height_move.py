"""The cut runs at the feed of a height move.

Finds: the first move in the plane after torch on without an F word, where the last F stood on a Z move or a search.

Matters: the cut then runs at the rise feed, or at 150 mm/min of the touch.

Bad::

    Given: burning
    G1 X60
    M5

Good::

    Given: burning
    G1 X60 F2200
    M5

Do: state F on the first move in the plane.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm_min, of_line, say


def _judge(e: Evidence) -> Iterator[Hit]:
    for row in e.first_travels[e.first_travels >= 0].tolist():
        if e.trace.feed[row] <= 0 or "F" in e.letters(e.line(row)):
            continue
        line = e.line(row) - 1
        while line > 0 and "F" not in e.letters(line):
            line -= 1
        letters = e.letters(line)
        if "Z" in letters and not letters & {"X", "Y"}:
            message = say(
                "the cut runs at {feed}, left from the Z move {of}", feed=mm_min(e.trace.feed[row]), of=of_line(line)
            )
            yield at_row(e, row, message, "state F on the first move in the plane")


RULE = Rule("feed-left-from-height-move", Severity.ERROR, _judge)
