"""The path of the torch: features, single moves, leads."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence

import numpy as np

from kerfproof.shop.profile import StartKind
from support.faulty.subject import (
    FAULTS,
    INCH,
    NUMBER,
    Fault,
    Lines,
    Subject,
    changed,
    fault,
    moved,
    place,
    transformed,
    value,
    with_value,
)


def _feature(kind: str, dx: float, dy: float, grown: float = 0.0) -> Fault:
    """Move a feature by mm, or grow its path by mm all round (exact for circles)."""

    def plant(s: Subject) -> Lines | None:
        span = s.block(kind)
        if span is None:
            return None
        ends = [place(s.lines, k + 1) for k in s.cut_moves(span)]
        half = (max(x for x, _ in ends) - min(x for x, _ in ends)) / 2 * s.unit
        scale = 1 + grown / half
        return [*s.lines[: span[0]], *moved(s, span, dx, dy, scale), *s.lines[span[1] :]]

    return plant


FAULTS["hole moved by 3 mm"] = _feature("hole", 3.0, 0.0)
FAULTS["hole moved by 0.2 mm"] = _feature("hole", 0.0, 0.2)
FAULTS["hole too large"] = _feature("hole", 0.0, 0.0, 1.0)
FAULTS["hole too small"] = _feature("hole", 0.0, 0.0, -1.0)
FAULTS["outline moved by 0.2 mm"] = _feature("outline", 0.2, 0.0)
FAULTS["kerf to the wrong side"] = lambda s: _feature("hole", 0.0, 0.0, s.outcome.process.kerf)(s)
FAULTS["kerf forgotten"] = lambda s: _feature("hole", 0.0, 0.0, s.outcome.process.kerf / 2)(s)


def _whole(at: Callable[[float, float, float, float], tuple[float, float]], turned: bool = False) -> Fault:
    """Map the whole program; `at` gets x, y and the size of the plate in program units."""

    def plant(s: Subject) -> Lines | None:
        assert s.outcome.plan is not None
        _, _, w, h = (v / s.unit for v in s.outcome.plan.plate)
        return transformed(s, (0, len(s.lines)), lambda x, y: at(x, y, w, h), turned)

    return plant


FAULTS["scaled by 25.4"] = _whole(lambda x, y, w, h: (x * INCH, y * INCH))
FAULTS["scaled by a 25.4th"] = _whole(lambda x, y, w, h: (x / INCH, y / INCH))
FAULTS["scaled by 1.01"] = _whole(lambda x, y, w, h: (x * 1.01, y * 1.01))
FAULTS["shifted as a whole"] = _whole(lambda x, y, w, h: (x + 0.02 * w, y))


@fault("mirrored")
def _(s: Subject) -> Lines | None:
    assert s.outcome.plan is not None
    boxes = np.array([c.path.bounds() for c in s.drawn[0]])
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
        moves = s.cut_moves()
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
    return [re.sub(rf" [IJ]{NUMBER}", "", "G1" + line[2:])]


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
        return [re.sub(rf" {letter}{NUMBER}", "", line)]

    return change


def _point_lost(s: Subject, _k: int, line: str) -> Sequence[str] | None:
    found = re.search(r"X(\d+)\.(\d+)", line)
    return [line.replace(found[0], f"X{found[1]}{found[2]}")] if found else None


@fault("two moves exchanged")
def _(s: Subject) -> Lines | None:
    moves, lines = s.cut_moves(), s.lines
    if len(moves) < 3:
        return None
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
    lead = s.cut_moves(span)[0]
    go = max((k for k in range(span[0], lead) if re.match(r"G0 .*X", s.lines[k])), default=None)
    if go is None:
        return None
    (x, y), (u, v) = place(s.lines, go + 1), place(s.lines, lead + 1)
    lines = s.lines
    lines[go] = with_value(with_value(lines[go], "X", 2 * u - x), "Y", 2 * v - y)
    lines[lead] = re.sub(rf" [IJ]{NUMBER}", "", "G1" + lines[lead][2:])
    return lines


@fault("lead run past the contour and back")
def _(s: Subject) -> Lines | None:
    """Go back in the kerf, where a contact torch goes out; a pilot arc may pass there."""
    span = s.block("outline")
    if span is None or s.outcome.machine.start is not StartKind.CONTACT:
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
