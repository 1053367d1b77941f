"""The program says of itself that it is not proven.

Finds: a comment with the words NOT PROVEN, as a program has it that was written in spite of errors.

Matters: what was wrong when it was written may be nothing that the text shows: a contour that could not be read from
the drawing, a hole that was left out.

Bad::

    Given: burning at 10 50
    (NOT PROVEN - WRITTEN WITH 1 ERROR - DO NOT RUN UNSEEN)
    G1 X30 F2200
    M5

Good::

    Given: burning at 10 50
    (PROVEN)
    G1 X30 F2200
    M5

Do: mend what it names and write it again; take the words out only of a program that you have checked yourself.
"""

import re
from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule

_NOT_PROVEN = re.compile(r"\bNOT\s+PROVEN\b", re.IGNORECASE)


def _judge(e: Evidence) -> Iterator[Hit]:
    for line, text in e.trace.comments:
        if _NOT_PROVEN.search(text):
            advice = "mend what it names and write it again"
            yield Hit("the program says that it was written in spite of errors", advice, line)
            return


RULE = Rule("says-not-proven", Severity.ERROR, _judge)
