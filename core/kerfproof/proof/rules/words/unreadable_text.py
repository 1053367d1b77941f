"""Text that the control would refuse, or that is not known here.

Finds: every line that could not be read, with its reason: an error where a control would stop, and where a word is not
known here, because it may run text that is not seen, move an axis, switch something or give all that follows another
meaning; a parameter that the program never set, because its value is not known. A warning where that changes nothing
here: words that only cancel or state what holds anyhow, a program's name at its top, a tool length ahead of a
touch-off, and going home (G28, G30) on a homed machine with the torch out, if the next way says X and Y both. Words
that the machine file itself writes are known.

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
from kerfproof.gcode.trace import Step, Unread
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.lines import words_of
from kerfproof.proof.rule import Hit, Rule
from kerfproof.proof.rules.feed import feed_missing
from kerfproof.proof.rules.touch_off import bare_axes_after_probe
from kerfproof.proof.rules.words import arc_radius_mismatch, text_after_end
from kerfproof.sentence import say
from kerfproof.shop.profile import TouchOff

TOLD_ELSEWHERE = (
    arc_radius_mismatch.REASON,
    feed_missing.REASON,
    text_after_end.REASON,
    bare_axes_after_probe.BARE_AXES,
    "cutter compensation is not followed",
)

CANCEL = frozenset(
    f"the word {word} is not known here" for word in ("G13.1", "G15", "G50", "G50.1", "G67", "G69", "G97")
)
"""End mirroring, polar words, scaling, macros, turning and a constant cutting speed, which such a control has not
begun."""
CENTERS = {False: "the word G91.1 is not known here", True: "the word G90.1 is not known here"}
"""States what holds anyhow where arc centres are increments (False) or absolute (True) and no word changes that."""
SWITCH = "lines that begin with / are read"
NAME = "the letter O is not in the language"
LENGTH = "the length in tool slot"
HOME = ("where G28 leads", "where G30 leads")


def _mild(e: Evidence, unread: Unread) -> bool:
    """Return whether text that is not understood changes nothing in what the rest of the program does."""
    if unread.error:
        return False
    if unread.reason == NAME:  # a number after O names a program; further down it may be where another begins
        return not e.moves.any() or unread.line < e.line(int(np.argmax(e.moves)))
    if unread.reason.startswith(LENGTH):
        return e.machine.touch_off is TouchOff.NONE or _searched_first(e, unread.line)
    if unread.reason.startswith(HOME):  # a place that homing found, with the torch out
        return e.machine.z_homed and _place_known_again(e, unread.line)
    if unread.reason == CENTERS[e.control.arc_centers_absolute]:
        return True
    return unread.reason in CANCEL or unread.reason.startswith(SWITCH)


def _searched_first(e: Evidence, line: int) -> bool:
    """Return whether the plate is touched after a line before the torch is lit: the Z frame is then set anew."""
    following = e.rows(Step.PROBE, Step.TORCH_ON)
    following = following[e.trace.line[following] > line]
    return not len(following) or bool(e.trace.kind[following[0]] == Step.PROBE)


def _place_known_again(e: Evidence, line: int) -> bool:
    """Return whether the torch is out at a line, and the next way in the plane says X and Y both, from zero."""
    here = e.trace.line == line
    if e.trace.torch[here].any():
        return False
    rows = np.flatnonzero((e.travels & (e.trace.line > line)) | (e.trace.kind == Step.TORCH_ON))
    rows = rows[e.trace.line[rows] > line]
    if not len(rows):
        return True
    then = e.line(int(rows[0]))
    words = e.line_words(then)
    absolute = e.state("distance", then) == "G90" and "X" in words and "Y" in words
    return absolute and bool(e.trace.kind[rows[0]] == Step.RAPID)


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
        message = say("{text}: {reason}", text=unread.text.strip(), reason=unread.told)
        advice = _advice(unread.reason)
        yield Hit(message, advice, unread.line, None, severity, unread.column)


def _advice(reason: str) -> str:
    if reason.startswith("the word M"):
        return "take it out, write out what it runs, or prove with the dialect and machine file that have it"
    if reason.startswith("the axis") or reason[:13] in ("the letter U ", "the letter V ", "the letter W "):
        return "take the axis word out: this table moves X, Y and Z alone"
    if reason.startswith("the word G"):
        return "take it out, or write what it is for in G words of this control"
    if reason.startswith(HOME):
        return "raise by G53 G0 Z, or know where the control's home lies"
    return "write this line in words of this control, or take it out"


RULE = Rule("unreadable-text", Severity.ERROR, _judge)
