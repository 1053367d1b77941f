"""A correct program in which faults are planted, the table of faults, and how a line is changed.

Lines are seen with ``M3`` and ``M5`` for whatever lights the torch and puts it out on the machine; `Subject.text`
writes the machine's own lines again.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache

from kerfproof import api
from kerfproof.gcode.machine_control import control_of
from kerfproof.outcome import Outcome
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.proof import Proof
from kerfproof.shop.profile import Machine

INCH = 25.4
NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)"
COMMENT = re.compile(r"\([^)]*\)")
_MOVE = re.compile(r"^G[123] .*[XY]")
Lines = list[str]


@dataclass(frozen=True, slots=True)
class Subject:
    """A correct program with all it is proven against, and the block in which to plant, counted from 0."""

    outcome: Outcome = field(repr=False)
    chosen: int = 0

    @property
    def lines(self) -> Lines:
        """Return the lines, to be changed at will."""
        return list(_lines_of(self.outcome))

    def text(self, lines: Sequence[str]) -> str:
        """Return lines as the machine writes them."""
        m = self.outcome.machine
        if (m.torch_on, m.torch_off) == ("M3", "M5"):
            return "\n".join(lines) + "\n"
        own = {"M3": m.torch_on, "M5": m.torch_off}
        return "\n".join(re.sub(r"^(/?)(M[35])$", lambda w: w[1] + own[w[2]], line) for line in lines) + "\n"

    @property
    def unit(self) -> float:
        """Return the mm of a program unit."""
        return INCH if self.outcome.machine.inches else 1.0

    @property
    def drawn(self) -> tuple[tuple[Contour, ...], tuple[Contour, ...]]:
        """Return the drawn contours and slits."""
        return api.drawn_contours(self.outcome.parts, self.outcome.left_out)

    def prove(
        self,
        text: str,
        machine: Machine | None = None,
        *,
        mode: str = "cut",
        loose: bool = False,
        drawn: tuple[tuple[Contour, ...], tuple[Contour, ...]] | None = None,
    ) -> Proof:
        """Return the proof of a text in the place of this program; `loose`: where the drawing lies is not known."""
        o = self.outcome
        m = machine or o.machine
        assert o.plan is not None
        closed, slits = self.drawn if drawn is None else drawn
        plate = None if loose else o.plan.plate
        counts = ((len(closed), len(slits)),) if loose else ()
        return api.prove(
            text,
            api.Against(
                control=control_of(m),
                machine=m,
                process=o.process,
                drawn=closed,
                slits=slits,
                plate=plate,
                mode=mode,
                placed=not loose,
                counts=counts,
            ),
        )

    # --- where things stand; line numbers are indices ---------------------------------------------------

    def blocks(self) -> list[tuple[int, int]]:
        """Return where each cut's block begins and stops."""
        return list(_blocks_of(self.outcome))

    def block(self, kind: str = "") -> tuple[int, int] | None:
        """Return the chosen block, None if it is not of this kind."""
        span = self.blocks()[self.chosen]
        return span if not kind or f": {kind}," in self.lines[span[0]] else None

    @property
    def here(self) -> tuple[int, int]:
        """Return the chosen block."""
        return self.blocks()[self.chosen]

    @property
    def last(self) -> bool:
        """Return whether the chosen block is the last one."""
        return self.chosen == len(self.blocks()) - 1

    def find(self, pattern: str, span: tuple[int, int] | None = None, last: bool = False) -> int | None:
        """Return the first (or last) line in a span that matches."""
        low, high = span or (0, len(self.lines))
        lines = self.lines
        found = [k for k in range(low, high) if re.search(pattern, COMMENT.sub("", lines[k]))]
        return (found[-1] if last else found[0]) if found else None

    @property
    def light(self) -> int:
        """Return the line that lights the torch in the chosen block."""
        at = self.find(r"^M3$", self.here)
        assert at is not None
        return at

    @property
    def off(self) -> int:
        """Return the line that puts the torch out at the end of the chosen block."""
        at = self.find(r"^M5$", self.here, last=True)
        assert at is not None
        return at

    def cut_moves(self, span: tuple[int, int] | None = None) -> list[int]:
        """Return the lines of a block that move in the plane with the torch on."""
        span = span or self.here
        light, off = self.find(r"^M3$", span), self.find(r"^M5$", span, last=True)
        assert light is not None and off is not None
        lines = self.lines
        return [k for k in range(light, off) if _MOVE.match(lines[k])]

    def waits(self) -> list[int]:
        """Return the dwells from the light-up to the first cut move."""
        lines = self.lines
        return [k for k in range(self.light, self.cut_moves()[0]) if lines[k].startswith("G4 P")]

    def rises(self) -> list[int]:
        """Return the Z moves from the light-up to the first cut move: to pierce height (if any) and cut height."""
        lines = self.lines
        return [k for k in range(self.light, self.cut_moves()[0]) if lines[k].startswith("G1 Z")]

    def searches(self) -> list[int]:
        """Return the searches of the chosen block."""
        lines = self.lines
        return [k for k in range(*self.here) if re.match(r"G38\.2|G31", lines[k])]

    def datums(self) -> list[int]:
        """Return the lines of the chosen block that set Z."""
        lines = self.lines
        return [k for k in range(*self.here) if re.match(r"G92 Z|G10 L20", lines[k])]


