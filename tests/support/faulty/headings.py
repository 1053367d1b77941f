"""Faults in what a program says of itself: its heading excuses what its lines do.

These are judged as ``kerfproof prove`` does: drawing, process and what is left out come from the heading.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache

import numpy as np

from kerfproof import api
from kerfproof.errors import Severity
from kerfproof.geom.path import Path
from kerfproof.job.write_header import tab_words
from kerfproof.programs.drawing_lookup import DrawingAtHand
from kerfproof.programs.prove_program import ProgramAtHand
from kerfproof.programs.proven_program import ProvenProgram
from kerfproof.programs.read_header import read_claims
from support.faulty.judging import Verdict
from support.faulty.subject import Lines, Subject, value, with_value
from support.shop.shop import built_in, chart, cut, demo

DRAWING = "sluice-sheet"
Heading = Callable[[Subject], "Lines | tuple[Lines, Lines] | None"]
"""From the subject to lines; with them the lines of the same program that say nothing of what is missing."""
HEADINGS: dict[str, Heading] = {}


@cache
def headed() -> Subject:
    """Return a right program whose heading names its drawing."""
    return Subject(cut(demo(DRAWING), built_in()))


def proved(text: str) -> ProvenProgram:
    """Return what ``prove`` says of a text with its drawing given."""
    claims = read_claims(text)
    assert claims.material is not None and claims.thickness is not None
    program = ProgramAtHand(
        text=text,
        name="x.nc",
        shop=api.Shop(built_in(), chart()),
        material=claims.material,
        thickness=claims.thickness,
        drawings=(DrawingAtHand(name="part.dxf", data=demo(DRAWING)),),
    )
    return api.prove_program(program)


def heading_verdict(kind: str, block: int) -> Verdict | None:
    """Return what is said of a fault in the heading, planted at a block, that is not said of the right program."""
    subject = Subject(headed().outcome, block)
    found = HEADINGS[kind](subject)
    if found is None:
        return None
    lines, bare = found if isinstance(found, tuple) else (found, None)
    follows: set[str] = set()
    if bare is not None:  # what the missing cut changes for its neighbours is no answer to what the heading says
        follows = {f.rule for f in proved(subject.text(bare)).findings} - {"feature-not-cut", "not-free"}
    told = proved(subject.text(lines)).findings
    new = [f for f in told if f.severity is not Severity.NOTE and f.rule not in follows]
    order = list(Severity)
    return Verdict(tuple(sorted(new, key=lambda f: order.index(f.severity))), block)


def right_findings() -> list[str]:
    """Return what is said of the right program, notes aside."""
    found = proved(headed().text(headed().lines)).findings
    return [f.sentence() for f in found if f.severity is not Severity.NOTE]


def heading(name: str) -> Callable[[Heading], Heading]:
    """Enter a fault in the table."""

    def enter(plant: Heading) -> Heading:
        assert name not in HEADINGS
        HEADINGS[name] = plant
        return plant

    return enter


def _with(lines: Lines, *said_too: str) -> Lines:
    """Return the lines with more pairs at the end of the heading."""
    last = max(k for k, line in enumerate(lines) if line.startswith("(proof:"))
    return [*lines[: last + 1], *(f"(proof: {pair})" for pair in said_too), *lines[last + 1 :]]


def _without_hole(s: Subject, say: Callable[[Subject], str]) -> tuple[Lines, Lines] | None:
    """Leave out a hole and say why it need not be there."""
    hole = s.block("hole")
    if hole is None or hole[0] == s.blocks()[0][0]:  # the first search begins where the torch is parked
        return None
    # The cut before goes up to where the cut behind begins to search.
    raised = [k for k in range(hole[0], hole[1]) if s.lines[k].startswith("G0 Z")][-1:]
    before = [k for k in range(hole[0]) if s.lines[k].startswith("G0 Z")][-1:]
    lines = list(s.lines)
    for k, up in zip(before, raised, strict=False):
        lines[k] = s.lines[up]
    bare = [*lines[: hole[0]], *lines[hole[1] :]]
    return _with(bare, say(s)), bare


def _feature(s: Subject) -> int:
    found = re.search(r"feature (\d+)", s.lines[s.here[0]])
    assert found is not None
    return int(found[1])


def _contour(s: Subject) -> tuple[float, float, Path]:
    """Return the middle of the block's feature and its path, plate coordinates."""
    feature = next(f for f in s.outcome.parts.features if f.number == _feature(s))
    x0, y0, x1, y1 = feature.contour.path.bounds()
    return (x0 + x1) / 2, (y0 + y1) / 2, feature.contour.path


def _opened(path: Path) -> Path:
    """Return a closed path as an open one that ends where it began."""
    return Path(np.vstack([path.vertices, [*path.start, 0.0]]), False) if path.closed else path


@heading("written with errors")
def _(s: Subject) -> Lines | None:
    return ["(NOT PROVEN - WRITTEN WITH 1 ERROR - DO NOT RUN UNSEEN)", *s.lines] if not s.chosen else None


@heading("a hole left out by its place's role")
def _(s: Subject) -> tuple[Lines, Lines] | None:
    def say(s: Subject) -> str:
        _, _, path = _contour(s)
        x, y = (float(a - b) for a, b in zip(path.start, s.outcome.shift, strict=True))
        return f"contour-role = ignore at {x:.4f} {y:.4f} mm of part.dxf"

    return _without_hole(s, say)


@heading("all circles left out by a role")
def _(s: Subject) -> tuple[Lines, Lines] | None:
    _, _, path = _contour(s)
    x0, y0, x1, y1 = path.bounds()
    is_round = abs((x1 - x0) - (y1 - y0)) < 0.01 and s.block("hole") is not None
    if not is_round:
        return None
    return _without_hole(s, lambda _s: "role = ignore kind:CIRCLE")


@heading("a tab as long as the hole")
def _(s: Subject) -> tuple[Lines, Lines] | None:
    def say(s: Subject) -> str:
        _, _, path = _contour(s)
        return f"tab = {tab_words(_opened(path))}"

    return _without_hole(s, say)


@heading("a tab as long as the torch's way round the hole")
def _(s: Subject) -> tuple[Lines, Lines] | None:
    def say(s: Subject) -> str:
        assert s.outcome.plan is not None
        planned = next(c for c in s.outcome.plan.cuts if c.feature == _feature(s))
        return f"tab = {tab_words(_opened(planned.contour))}"

    return _without_hole(s, say)


@heading("a feed that was chosen, a third of the chart's")
def _(s: Subject) -> Lines | None:
    if s.chosen:
        return None
    lines = [re.sub(r"feed = 2200 mm/min", "feed = 733 mm/min chosen", line) for line in s.lines]
    return [
        with_value(line, "F", (value(line, "F") or 0.0) / 3) if re.match(r"G[123] [XY].*F", line) else line
        for line in lines
    ]


@heading("no pierce delay, as chosen")
def _(s: Subject) -> Lines | None:
    if s.chosen:
        return None
    lines, gone = s.lines, set()
    for k in range(len(s.blocks())):
        gone |= set(Subject(s.outcome, k).waits()[1:])
    return _with([line for k, line in enumerate(lines) if k not in gone], "pierce-delay = 0 s")
