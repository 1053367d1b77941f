"""The words of the language by modal group, and the order in which a line is executed (NISTIR 6556, tables 4 and 8)."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace
from typing import Any

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader.expression import NUMBER

ARC_CENTER = "arc_center"
MOTION, NOT_MODAL = "motion", "not modal"
TORCH, MACHINE_LINE, LATER = "torch", "machine line", "later"
TORCH_ON, TORCH_OFF = "torch_on", "torch_off"
"""What lines of the machine file are for that switch the torch."""

# G codes are kept times ten, so that 38.2 and 59.1 are integers.
RAPID, FEED, ARC_CW, ARC_CCW, CANCEL = 0, 10, 20, 30, 800
MOTION_WORDS = ("G0", "G1", "G2", "G3")
LOCAL_SHIFT, INCHES = 520, (200, 700)
DWELL, SET_ORIGIN, HOME, HOME_2, MACHINE_FRAME = 40, 100, 280, 300, 530
SHIFT, SHIFT_CLEAR, SHIFT_REST, SHIFT_RESTORE = 920, 921, 922, 923
STRAIGHT_PROBE = 382
CYCLES = range(810, 891, 10)
CYCLE_LETTERS = {820: "P", 830: "Q", 860: "P", 870: "IJK", 880: "P", 890: "P"}
"""What a canned cycle takes besides axes, R and L."""

G_GROUPS: dict[int, str] = {
    **dict.fromkeys((RAPID, FEED, ARC_CW, ARC_CCW, CANCEL, *CYCLES), MOTION),
    **dict.fromkeys((170, 180, 190), "plane"),
    **dict.fromkeys((900, 910), "distance"),
    **dict.fromkeys((930, 940), "feed_mode"),
    **dict.fromkeys((200, 210), "units"),
    **dict.fromkeys((400, 410, 420), "compensation"),
    **dict.fromkeys((430, 490), "length"),
    **dict.fromkeys((980, 990), "retract"),
    **dict.fromkeys((540, 550, 560, 570, 580, 590, 591, 592, 593), "system"),
    **dict.fromkeys((610, 611, 640), "path"),
    **dict.fromkeys(
        (DWELL, SET_ORIGIN, HOME, HOME_2, SHIFT, SHIFT_CLEAR, SHIFT_REST, SHIFT_RESTORE),
        NOT_MODAL,
    ),
}
SYSTEMS = (540, 550, 560, 570, 580, 590, 591, 592, 593)
USE_AXES = frozenset({SET_ORIGIN, HOME, HOME_2, SHIFT, LOCAL_SHIFT})
"""Words that are not modal and take axis words, so that no motion word can stand beside them."""

M_GROUPS: dict[int, str] = {
    **dict.fromkeys((0, 1, 2, 30, 60), "stop"),
    6: "tool change",
    **dict.fromkeys((3, 4, 5), "torch"),
    **dict.fromkeys((7, 8, 9), "coolant"),
    **dict.fromkeys((48, 49), "override"),
}
MOST_M_WORDS = 4
BEYOND_WORDS = 100_000
"""No G word is this large."""

LETTERS_OF_MOTION: dict[int, frozenset[str]] = {
    **dict.fromkeys((ARC_CW, ARC_CCW), frozenset("IJKR")),
    **{code: frozenset("RL" + CYCLE_LETTERS.get(code, "")) for code in CYCLES},
}
"""Which words besides axes and feed a motion word takes."""
NEED_OWNER = frozenset("DHIJKLPQR")
"""Letters that mean nothing unless another word of the line takes them."""
OUTPUT_LETTERS = frozenset("PQLERS")
"""What words an output may take."""
DIGITAL = {62: 1.0, 63: 0.0, 64: 1.0, 65: 0.0}
"""Words for digital outputs and the state they give, with the next motion or at once (common practice, from memory)."""
ANALOG = (67, 68)
WAIT_INPUT = 66
"""Waits for an input and switches nothing (common practice, from memory)."""
LATE = frozenset({62, 63, 67})
"""Words whose output switches as the next motion begins, and not before (common practice, from memory)."""
OUTPUT_FAMILIES = (frozenset(DIGITAL), frozenset(ANALOG))
WAITING = {
    TORCH_ON: " lights the torch with the next motion",
    TORCH_OFF: " puts the torch out with the next motion",
}
"""Follows the word of a torch that waits for a motion, in the row that stands where the word does."""
SWITCHES = frozenset({TORCH, "coolant", "override", "tool", "tool change", "output"})
"""The parts of a line that switch something."""
AXES, ROTARY = frozenset("XYZ"), frozenset("ABC")

M_PARTS = frozenset(M_GROUPS.values())
MOTION_LETTERS = frozenset("XYZIJKRLPQF")

ORDER = (
    "feed_mode", "feed", "speed", "tool", "tool change", "torch", "coolant", "override", "output",
    MACHINE_LINE, LATER, "unknown", "dwell",
    "plane", "units", "compensation", "length", "system", "path", "distance", ARC_CENTER, "retract", "origin", "motion",
    "stop",
)  # fmt: skip
"""The parts of a line in order of execution."""
TURN = {part: turn for turn, part in enumerate(ORDER)}


def g_word(code: int) -> str:
    """Return the word of a G code kept times ten: 382 is ``G38.2``."""
    return f"G{code // 10}.{code % 10}" if code % 10 else f"G{code // 10}"


def switched(part: str, values: Any) -> tuple[Hashable, ...] | None:
    """Return what a part of a line switches, and to what; None of a part that switches nothing.

    A digital output has two words for each state, an analog one two words; both are the same switch.
    """
    if part == LATER:
        return switched(values.part, values.values)
    if part == "output":
        code, words = values
        if code in DIGITAL:
            return "output", "P", words.get("P"), DIGITAL[code]
        if code in ANALOG:
            return "output", "E", words.get("E"), words.get("Q")
        return ("M", code, *sorted(words.items()))
    return (part, values) if part in SWITCHES else None


@dataclass(frozen=True, slots=True)
class MachineLine:
    """A line of the machine file: what it is for, its text, and all that it switches."""

    purpose: str
    text: str
    switches: frozenset[tuple[Hashable, ...]]


@dataclass(frozen=True, slots=True)
class Language:
    """One dialect's words: G codes by group, and what else differs between dialects."""

    g_groups: dict[int, str]
    probe: int
    blend_takes_tolerance: bool
    dialect: Dialect
    outputs: frozenset[int] = frozenset()
    """M words that take words of their own."""
    machine: tuple[MachineLine, ...] = ()
    """What lines of the machine file mean."""
    declared: frozenset[int] = frozenset()
    """M words that are known from such lines alone."""
    off_word: bool = True
    """Whether M5 puts out a torch that a line of the machine file has lit."""

    def with_outputs(self, more: frozenset[int] | set[int]) -> Language:
        """Return the language with more M words that take words of their own."""
        return replace(self, outputs=self.outputs | more)

    @staticmethod
    def of(dialect: Dialect) -> Language:
        """Return the words that a control with this dialect understands."""
        groups = dict(G_GROUPS)
        probe = _code(dialect.probe_word, STRAIGHT_PROBE)
        groups[probe] = MOTION
        if dialect.machine_frame_word:
            groups[MACHINE_FRAME] = NOT_MODAL
        if dialect.arc_center_word:
            groups.update({901: ARC_CENTER, 911: ARC_CENTER})
        if dialect.local_shift:
            groups[LOCAL_SHIFT] = NOT_MODAL
        if dialect.unit_words_g70:
            groups.update({700: "units", 710: "units"})
        outputs = frozenset(int(word.removeprefix("M")) for word in dialect.outputs)
        return Language(groups, probe, "{tolerance}" in dialect.path_blend_word, dialect, outputs)


def _code(word: str, otherwise: int) -> int:
    match = NUMBER.fullmatch(word.strip().upper().removeprefix("G"))
    return round(float(match.group()) * 10) if match else otherwise
