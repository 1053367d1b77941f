"""The program says of itself that it is not proven.

Finds: the mark NOT PROVEN - WRITTEN WITH 1 ERROR, or a comment NOT PROVEN and nothing else, as a program has it that
was written in spite of errors; not a note that happens to hold these words.

Matters: what was wrong when it was written may be nothing that the text shows: a contour that could not be read from
the drawing, a hole that was left out.

Bad::

    (NOT PROVEN - WRITTEN WITH 1 ERROR - DO NOT RUN UNSEEN)
    M5
    G0 X30 Y10

Good::

    (this is not proven steel)
    M5
    G0 X30 Y10

Do: mend what it names and write it again; take the words out only of a program that you have checked yourself.
"""

import re
from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule

_NOT_PROVEN = re.compile(r"\s*NOT\s+PROVEN\s*(-\s*WRITTEN\s+WITH\b.*)?", re.IGNORECASE)
"""The mark that is written (`kerfproof_app.work.error_banner`), and its words alone."""


def _judge(e: Evidence) -> Iterator[Hit]:
    for line, text in e.trace.comments:
        if _NOT_PROVEN.fullmatch(text):
            advice = "mend what it names and write it again"
            yield Hit("the program says that it was written in spite of errors", advice, line)
            return


RULE = Rule("says-not-proven", Severity.ERROR, _judge)
