"""Text that the control would refuse, or that is not known here.

Finds: every line that could not be read, with its reason: an error where a control would stop, a warning where the
words are merely unknown.

Matters: what is not understood is not proven.

Bad::

    Given: head
    G0 X10 Y[5
    M2

Good::

    Given: head
    G0 X10 Y[5+3]
    M2

Do: mend the line, or give the control its right dialect.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule
from kerfproof.verify.rules import arc_radius_mismatch, feed_missing, text_after_end

TOLD_ELSEWHERE = (
    arc_radius_mismatch.REASON,
    feed_missing.REASON,
    text_after_end.REASON,
    "bare axis words",
    "cutter compensation is not followed",
)


def _judge(e: Evidence) -> Iterator[Hit]:
    for unread in e.trace.unread:
        if unread.reason.startswith(TOLD_ELSEWHERE):
            continue
        severity = None if unread.error else Severity.WARNING
        message = f"{unread.text.strip()}: {unread.reason}"
        yield Hit(message, "mend this line", unread.line, None, severity, unread.column)


RULE = Rule("unreadable-text", Severity.ERROR, _judge)
