"""Text that the control would refuse, or that is not known here.

Finds: every line that could not be read, with its reason: an error where a control would stop, and at a G word that is
not known here, because it may give all that follows another meaning (words that only cancel apart); a warning where
other words are unknown.

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
from kerfproof.motion.trace import Unread
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

CANCEL = frozenset(f"the word {word} is not known here" for word in ("G13.1", "G15", "G50", "G50.1", "G67", "G69"))
"""End mirroring, polar words, scaling, macros and turning, which such a control has not begun."""


def _grave(unread: Unread) -> bool:
    """Return whether text may change what the rest of the program does."""
    return unread.error or (unread.reason.startswith("the word G") and unread.reason not in CANCEL)


def _judge(e: Evidence) -> Iterator[Hit]:
    for unread in e.trace.unread:
        if unread.reason.startswith(TOLD_ELSEWHERE):
            continue
        severity = None if _grave(unread) else Severity.WARNING
        message = f"{unread.text.strip()}: {unread.reason}"
        yield Hit(message, "mend this line", unread.line, None, severity, unread.column)


RULE = Rule("unreadable-text", Severity.ERROR, _judge)
