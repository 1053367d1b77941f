"""Faults to plant in a correct program, one at a time: what a slip of the hand, an editor or a bad offset would do.

Each changes what happens at the table: it moves the kerf edge by at least 0.1 mm, or changes a state, the order, a
height, a feed or a wait. A fault returns None where the program does not hold what it needs.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof import api
from kerfproof.errors import Finding, Severity
from kerfproof.machine.control import control_of
from kerfproof.outcome import Outcome
from kerfproof.verify.proof import Proof

INCH = 25.4
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)"
_COMMENT = re.compile(r"\([^)]*\)")
_MOVE = re.compile(r"^G[123] .*[XY]")
Lines = list[str]


@dataclass(frozen=True, slots=True)
class Subject:
    """A correct program with all it is proven against. `unit` is mm per program unit."""

    outcome: Outcome

    @property
    def lines(self) -> Lines:
        assert self.outcome.program is not None
        return self.outcome.program.text.splitlines()

    @property
    def unit(self) -> float:
        return INCH if self.outcome.machine.inches else 1.0

    def prove(self, text: str) -> Proof:
        """Return the proof of a text in the place of this program."""
        o = self.outcome
        assert o.plan is not None
        drawn, slits = api.drawn_contours(o.parts, o.left_out)
        return api.prove(
            text, control_of(o.machine), o.machine, o.process, drawn, slits=slits, plate=o.plan.plate, mode="cut"
        )

    # --- where things stand; line numbers are indices ---------------------------------------------------

    def blocks(self) -> list[tuple[int, int]]:
        """Return where each cut's block begins and stops."""
        lines = self.lines
        starts = [k for k, line in enumerate(lines) if re.match(r"\(cut \d+ of", line)]
        light = max(k for k, line in enumerate(lines) if re.match(r"M3(?!\d)", line))
        end = next(k for k in range(light, len(lines)) if lines[k].startswith(("G0 Z", "G53"))) + 1
        return list(zip(starts, [*starts[1:], end], strict=True))

    def block(self, kind: str = "") -> tuple[int, int] | None:
        """Return the block of a middle cut, or of the first of this kind that has another after it."""
        blocks = self.blocks()
        if not kind:
            return blocks[len(blocks) // 2]
        named = [b for b in blocks if f": {kind}," in self.lines[b[0]]]
        return named[0] if named else None

    def find(self, pattern: str, span: tuple[int, int] | None = None, last: bool = False) -> int | None:
        """Return the first (or last) line in a span that matches."""
        low, high = span or (0, len(self.lines))
        found = [k for k in range(low, high) if re.search(pattern, _COMMENT.sub("", self.lines[k]))]
        return (found[-1] if last else found[0]) if found else None

    def cut_moves(self, span: tuple[int, int]) -> list[int]:
        """Return the lines of a block that move in the plane with the torch on."""
        light = self.find(r"^M3(?!\d)", span)
        off = self.find(r"^M5", span, last=True)
        assert light is not None and off is not None
        return [k for k in range(light, off) if _MOVE.match(self.lines[k])]


Fault = Callable[[Subject], Lines | None]
FAULTS: dict[str, Fault] = {}


def fault(name: str) -> Callable[[Fault], Fault]:
    """Enter a fault in the table."""

    def enter(plant: Fault) -> Fault:
        assert name not in FAULTS
        FAULTS[name] = plant
        return plant

    return enter


def value(line: str, letter: str) -> float | None:
    """Return the number of a word of a line."""
    found = re.search(rf"{letter}({_NUMBER})", _COMMENT.sub("", line))
    return float(found[1]) if found else None


def with_value(line: str, letter: str, number: float) -> str:
    """Return the line with another number in a word, or with the word at its end."""
    text = f"{letter}{number:.5f}".rstrip("0").rstrip(".")
    if re.search(rf"{letter}{_NUMBER}", line):
        return re.sub(rf"{letter}{_NUMBER}", text, line, count=1)
    return f"{line} {text}"


def changed(lines: Sequence[str], at: int | None, *new: str) -> Lines | None:
    """Return the lines with one of them replaced by none or more."""
    return None if at is None else [*lines[:at], *new, *lines[at + 1 :]]


def place(lines: Sequence[str], at: int) -> tuple[float, float]:
    """Return where X and Y stand before a line (in program units; absolute programs)."""
    x = next((v for k in range(at - 1, -1, -1) if (v := value(lines[k], "X")) is not None), 0.0)
    y = next((v for k in range(at - 1, -1, -1) if (v := value(lines[k], "Y")) is not None), 0.0)
    return x, y


# --- torch and waits ------------------------------------------------------------------------------------


def _drop(pattern: str, *, last: bool = False, also: str = "") -> Fault:
    def plant(s: Subject) -> Lines | None:
        at = s.find(pattern, s.block(), last)
        out = changed(s.lines, at)
        return None if out is None else [line for line in out if not also or not re.match(also, line)]

    return plant


def _swap_words(old: str, new: str, everywhere: bool = True) -> Fault:
    def plant(s: Subject) -> Lines | None:
        span = (0, len(s.lines)) if everywhere else s.block()
        assert span is not None
        hit = [k for k in range(*span) if re.search(old, s.lines[k]) and not s.lines[k].startswith("(")]
        lines = s.lines
        for k in hit:
            lines[k] = re.sub(old, new, lines[k])
        return lines if hit else None

    return plant


FAULTS["torch off dropped"] = _drop(r"^M5$", last=True)
FAULTS["torch off dropped everywhere"] = lambda s: [line for line in s.lines if line != "M5"]
FAULTS["torch on dropped"] = _drop(r"^M3(?!\d)")
FAULTS["light delay lost"] = lambda s: changed(s.lines, (s.find(r"^M3(?!\d)", s.block()) or 0) + 1)
FAULTS["arc-out wait lost"] = lambda s: changed(s.lines, (s.find(r"^M5$", s.block(), True) or 0) + 1)


@fault("torch on before the touch-off")
def _(s: Subject) -> Lines | None:
    light, search = s.find(r"^M3(?!\d)", s.block()), s.find(r"^(G38\.2|G31)", s.block())
    if light is None or search is None:
        return None
    lines = s.lines
    word = lines.pop(light)
    return [*lines[:search], word, *lines[search:]]


@fault("torch off before the contour is closed")
def _(s: Subject) -> Lines | None:
    span = s.block()
    assert span is not None
    moves, off = s.cut_moves(span), s.find(r"^M5$", span, True)
    lines = s.lines
    lines.pop(off or 0)
    return [*lines[: moves[-3]], "M5", *lines[moves[-3] :]]


@fault("torch off after the raise")
def _(s: Subject) -> Lines | None:
    span = s.block()
    off, up = s.find(r"^M5$", span, True), s.find(r"^G0 Z", span, True)
    if off is None or up is None:
        return None
    lines = s.lines
    lines[off], lines[up] = lines[up], lines[off]
    return lines


@fault("light delay a tenth")
def _(s: Subject) -> Lines | None:
    at = (s.find(r"^M3(?!\d)", s.block()) or 0) + 1
    number = value(s.lines[at], "P")
    return None if number is None else changed(s.lines, at, with_value(s.lines[at], "P", number / 10))


@fault("light delay three times")
def _(s: Subject) -> Lines | None:
    at = (s.find(r"^M3(?!\d)", s.block()) or 0) + 1
    number = value(s.lines[at], "P")
    return None if number is None else changed(s.lines, at, with_value(s.lines[at], "P", number * 3))


@fault("pierce delay five seconds longer")
def _(s: Subject) -> Lines | None:
    span = s.block()
    assert span is not None
    light = s.find(r"^M3(?!\d)", span)
    waits = [k for k in range((light or 0) + 2, s.cut_moves(span)[0]) if s.lines[k].startswith("G4 P")]
    if not waits:
        return None
    longer = (value(s.lines[waits[0]], "P") or 0.0) + (5000 if s.outcome.machine.dwell_in_ms else 5)
    return changed(s.lines, waits[0], with_value(s.lines[waits[0]], "P", longer))


@fault("look before the first light-up dropped")
def _(s: Subject) -> Lines | None:
    return changed(s.lines, s.find(r"^M0$", s.blocks()[0]))


@fault("dwell in the wrong unit")
def _(s: Subject) -> Lines | None:
    at = (s.find(r"^M3(?!\d)", s.block()) or 0) + 1
    number = value(s.lines[at], "P")
    factor = 0.001 if s.outcome.machine.dwell_in_ms else 1000
    return None if number is None else changed(s.lines, at, with_value(s.lines[at], "P", number * factor))


@fault("pierce height and delay lost")
def _(s: Subject) -> Lines | None:
    span = s.block()
    assert span is not None
    light = s.find(r"^M3(?!\d)", span)
    first = s.cut_moves(span)[0]
    ups = [k for k in range(light or 0, first) if s.lines[k].startswith("G1 Z")]
    return [*s.lines[: ups[0]], *s.lines[ups[-1] :]] if len(ups) > 1 else None


@fault("stop with the torch on")
def _(s: Subject) -> Lines | None:
    span = s.block()
    assert span is not None
    at = s.cut_moves(span)[1]
    return changed(s.lines, at, "M0", s.lines[at])


@fault("way home with the torch on")
def _(s: Subject) -> Lines | None:
    span = s.block()
    assert span is not None
    at = s.cut_moves(span)[1]
    return changed(s.lines, at, "G28", s.lines[at])


# --- touch-off and heights ------------------------------------------------------------------------------


def _searches(s: Subject) -> list[int]:
    span = s.block()
    assert span is not None
    return [k for k in range(*span) if re.match(r"G38\.2|G31", s.lines[k])]


def _datums(s: Subject) -> list[int]:
    span = s.block()
    assert span is not None
    return [k for k in range(*span) if re.match(r"G92 Z|G10 L20", s.lines[k])]


@fault("touch-off dropped")
def _(s: Subject) -> Lines | None:
    datums = _datums(s)
    return [*s.lines[: datums[0]], *s.lines[datums[-1] + 1 :]] if datums else None


@fault("provisional datum dropped")
def _(s: Subject) -> Lines | None:
    return changed(s.lines, _datums(s)[0]) if _searches(s) else None


@fault("search doubled")
def _(s: Subject) -> Lines | None:
    found = _searches(s)
    return changed(s.lines, found[0], s.lines[found[0]], s.lines[found[0]]) if found else None


@fault("datum after the touch dropped")
def _(s: Subject) -> Lines | None:
    return changed(s.lines, _datums(s)[-1]) if _searches(s) else None


def _search(change: Callable[[float, float], float]) -> Fault:
    def plant(s: Subject) -> Lines | None:
        if not _searches(s):
            return None
        at = _searches(s)[0]
        z = value(s.lines[at], "Z")
        return None if z is None else changed(s.lines, at, with_value(s.lines[at], "Z", change(z, s.unit)))

    return plant


FAULTS["search too short"] = _search(lambda z, unit: -10 / unit)
FAULTS["search upwards"] = _search(lambda z, unit: -z)
FAULTS["search far too deep"] = _search(lambda z, unit: z - 60 / unit)


@fault("search turned into a feed move")
def _(s: Subject) -> Lines | None:
    found = _searches(s)
    return changed(s.lines, found[0], re.sub(r"^(G38\.2|G31)", "G1", s.lines[found[0]])) if found else None


@fault("slow touch at the fast feed")
def _(s: Subject) -> Lines | None:
    found = _searches(s)
    feed = value(s.lines[found[0]], "F") if len(found) > 1 else None
    m = s.outcome.machine
    harmless = m.overrun(m.touch_fast_mm_min) - m.overrun(m.touch_slow_mm_min) < 0.1
    return None if feed is None or harmless else changed(s.lines, found[-1], with_value(s.lines[found[-1]], "F", feed))


@fault("guard dropped")
def _(s: Subject) -> Lines | None:
    lines = [line for line in s.lines if not re.match(r"#102=SQRT|IF \[", line)]
    return lines if len(lines) < len(s.lines) else None


@fault("return to the trip dropped")
def _(s: Subject) -> Lines | None:
    return changed(s.lines, s.find(r"^G1 Z#", s.block()))


@fault("datum from the fast touch")
def _(s: Subject) -> Lines | None:
    m = s.outcome.machine
    at = s.find(r"^G1 Z#5063", s.block()) if m.read_late(m.touch_fast_mm_min) >= 0.1 else None
    return None if at is None else changed(s.lines, at, s.lines[at].replace("#5063", "#101"))


def _datum(change: Callable[[float, float], float]) -> Fault:
    def plant(s: Subject) -> Lines | None:
        if not _searches(s):
            return None
        at = _datums(s)[-1]
        z = value(s.lines[at], "Z")
        assert z is not None
        new = change(z, s.unit)
        return None if abs(new - z) < 0.25 / s.unit else changed(s.lines, at, with_value(s.lines[at], "Z", new))

    return plant


FAULTS["float sign flipped"] = _datum(lambda z, unit: -z)
FAULTS["float forgotten"] = _datum(lambda z, unit: 0.0)
FAULTS["float digit changed"] = _datum(lambda z, unit: z + 2 / unit)


@fault("datum names X")
def _(s: Subject) -> Lines | None:
    if not _searches(s):
        return None
    at = _datums(s)[-1]
    return changed(s.lines, at, s.lines[at].replace(" Z", " X0 Z"))


def _rise(which: int, new: Callable[[float, float], float]) -> Fault:
    """Change a Z move between datum and first cut move: 0 is to the start height, 1 to pierce, -1 to cut height."""

    def plant(s: Subject) -> Lines | None:
        span = s.block()
        assert span is not None
        light, first = s.find(r"^M3(?!\d)", span), s.cut_moves(span)[0]
        if light is None or not _searches(s):
            return None
        low = _datums(s)[-1] if which == 0 else light
        ups = [k for k in range(low, light if which == 0 else first) if s.lines[k].startswith("G1 Z")]
        if not ups or (which == 1 and len(ups) == 1):
            return None
        at = ups[0 if which == 1 else which]
        z = value(s.lines[at], "Z")
        assert z is not None
        return changed(s.lines, at, with_value(s.lines[at], "Z", new(z, s.unit)))

    return plant


FAULTS["start height wrong"] = _rise(0, lambda z, unit: 1.0 / unit if z <= 0 else 0.0)
FAULTS["cut height ten times"] = _rise(-1, lambda z, unit: z * 10)
FAULTS["cut height a tenth"] = _rise(-1, lambda z, unit: z / 10)
FAULTS["cut height sign flipped"] = _rise(-1, lambda z, unit: -z)
FAULTS["pierce height eight millimetres"] = _rise(1, lambda z, unit: 8.0 / unit)
FAULTS["raise lost"] = _drop(r"^G0 Z", last=True)


@fault("rise to the start height lost")
def _(s: Subject) -> Lines | None:
    span = s.block()
    if not _searches(s):
        return None
    light = s.find(r"^M3(?!\d)", span) or 0
    return changed(s.lines, next((k for k in range(_datums(s)[-1], light) if s.lines[k].startswith("G1 Z")), None))


@fault("raise far too low")
def _(s: Subject) -> Lines | None:
    at = s.find(r"^G0 Z", s.block(), True)
    z = value(s.lines[at], "Z") if at is not None else None
    return None if z is None else changed(s.lines, at, with_value(s.lines[at or 0], "Z", z / 20))


@fault("moved aside between touch-off and light-up")
def _(s: Subject) -> Lines | None:
    light = s.find(r"^M3(?!\d)", s.block())
    if light is None or not _searches(s):
        return None
    x, _ = place(s.lines, light)
    return changed(s.lines, light, f"G0 X{x + 25 / s.unit:.5f}", s.lines[light])


def _in_mid_cut(line: str) -> Fault:
    """Plant a line between two moves of a cut, in the control's unit of time."""

    def plant(s: Subject) -> Lines | None:
        span = s.block()
        moves = s.cut_moves(span) if span else []
        ms = control_of(s.outcome.machine).dwell_in_ms
        new = line.replace("P1", "P1000") if ms else line
        return changed(s.lines, moves[2], new, s.lines[moves[2]]) if len(moves) > 3 else None

    return plant


FAULTS["dwell in the middle of a cut"] = _in_mid_cut("G4 P1")
FAULTS["a G word that nobody knows"] = _in_mid_cut("G68.7")
FAULTS["an M word that nobody knows"] = _in_mid_cut("M111")
FAULTS["a call of text that is not there"] = _in_mid_cut("M98 P1000")
FAULTS["on word of another output"] = _swap_words(r"^M3(?!\d)", "M4", everywhere=False)


# --- modes and feeds ------------------------------------------------------------------------------------

FAULTS["unit word changed"] = lambda s: _swap_words(*((r"^G20$", "G21") if s.unit > 1 else (r"^G21$", "G20")))(s)
FAULTS["unit word changed in one block"] = lambda s: _swap_words(
    *((r"^G20$", "G21") if s.unit > 1 else (r"^G21$", "G20")), everywhere=False
)(s)
FAULTS["unit word lost"] = lambda s: [line for line in s.lines if line not in ("G20", "G21")]
FAULTS["plane word changed"] = _swap_words("G17", "G18", everywhere=False)
FAULTS["exact path left to blending"] = _swap_words(r"^G61$", "G64")
FAULTS["torch off behind a slash"] = _swap_words(r"^M5$", "/M5", everywhere=False)
FAULTS["touch-off behind a slash"] = _swap_words(r"^(?=G38|G31)", "/", everywhere=False)
FAULTS["plane word lost"] = _swap_words("G17 ", "")
FAULTS["G91 left on"] = _swap_words("G90", "G91", everywhere=False)
FAULTS["G90 lost"] = _swap_words("G90 ", "")
FAULTS["inverse time feed"] = _swap_words("G94", "G93", everywhere=False)
FAULTS["compensation on"] = _swap_words("G40", "G41", everywhere=False)
FAULTS["tool length on"] = _swap_words("G49", "G43 H1", everywhere=False)
FAULTS["another work offset"] = _swap_words(r"^G54$", "G55", everywhere=False)
FAULTS["arc centre mode changed"] = _swap_words(r"^G91\.1$", "G90.1", everywhere=False)
FAULTS["end word lost"] = lambda s: changed(s.lines, s.find(r"^M(2|30)$"))


@fault("datum not cleared and no end word")
def _(s: Subject) -> Lines | None:
    """Drop both: an end word alone clears the shift (NISTIR 6556, 3.6.1)."""
    clear = s.find(r"^G92\.1")
    return None if clear is None else [x for k, x in enumerate(s.lines) if k != clear and x not in ("M2", "M30")]


@fault("program end too early")
def _(s: Subject) -> Lines | None:
    span, end = s.block(), s.find(r"^M(2|30)$")
    return None if span is None or end is None else [*s.lines[: span[0]], s.lines[end], *s.lines[span[0] :]]


def _feed(change: Callable[[float], float | None]) -> Fault:
    def plant(s: Subject) -> Lines | None:
        span = s.block()
        assert span is not None
        at = next((k for k in s.cut_moves(span) if value(s.lines[k], "F") is not None), None)
        if at is None:
            return None
        feed = value(s.lines[at], "F")
        new = change(feed or 0.0)
        line = re.sub(rf" F{_NUMBER}", "", s.lines[at])
        return changed(s.lines, at, line if new is None else with_value(s.lines[at], "F", new))

    return plant


FAULTS["feed lost"] = _feed(lambda f: None)
FAULTS["feed zero"] = _feed(lambda f: 0.0)
FAULTS["feed a tenth"] = _feed(lambda f: f / 10)
FAULTS["feed ten times"] = _feed(lambda f: f * 10)
FAULTS["feed in the wrong unit, 25.4 times"] = _feed(lambda f: f * INCH)
FAULTS["feed in the wrong unit, a 25.4th"] = _feed(lambda f: f / INCH)


# --- order and whole features ---------------------------------------------------------------------------


@fault("one feature removed")
def _(s: Subject) -> Lines | None:
    low, high = s.block() or (0, 0)
    return [*s.lines[:low], *s.lines[high:]]


@fault("hole cut after its outline")
def _(s: Subject) -> Lines | None:
    hole, last = s.block("hole"), s.blocks()[-1]
    if hole is None or ": outline," not in s.lines[last[0]]:
        return None
    lines = s.lines
    return [*lines[: hole[0]], *lines[hole[1] : last[1]], *lines[slice(*hole)], *lines[last[1] :]]


@fault("one feature cut twice")
def _(s: Subject) -> Lines | None:
    low, high = s.block() or (0, 0)
    return [*s.lines[:high], *s.lines[low:high], *s.lines[high:]]


@fault("a cut that nobody drew")
def _(s: Subject) -> Lines | None:
    out = s.block("outline")
    hole = s.block("hole")
    if out is None or hole is None:
        return None
    moved = _moved(s, hole, 0.0, 0.0, scale=0.4)
    return [*s.lines[: hole[0]], *moved, *s.lines[hole[0] :]]


# --- the path -------------------------------------------------------------------------------------------


def _numbered(s: Subject, line: str, word: str, number: float) -> str:
    return with_value(line, word, number)


def _transformed(
    s: Subject, span: tuple[int, int], at: Callable[[float, float], tuple[float, float]], turned: bool = False
) -> Lines:
    """Return the lines of a span with X Y and I J moved by a map of the plane; `turned` swaps G2 and G3."""
    lines, out = s.lines, []
    for k in range(*span):
        line = lines[k]
        if line.startswith("(") or not re.search(r"[XY]", line) or line.startswith("G92"):
            out.append(line)
            continue
        x0, y0 = place(lines, k)
        x = value(line, "X") if value(line, "X") is not None else x0
        y = value(line, "Y") if value(line, "Y") is not None else y0
        assert x is not None and y is not None
        u, v = at(x, y)
        new = with_value(with_value(line, "X", u), "Y", v)
        if "I" in line or "J" in line:
            i, j = value(line, "I") or 0.0, value(line, "J") or 0.0
            u0, v0 = at(x0, y0)
            cu, cv = at(x0 + i, y0 + j)
            new = with_value(with_value(new, "I", cu - u0), "J", cv - v0)
        if turned:
            new = re.sub(r"^G([23])", lambda m: "G3" if m[1] == "2" else "G2", new)
        out.append(new)
    return out


def _moved(s: Subject, span: tuple[int, int], dx: float, dy: float, scale: float = 1.0) -> Lines:
    """Return a block moved by mm and scaled about the middle of its cut."""
    ends = [place(s.lines, k + 1) for k in s.cut_moves(span)]
    cx = (min(x for x, _ in ends) + max(x for x, _ in ends)) / 2
    cy = (min(y for _, y in ends) + max(y for _, y in ends)) / 2
    ux, uy = dx / s.unit, dy / s.unit
    return _transformed(s, span, lambda x, y: (cx + (x - cx) * scale + ux, cy + (y - cy) * scale + uy))


def _feature(kind: str, dx: float, dy: float, grown: float = 0.0) -> Fault:
    """Move a feature by mm, or grow its path by mm all round (exact for circles)."""

    def plant(s: Subject) -> Lines | None:
        span = s.block(kind)
        if span is None:
            return None
        ends = [place(s.lines, k + 1) for k in s.cut_moves(span)]
        half = (max(x for x, _ in ends) - min(x for x, _ in ends)) / 2 * s.unit
        scale = 1 + grown / half
        return [*s.lines[: span[0]], *_moved(s, span, dx, dy, scale), *s.lines[span[1] :]]

    return plant


FAULTS["hole moved by 3 mm"] = _feature("hole", 3.0, 0.0)
FAULTS["hole moved by 0.2 mm"] = _feature("hole", 0.0, 0.2)
FAULTS["hole too large"] = _feature("hole", 0.0, 0.0, 1.0)
FAULTS["hole too small"] = _feature("hole", 0.0, 0.0, -1.0)
FAULTS["outline moved by 0.2 mm"] = _feature("outline", 0.2, 0.0)
FAULTS["kerf to the wrong side"] = lambda s: _feature("hole", 0.0, 0.0, s.outcome.process.kerf)(s)
FAULTS["kerf forgotten"] = lambda s: _feature("hole", 0.0, 0.0, s.outcome.process.kerf / 2)(s)


def _whole(
    at: Callable[[float, float, float, float], tuple[float, float]], turned: bool = False, square: bool = False
) -> Fault:
    """Map the whole program; `at` gets x, y and the size of the plate in program units."""

    def plant(s: Subject) -> Lines | None:
        assert s.outcome.plan is not None
        _, _, w, h = (v / s.unit for v in s.outcome.plan.plate)
        return _transformed(s, (0, len(s.lines)), lambda x, y: at(x, y, w, h), turned)

    return plant


FAULTS["scaled by 25.4"] = _whole(lambda x, y, w, h: (x * INCH, y * INCH))
FAULTS["scaled by a 25.4th"] = _whole(lambda x, y, w, h: (x / INCH, y / INCH))
FAULTS["scaled by 1.01"] = _whole(lambda x, y, w, h: (x * 1.01, y * 1.01))
FAULTS["shifted as a whole"] = _whole(lambda x, y, w, h: (x + 0.02 * w, y))


@fault("mirrored")
def _(s: Subject) -> Lines | None:
    assert s.outcome.plan is not None
    boxes = np.array([c.path.bounds() for c in api.drawn_contours(s.outcome.parts, s.outcome.left_out)[0]])
    width = s.outcome.plan.plate[2]
    other = np.column_stack([width - boxes[:, 2], boxes[:, 1], width - boxes[:, 0], boxes[:, 3]])
    if all(np.abs(boxes - box).max(axis=1).min() < 0.1 for box in other):
        return None  # the drawing is its own mirror image
    return _whole(lambda x, y, w, h: (w - x, y), turned=True)(s)


FAULTS["turned by 90 degrees"] = _whole(lambda x, y, w, h: (h - y, x))
FAULTS["X and Y exchanged"] = _whole(lambda x, y, w, h: (y, x), turned=True)


def _move(
    change: Callable[[Subject, int, str], Sequence[str] | None], kind: str = r"^G[123]", inner: bool = True
) -> Fault:
    """Change one move of a contour: the first of its kind behind the lead."""

    def plant(s: Subject) -> Lines | None:
        for span in (s.block() or (0, 0), *s.blocks()[::-1]):
            moves = s.cut_moves(span)
            for k in moves[1:-2] if inner else moves:
                if re.match(kind, s.lines[k]):
                    new = change(s, k, s.lines[k])
                    if new is not None:
                        return changed(s.lines, k, *new)
        return None

    return plant


def _nudged(letter: str, mm: float) -> Callable[[Subject, int, str], Sequence[str] | None]:
    def change(s: Subject, _k: int, line: str) -> Sequence[str] | None:
        old = value(line, letter)
        return None if old is None else [with_value(line, letter, old + mm / s.unit)]

    return change


def _flipped(letter: str) -> Callable[[Subject, int, str], Sequence[str] | None]:
    def change(s: Subject, _k: int, line: str) -> Sequence[str] | None:
        old = value(line, letter)
        far = old is not None and abs(old) * s.unit > 0.5
        return [with_value(line, letter, -(old or 0.0))] if far else None

    return change


def _exchanged(s: Subject, _k: int, line: str) -> Sequence[str] | None:
    i, j = value(line, "I") or 0.0, value(line, "J") or 0.0
    if abs(abs(i) - abs(j)) * s.unit < 0.5:
        return None
    return [with_value(with_value(line, "I", j), "J", i)]


def _other_way(s: Subject, _k: int, line: str) -> Sequence[str] | None:
    return [re.sub(r"^G([23])", lambda m: "G3" if m[1] == "2" else "G2", line)]


def _straightened(s: Subject, _k: int, line: str) -> Sequence[str] | None:
    return [re.sub(rf" [IJ]{_NUMBER}", "", "G1" + line[2:])]


def _radius_off(s: Subject, _k: int, line: str) -> Sequence[str] | None:
    """Move the centre along the bisector of the ends, so that both radii still agree but the bow is another."""
    x0, y0 = place(s.lines, _k)
    x1 = value(line, "X") if value(line, "X") is not None else x0
    y1 = value(line, "Y") if value(line, "Y") is not None else y0
    i, j = value(line, "I") or 0.0, value(line, "J") or 0.0
    assert x1 is not None and y1 is not None
    chord = math.hypot(x1 - x0, y1 - y0)
    if chord * s.unit < 2:
        return None
    nx, ny = -(y1 - y0) / chord, (x1 - x0) / chord
    by = max(0.2 * math.hypot(i, j), 0.8 / s.unit)
    side = 1 if i * nx + j * ny > 0 else -1
    bows = [
        r - math.sqrt(max(r * r - chord * chord / 4, 0.0))
        for r in (math.hypot(i, j), math.hypot(i + nx * by * side, j + ny * by * side))
    ]
    if abs(bows[0] - bows[1]) * s.unit < 0.15:
        return None
    return [with_value(with_value(line, "I", i + nx * by * side), "J", j + ny * by * side)]


def _word_lost(letter: str) -> Callable[[Subject, int, str], Sequence[str] | None]:
    def change(s: Subject, k: int, line: str) -> Sequence[str] | None:
        old, stands = value(line, letter), place(s.lines, k)["XY".index(letter)]
        if old is None or abs(old - stands) * s.unit < 0.5:
            return None
        return [re.sub(rf" {letter}{_NUMBER}", "", line)]

    return change


def _point_lost(s: Subject, _k: int, line: str) -> Sequence[str] | None:
    found = re.search(r"X(\d+)\.(\d+)", line)
    return [line.replace(found[0], f"X{found[1]}{found[2]}")] if found else None


@fault("two moves exchanged")
def _(s: Subject) -> Lines | None:
    span = s.block()
    assert span is not None
    moves = s.cut_moves(span)
    lines = s.lines
    a, b = moves[1], moves[2]
    lines[a], lines[b] = lines[b], lines[a]
    return lines


FAULTS["one move removed"] = _move(lambda s, k, line: [])
FAULTS["digit changed in X"] = _move(_nudged("X", 1.0))
FAULTS["digit changed in Y"] = _move(_nudged("Y", -0.2), r"^G1")
FAULTS["X sign flipped"] = _move(_flipped("X"))
FAULTS["Y word lost"] = _move(_word_lost("Y"))
FAULTS["X word lost"] = _move(_word_lost("X"))
FAULTS["decimal point lost"] = _move(_point_lost)
FAULTS["rapid instead of a cut"] = _move(lambda s, k, line: ["G0" + line[2:]], r"^G1")
FAULTS["I and J exchanged"] = _move(_exchanged, r"^G[23]")
FAULTS["I sign flipped"] = _move(_flipped("I"), r"^G[23]")
FAULTS["J sign flipped"] = _move(_flipped("J"), r"^G[23]")
FAULTS["arc direction exchanged"] = _move(_other_way, r"^G[23]")
FAULTS["arc turned into a line"] = _move(_straightened, r"^G[23]")
FAULTS["arc radius off"] = _move(_radius_off, r"^G[23]")
FAULTS["centre off by 0.5 mm"] = _move(_nudged("I", 0.5), r"^G[23]")
FAULTS["an axis that the table has not"] = _move(lambda s, k, line: [f"{line} A90"])
FAULTS["letter O for zero"] = _move(lambda s, k, line: [re.sub(r"(\d)(?=\D*$)", "O", line)])
FAULTS["two lines run together"] = _move(lambda s, k, line: [f"{line} {s.lines[k]}"])
FAULTS["comment not closed"] = _move(lambda s, k, line: ["(edited here", line])


@fault("pierce place moved across the edge")
def _(s: Subject) -> Lines | None:
    span = s.block("hole")
    if span is None:
        return None
    go, lead = s.find(r"^G0 .*X", span), s.cut_moves(span)[0]
    if go is None:
        return None
    (x, y), (u, v) = place(s.lines, go + 1), place(s.lines, lead + 1)
    return changed(s.lines, go, with_value(with_value(s.lines[go], "X", 3 * u - 2 * x), "Y", 3 * v - 2 * y))


@fault("lead mirrored onto the part")
def _(s: Subject) -> Lines | None:
    span = s.block("outline")
    if span is None:
        return None
    go, lead = s.find(r"^G0 .*X", span), s.cut_moves(span)[0]
    if go is None:
        return None
    (x, y), (u, v) = place(s.lines, go + 1), place(s.lines, lead + 1)
    lines = s.lines
    lines[go] = with_value(with_value(lines[go], "X", 2 * u - x), "Y", 2 * v - y)
    lines[lead] = re.sub(rf" [IJ]{_NUMBER}", "", "G1" + lines[lead][2:])
    return lines


@fault("lead run past the contour and back")
def _(s: Subject) -> Lines | None:
    span = s.block("outline")
    if span is None:
        return None
    moves = s.cut_moves(span)
    straight = next((k for k in moves[1:-3] if s.lines[k].startswith("G1")), None)
    if straight is None:
        return None
    (x, y), (u, v) = place(s.lines, straight), place(s.lines, straight + 1)
    length = math.dist((x, y), (u, v))
    share = 6.0 / s.unit / length
    if share > 1.0:
        return None
    back = f"G1 X{u - (u - x) * share:.5f} Y{v - (v - y) * share:.5f}"
    return changed(s.lines, straight, s.lines[straight], back, f"G1 X{u:.5f} Y{v:.5f}")


@fault("over-burn lost")
def _(s: Subject) -> Lines | None:
    span = s.block("hole")
    return None if span is None else changed(s.lines, s.cut_moves(span)[-1])


# --- what an earlier job left in the control ------------------------------------------------------------


def _first(pattern: str, *before: str) -> Fault:
    """Put lines before the first line that matches."""

    def plant(s: Subject) -> Lines | None:
        at = s.find(pattern)
        return None if at is None else changed(s.lines, at, *before, s.lines[at])

    return plant


def _never(word: str) -> Fault:
    """Take a word out of every line."""

    def plant(s: Subject) -> Lines | None:
        lines = [re.sub(rf"(?<![A-Z0-9]){word}(?![0-9.])", "", line) for line in s.lines]
        return None if lines == s.lines else lines

    return plant


FAULTS["work offset never stated"] = _never("G54")
FAULTS["kerf compensation never cancelled"] = _never("G40")
FAULTS["feed mode never stated"] = _never("G94")
FAULTS["offsets of an earlier job restored"] = _first(r"^M5", "G92.3")


@fault("machine zero of an unhomed Z")
def _(s: Subject) -> Lines | None:
    return None if s.outcome.machine.z_homed else _first(r"^M5", "G53 G0 Z-2")(s)


@fault("stored work offset written")
def _(s: Subject) -> Lines | None:
    return _first(r"^M5", "#5221=2")(s) if control_of(s.outcome.machine).expressions else None


# --- judging --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a proof says of a planted fault: the findings that are new, errors and warnings alone, worst first."""

    new: tuple[Finding, ...]

    @property
    def word(self) -> str:
        """``error``, ``warning`` or ``MISSED``."""
        return str(self.new[0].severity) if self.new else "MISSED"


def judged(subject: Subject, plant: Fault) -> Verdict | None:
    """Return what the proof says of a fault, None where the program does not hold what the fault needs."""
    lines = plant(subject)
    if lines is None or lines == subject.lines:
        return None
    assert subject.outcome.proof is not None
    known = {f.rule for f in subject.outcome.proof.findings if f.severity is not Severity.NOTE}
    proof = subject.prove("\n".join(lines) + "\n")
    new = [f for f in proof.findings if f.severity is not Severity.NOTE and f.rule not in known]
    return Verdict(tuple(sorted(new, key=lambda f: list(Severity).index(f.severity))))
