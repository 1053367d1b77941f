"""Text that the control would refuse, or that is not known here.

Finds: every line that could not be read, with its reason: an error where a control would stop, and where a word is not
known here, because it may run text that is not seen, move an axis, switch something or give all that follows another
meaning; a parameter that the program never set, because its value is not known. A warning where that changes nothing
here: words that only cancel, a program's name at its top, and a tool length ahead of a touch-off. Words that the
machine file itself writes are known.

Matters: what is not understood is not proven.

Bad::

    Given: head
    G0 X10 Y[5
    M98 P1000
    M2

Good::

    Given: head
    G0 X10 Y[5+3]
    M2

Do: mend the line, write out what a subprogram does, or give the control its right dialect.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.machine.profile import TouchOff
from kerfproof.motion.trace import Step, Unread
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.lines import words_of
from kerfproof.verify.rule import Hit, Rule
from kerfproof.verify.rules import arc_radius_mismatch, bare_axes_after_probe, feed_missing, text_after_end

TOLD_ELSEWHERE = (
    arc_radius_mismatch.REASON,
    feed_missing.REASON,
    text_after_end.REASON,
    bare_axes_after_probe.BARE_AXES,
    "cutter compensation is not followed",
)

CANCEL = frozenset(f"the word {word} is not known here" for word in ("G13.1", "G15", "G50", "G50.1", "G67", "G69"))
"""End mirroring, polar words, scaling, macros and turning, which such a control has not begun."""
SWITCH = "lines that begin with / are read"
NAME = "the letter O is not in the language"
LENGTH = "the length in tool slot"


def _mild(e: Evidence, unread: Unread) -> bool:
    """Return whether text that is not understood changes nothing in what the rest of the program does."""
    if unread.error:
        return False
    if unread.reason == NAME:  # a number after O names a program; further down it may be where another begins
        return not e.moves.any() or unread.line < e.line(int(np.argmax(e.moves)))
    if unread.reason.startswith(LENGTH):
        return e.machine.touch_off is TouchOff.NONE or _searched_first(e, unread.line)
    return unread.reason in CANCEL or unread.reason.startswith(SWITCH)


def _searched_first(e: Evidence, line: int) -> bool:
    """Return whether the plate is touched after a line before the torch is lit: the Z frame is then set anew."""
    following = e.rows(Step.PROBE, Step.TORCH_ON)
    following = following[e.trace.line[following] > line]
    return not len(following) or bool(e.trace.kind[following[0]] == Step.PROBE)


def _declared(e: Evidence, unread: Unread) -> bool:
    """Return whether an M word stands in a line that the machine file itself puts into every program."""
    machine = e.machine
    own = [*machine.header_lines, *machine.footer_lines, machine.end_word or ""]
    return unread.reason.startswith("the word M") and e.line_words(unread.line) in map(words_of, own)


def _judge(e: Evidence) -> Iterator[Hit]:
    for unread in e.trace.unread:
        if unread.reason.startswith(TOLD_ELSEWHERE) or _declared(e, unread):
            continue
        severity = Severity.WARNING if _mild(e, unread) else None
        message = f"{unread.text.strip()}: {unread.reason}"
        advice = _advice(unread.reason)
        yield Hit(message, advice, unread.line, None, severity, unread.column)


def _advice(reason: str) -> str:
    if reason.startswith("the word M"):
        return "take it out, write out what it runs, or prove with the dialect and machine file that have it"
    if reason.startswith("the axis") or reason[:13] in ("the letter U ", "the letter V ", "the letter W "):
        return "take the axis word out: this table moves X, Y and Z alone"
    if reason.startswith("the word G"):
        return "take it out, or write what it is for in G words of this control"
    return "write this line in words of this control, or take it out"


RULE = Rule("unreadable-text", Severity.ERROR, _judge)
