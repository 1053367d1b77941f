"""Lines that follow each other again and again: done once, then what they did is copied.

Every cut of a program begins and ends with the same lines at another place of the plate. What such lines do depends on
the lines, on the state of the control and on nothing else, as long as they neither move in the plane nor ask where the
axes stand there. So it is enough to do them once from each state; the second time what they recorded is copied.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from operator import attrgetter
from typing import Any

from kerfproof.gcode.reader import modes
from kerfproof.gcode.reader.arrange import Arranged
from kerfproof.gcode.reader.control import Control
from kerfproof.gcode.reader.copies import Recorded
from kerfproof.gcode.reader.lexer import Line
from kerfproof.gcode.reader.recorder import Mark

FEWEST, LONGEST = 2, 64
"""Fewer lines than this are not worth it, more are done in pieces."""
MOST_STATES = 16
"""A line from which runs of lines begin in more states than this is not worth remembering any further."""
MOST_MISSES = 64
"""A line with so many states is no longer looked up once it was looked up this often in a row in vain."""

_PARAMETER = re.compile(r"#([0-9]{0,6})")
_PLANE_PARAMETERS = frozenset({5061, 5062})
"""Where the last probing move tripped in the plane."""
_RUNNING = {"feed_mode", "feed", "speed", "tool", "tool change", "torch", "coolant", "override", "output", "dwell"}
_RUNNING |= {modes.MACHINE_LINE}
_RUNNING |= {"plane", "units", "system", "path", "distance", modes.ARC_CENTER, "retract"}
_OWN_VALUES = {"compensation": (400,), "length": (490,), "stop": (0, 1, 60)}
"""Of these parts of a line only some codes are followed here."""

_STATE = (
    *("z", "unit", "incremental", "system", "shift", "local", "tool_length", "ox", "oy", "oz", "motion", "plane"),
    *("feed", "inverse_time", "compensation", "absolute_centers", "return_to_level", "speed", "torch", "plain"),
    *("elsewhere", "word_lit", "line_lit"),
)
"""All of a control that the lines followed here may read or set, its parameters and coordinate systems aside."""
state_of = attrgetter(*_STATE)
_COPIED = ("kinds", "lines", "zs", "texts", "marks", "change_lines", "change_words", "comments")
_HINDERING = ("turns", "jumps", "probes", "unread")
"""Columns of a recorder: those that are copied, and those that must not grow."""


@dataclass(frozen=True, slots=True)
class Blind:
    """What a line that is blind to the place in the plane reads and sets: numbers of parameters."""

    reads: frozenset[int]
    sets: frozenset[int]


def blind(code: str, line: Line | None, arranged: Arranged | None) -> Blind | None:
    """Return what a line reads and sets if it neither moves in the plane nor asks for the place there, else None.

    `code` is the line without spaces and comments, `line` its words (None for lines of the machine file and
    guards), `arranged` those sorted (None if they must be worked out each time).
    """
    named = _PARAMETER.findall(code)
    if any(not number for number in named):
        return None  # a parameter by the value of another one, or by name
    reads, sets = {int(number) for number in named}, set[int]()
    if reads & _PLANE_PARAMETERS:
        return None
    if line is not None:
        if line.deletable or not all(isinstance(setting.number, float) for setting in line.settings):
            return None
        sets |= {round(s.number) for s in line.settings if isinstance(s.number, float)}
        if line.words:
            if arranged is None or arranged.notes or not all(_stays(act.part, act.values) for act in arranged.acts):
                return None
            parts = {act.part for act in arranged.acts}
            sets |= {5211, 5212, 5213} if "origin" in parts else set()
            sets |= {5220} if "system" in parts else set()
    return Blind(frozenset(reads), frozenset(sets))


def _stays(part: str, values: Any) -> bool:
    """Return whether a part of a line keeps the place in the plane and works without knowing it."""
    if part == modes.MOTION and values.code == modes.CANCEL:
        return not values.words
    if part == modes.MOTION:
        return values.code in (modes.RAPID, modes.FEED) and values.words.keys() <= {"Z", "F"}
    if part == "origin":
        return bool(values[0] == modes.SHIFT and values[1].keys() == {"Z"})
    if part == "stop":
        return values in _OWN_VALUES[part]
    if part in _OWN_VALUES:
        return values[0] in _OWN_VALUES[part]
    return part in _RUNNING


@dataclass(frozen=True, slots=True, eq=False)
class Repeat:
    """Some lines, the state they began in, what they recorded (lines from 0) and the state after them."""

    lines: list[str]
    state: tuple[Any, ...]
    offsets: list[tuple[float, float, float]]
    reads: tuple[int, ...]
    read: list[float | None]
    recorded: Recorded
    comments: list[tuple[int, str]]
    after: list[tuple[str, Any]]
    words: dict[str, str]
    parameters: dict[int, float]
    forgets_cycle: bool
    datum: int | None
    """The last shift of the Z frame, counted from 0, -1 for a clear; None if there is none."""
    datums_set: int

    def fits(self, control: Control, state: tuple[Any, ...]) -> bool:
        """Return whether the control, in this state, is as it was when these lines began."""
        if state != self.state or control.offsets != self.offsets:
            return False
        if not self.reads:
            return True
        known = control.parameters.values.get
        return [known(number) for number in self.reads] == self.read

    def copy(self, control: Control, number: int) -> None:
        """Do these lines, the first of which is line `number`."""
        rows = control.rows
        rows.again(self.recorded, number, control.x, control.y, control.datums_set)
        if self.comments:
            rows.comments += [(number + k, text) for k, text in self.comments]
        if self.datum is not None:
            before = control.datums_set
            control.datum, control.datum_state = (self.datum + before, "set") if self.datum >= 0 else (-1, "cleared")
            control.datums_set = before + self.datums_set
        for name, value in self.after:
            setattr(control, name, value)
        control.words.update(self.words)
        control.parameters.values.update(self.parameters)
        if self.forgets_cycle:
            control.cycle = {}
        control.line = number + len(self.lines) - 1


@dataclass(slots=True)
class Known:
    """What runs of lines that begin with the same line did, and how often in a row none of them fitted."""

    repeats: list[Repeat] = field(default_factory=list)
    misses: int = 0


class Watcher:
    """What a control is before some lines, to tell afterwards what they did to it."""

    def __init__(self, control: Control, lines: list[str], seen: list[Blind]) -> None:
        self.control, self.lines, self.seen, self.number = control, lines, seen, control.line
        self.state, self.offsets = state_of(control), list(control.offsets)
        self.known = dict(control.parameters.values)
        self.place, self.cycle = (control.x, control.y), control.cycle
        self.datums_set = control.datums_set
        self.marks = {name: len(getattr(control.rows, name)) for name in (*_COPIED, *_HINDERING)}
        self.unlisted = control.rows.unlisted

    def repeat(self) -> Repeat | None:
        """Return what the lines did, None if something hinders copying it: a mistake, a stop, another place."""
        c, rows, marks = self.control, self.control.rows, self.marks
        if (c.x, c.y) != self.place or c.end_word or c.offsets != self.offsets:
            return None
        if rows.unlisted != self.unlisted or any(len(getattr(rows, name)) != marks[name] for name in _HINDERING):
            return None
        row, number = marks["kinds"], self.number
        made = [
            (k - row, mark, value - self.datums_set if mark == Mark.DATUM and value >= 0 else value)
            for k, mark, value in rows.marks[marks["marks"] :]
        ]
        datums = [int(value) for _, mark, value in made if mark == Mark.DATUM]
        reads = tuple(sorted(frozenset[int]().union(*(s.reads for s in self.seen))))
        values = c.parameters.values
        sets = frozenset[int]().union(*(s.sets for s in self.seen))
        changed = {n: v for n, v in values.items() if n in sets or self.known.get(n) != v}
        words = rows.change_words[marks["change_words"] :]
        return Repeat(
            lines=self.lines,
            state=self.state,
            offsets=self.offsets,
            reads=reads,
            read=[self.known.get(n) for n in reads],
            recorded=Recorded(
                kinds=rows.kinds[row:],
                lines=[line - number for line in rows.lines[marks["lines"] :]],
                zs=rows.zs[marks["zs"] :],
                texts=rows.texts[marks["texts"] :],
                marks=made,
                change_lines=[line - number for line in rows.change_lines[marks["change_lines"] :]],
                change_words=words,
            ),
            comments=[(line - number, text) for line, text in rows.comments[marks["comments"] :]],
            after=[(n, now) for n, was, now in zip(_STATE, self.state, state_of(c), strict=True) if was != now],
            words={group: c.words[group] for group, _ in words if group in c.words},
            parameters=changed,
            forgets_cycle=c.cycle is not self.cycle,
            datum=datums[-1] if datums else None,
            datums_set=c.datums_set - self.datums_set,
        )
