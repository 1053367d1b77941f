"""Lines of a program taken apart once, for all the times that the same text is executed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader import modes
from kerfproof.gcode.reader.arrange import Arranged, Plain, arrange
from kerfproof.gcode.reader.expression import Misread
from kerfproof.gcode.reader.guards import Comparison, find_guard, guard_patterns
from kerfproof.gcode.reader.lexer import Line, Word, canonical, read_line, scan
from kerfproof.gcode.reader.machine_lines import spoken

MOST_KEPT = 4096
NOTHING = Arranged((), (), frozenset())
_PLACES = frozenset("XYZIJKR")


@dataclass(slots=True)
class Ready:
    """A line taken apart once; the same text is executed again without a second look at it."""

    comments: tuple[str, ...] = ()
    fault: Misread | None = None
    """A mistake that forbids the line whatever the state of the control."""
    percent: bool = False
    verbatim: tuple[str, str] | None = None
    guard: Comparison | None = None
    line: Line | None = None
    arranged: Arranged | None = None
    """The line sorted; None if it must be worked out each time."""
    varying: tuple[Word, ...] = ()
    """Words of `arranged` that hold parameters, if all of them only say where a motion leads."""
    fixed: Arranged | None = None
    """The line sorted, if it is the same whenever it is executed and nothing is to be told of it."""
    says: bool = False
    """Whether the line holds more than blanks."""


class Book:
    """Lines of programs for one control taken apart once, whatever the state they are then executed in."""

    __slots__ = ("dialect", "guards", "kept", "language", "semicolons", "strange")

    def __init__(self, dialect: Dialect, lines: Mapping[str, str]) -> None:
        self.dialect = dialect
        self.semicolons = dialect.semicolon_comments
        self.guards = guard_patterns(dialect)
        self.language, self.strange = spoken(dialect, lines)
        self.kept: dict[str, Ready] = {}

    def open(self, line: str) -> Ready:
        """Return a line taken apart, and keep it for the next time."""
        ready = self._prepare(line)
        if len(self.kept) >= MOST_KEPT:
            self.kept.clear()  # what is said again and again is soon back
        if len(line) <= self.dialect.line_limit:
            self.kept[line] = ready
        return ready

    def _prepare(self, line: str) -> Ready:
        limit = self.dialect.line_limit
        if len(line) > limit:
            fault = Misread(f"the line is longer than {limit} characters", column=limit + 1)
            return Ready(fault=fault, says=True)
        found = scan(line, self.semicolons)
        code = found.code
        ready = Ready(found.comments, found.fault, says=bool(code or found.comments))
        if not code:
            ready.fixed = None if found.fault else NOTHING
            return ready
        if self.strange and canonical(code) in self.strange:
            ready.verbatim, ready.fault = self.strange[canonical(code)], None
        elif code == "%":
            ready.percent, ready.says = True, False
        else:
            ready.guard = find_guard(code, self.guards)
            if ready.guard:
                ready.fault = None
            elif ready.fault is None:
                self._prepare_words(code, ready)
        return ready

    def _prepare_words(self, code: str, ready: Ready) -> None:
        try:
            if not self.dialect.expressions and ("#" in code or "[" in code):
                at = min(place for place in (code.find("#"), code.find("[")) if place >= 0)
                raise Misread("this control has no parameters and expressions", at)
            line = ready.line = read_line(code)
            varying = tuple(word for word in line.words if not isinstance(word.value, float))
            if not line.settings and all(word.letter in _PLACES for word in varying):
                words = [Plain(w.letter, w.value if isinstance(w.value, float) else 0.0, w.at) for w in line.words]
                arranged = arrange(words, self.language)
                if not varying or (arranged.acts and arranged.acts[-1].part == modes.MOTION):
                    ready.arranged, ready.varying = arranged, varying
            if not (varying or line.deletable or ready.arranged is None or ready.arranged.notes):
                ready.fixed = ready.arranged
        except Misread as fault:
            ready.fault = fault