@cache
def _lines_of(outcome: Outcome) -> tuple[str, ...]:
    assert outcome.program is not None
    m = outcome.machine
    seen = {m.torch_on: "M3", m.torch_off: "M5"}
    return tuple(seen.get(line, line) for line in outcome.program.text.splitlines())


@cache
def _blocks_of(outcome: Outcome) -> tuple[tuple[int, int], ...]:
    lines = _lines_of(outcome)
    starts = [k for k, line in enumerate(lines) if re.match(r"\(cut \d+ of", line)]
    light = max(k for k, line in enumerate(lines) if line == "M3")
    end = next(k for k in range(light, len(lines)) if lines[k].startswith(("G0 Z", "G53"))) + 1
    return tuple(zip(starts, [*starts[1:], end], strict=True))


@dataclass(frozen=True, slots=True)
class Planted:
    """A fault that needs a right program of its own to be compared with, or another way to be judged.

    `right` are the lines without the fault; `loose`: nobody says where the drawing lies; `drawn`: other contours;
    `told_by`: only findings of these rules count, because others only see what follows from it.
    """

    lines: Lines
    right: Lines | None = None
    loose: bool = False
    drawn: tuple[tuple[Contour, ...], tuple[Contour, ...]] | None = None
    told_by: frozenset[str] = frozenset()


Fault = Callable[[Subject], "Lines | Planted | None"]
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
    found = re.search(rf"{letter}({NUMBER})", COMMENT.sub("", line))
    return float(found[1]) if found else None


def with_value(line: str, letter: str, number: float) -> str:
    """Return the line with another number in a word, or with the word at its end."""
    text = f"{letter}{number:.5f}".rstrip("0").rstrip(".")
    if re.search(rf"{letter}{NUMBER}", line):
        return re.sub(rf"{letter}{NUMBER}", text, line, count=1)
    return f"{line} {text}"


def changed(lines: Sequence[str], at: int | None, *new: str) -> Lines | None:
    """Return the lines with one of them replaced by none or more."""
    return None if at is None else [*lines[:at], *new, *lines[at + 1 :]]


def place(lines: Sequence[str], at: int) -> tuple[float, float]:
    """Return where X and Y stand before a line (in program units; absolute programs)."""
    x = next((v for k in range(at - 1, -1, -1) if (v := value(lines[k], "X")) is not None), 0.0)
    y = next((v for k in range(at - 1, -1, -1) if (v := value(lines[k], "Y")) is not None), 0.0)
    return x, y


def transformed(
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


def moved(s: Subject, span: tuple[int, int], dx: float, dy: float, scale: float = 1.0) -> Lines:
    """Return a block moved by mm and scaled about the middle of its cut."""
    ends = [place(s.lines, k + 1) for k in s.cut_moves(span)]
    cx = (min(x for x, _ in ends) + max(x for x, _ in ends)) / 2
    cy = (min(y for _, y in ends) + max(y for _, y in ends)) / 2
    ux, uy = dx / s.unit, dy / s.unit
    return transformed(s, span, lambda x, y: (cx + (x - cx) * scale + ux, cy + (y - cy) * scale + uy))
