"""A datum word moves the zero of X or Y.

Finds: G92, G10 or G52 with X or Y, and a clear of all axes where the machine file says that XY zero lives in G92.

Matters: the whole job moves on the plate.

Bad::

    Given: head
    G92 X0 Y0 Z0
    G0 X10 Y10

Good::

    Given: head
    G92 Z0
    G0 X10 Y10

Do: name only Z in every datum word.
"""

import re
from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule

_DATUM = re.compile(r"(G92(?!\.)|G10(?!\d)|G52(?!\d)).*[XY]|[XY].*(G92(?!\.)|G10(?!\d)|G52(?!\d))")


def _judge(e: Evidence) -> Iterator[Hit]:
    for change in e.changes("origin"):
        words = e.line_words(change.line)
        if _DATUM.search(words):
            yield Hit("a datum word names X or Y", "name only Z", change.line)
        elif e.machine.xy_zero_in_g92 and change.word.startswith(("G92.1", "G92.2")):
            yield Hit("this word clears the XY zero too, which lives in G92", "set Z alone", change.line)


RULE = Rule("datum-touches-xy", Severity.ERROR, _judge)
