"""What to say of chains that do not close."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, inf

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.closest import point_distances
from kerfproof.geom.index import Index, point_boxes
from kerfproof.geom.path import Bools, Bundle, Floats
from kerfproof.geom.region import inside
from kerfproof.parts.model.contour import Contour
from kerfproof.sentence import Phrase, counted, mm, mm_places, option, say

NEARLY = 0.1
"""A chain whose ends lie nearer than this share of its length was meant to close."""
WIDEST = 2.0
"""Gaps beyond this (mm) are no slips of the hand."""
ON = 0.05
"""An end this near (mm) to another line lies on it."""
TOLD = 10.0
"""A loose end this near (mm) is told."""
REACHES = (0.1, 1.0, TOLD)
"""Loose ends are looked for as far as this (mm), nearer first: a dense tangle holds thousands within the last."""
MANY = 20


@dataclass(frozen=True, slots=True)
class _Ends:
    """The two ends of a chain: the gap (mm) to the nearest loose end, and how many lie on other lines."""

    gap: float
    own: float
    on_lines: int


def open_findings(opened: Sequence[Contour], closed: Sequence[Contour], tolerance: float) -> list[Finding]:
    """Return a finding for each open chain on a cut layer.

    It is an error where the chain was probably meant to be a contour (its ends nearly meet, other loose ends
    are near, it closes a loop with an edge of another contour, or closed contours lie within its box, which would
    turn holes into parts), else a warning.
    """
    if not opened:
        return []
    boxes = np.array([c.path.bounds() for c in closed]).reshape(-1, 4)
    middles = np.array([_middle(c) for c in opened])
    in_metal = inside(Bundle.of([c.path for c in closed]), middles) if closed else np.zeros(len(opened), dtype=np.bool_)
    findings = [
        _finding(contour, ends, _holds_closed(contour, boxes), bool(within), tolerance)
        for contour, ends, within in zip(opened, _ends(opened, closed), in_metal, strict=True)
    ]
    findings.sort(key=lambda f: f.severity is not Severity.ERROR)
    if len(findings) > MANY:
        rest = len(findings) - MANY
        worst = findings[MANY].severity
        advice = "see the picture of kerfproof inspect"
        findings = [
            *findings[:MANY],
            Finding(
                "open-chain",
                worst,
                f"{counted(rest, 'more chain')} that {'does' if rest == 1 else 'do'} not close",
                advice,
            ),
        ]
    return findings


def _finding(contour: Contour, ends: _Ends, holds: bool, within: bool, tolerance: float) -> Finding:
    length, gap = contour.path.length(), min(ends.gap, ends.own)
    (x, y), (x1, y1) = (np.round([contour.path.start, contour.path.end], 2) + 0.0).tolist()  # no -0.00
    shares = ends.on_lines == 2 and not within
    nearly = ends.own < NEARLY * length or (ends.gap < NEARLY * length and ends.gap < WIDEST)
    what = say(
        "a chain {length} long does not close: it ends at {ends}",
        length=mm(length, ".1f" if length >= 1 else ".3f"),
        ends=mm_places((x, y), (x1, y1), between=" and "),
    )
    advice: Phrase = "it is not cut; put it on an ignored layer, or close it if it belongs to a contour"
    if ends.on_lines == 2:
        what += ", both on other lines"
        if shares:
            advice = "if it shares an edge with them, draw it closed, with room for a kerf between"
    elif gap < TOLD:
        what += say(", the nearest loose end is {gap} away", gap=mm(gap, ".3f"))
    if nearly and tolerance < gap < WIDEST:
        advice = say("close the gap in the drawing or allow {join}", join=option("join", ceil(gap * 101) / 100))
    return Finding(
        "open-chain",
        Severity.ERROR if nearly or holds or shares else Severity.WARNING,
        what,
        advice,
        x=x,
        y=y,
        handle="/".join(contour.handles[:3]),
        size=gap if np.isfinite(gap) else None,
        layer=contour.layer,
    )


def _ends(opened: Sequence[Contour], closed: Sequence[Contour]) -> list[_Ends]:
    spots = np.array([(*c.path.start, *c.path.end) for c in opened]).reshape(-1, 2)
    on_line = _on_lines(spots, opened, closed)
    gaps = _gaps(spots, on_line).reshape(-1, 2).min(axis=1)
    own = np.hypot(*(spots[1::2] - spots[::2]).T)
    count = on_line.reshape(-1, 2).sum(axis=1)
    return [_Ends(*ends) for ends in zip(gaps.tolist(), own.tolist(), count.tolist(), strict=True)]


def _gaps(spots: Floats, on_line: Bools) -> Floats:
    """Return how far it is from each loose end to the nearest of another chain, inf beyond the longest reach."""
    gaps = np.full(len(spots), inf)
    free = np.flatnonzero(~on_line)
    if not len(free):
        return gaps
    index, ask = Index(point_boxes(spots[free])), free
    for reach in REACHES:
        k, other = index.pairs(point_boxes(spots[ask]), reach)
        mine, theirs = ask[k], free[other]
        apart = np.hypot(*(spots[mine] - spots[theirs]).T)
        near = (mine // 2 != theirs // 2) & (apart <= reach)
        np.minimum.at(gaps, mine[near], apart[near])
        ask = ask[np.isinf(gaps[ask])]
        if not len(ask):
            break
    return gaps


def _on_lines(spots: Floats, opened: Sequence[Contour], closed: Sequence[Contour]) -> Bools:
    """Return which ends (two of each open chain) lie on another chain or contour."""
    segments = Bundle.of([c.path for c in (*opened, *closed)]).segments()
    point, segment = Index(segments.boxes()).pairs(point_boxes(spots), ON)
    other = segments.owner[segment] != point // 2
    point, segment = point[other], segment[other]
    near = point_distances(spots[point], segments, segment) <= ON
    # The loose end of another chain is no line to lie on, unless the two meet: then it is a branch point.
    out = np.zeros(len(spots), dtype=np.bool_)
    out[point[near]] = True
    return out


def _middle(contour: Contour) -> Floats:
    s = contour.path.segments()
    return np.asarray(s.points(np.array([len(s) // 2]), np.array([0.5]))[0])


def _holds_closed(contour: Contour, boxes: Floats) -> bool:
    x0, y0, x1, y1 = contour.path.bounds()
    if not len(boxes) or contour.path.n_segments < 2:
        return False
    within = (boxes[:, 0] > x0) & (boxes[:, 1] > y0) & (boxes[:, 2] < x1) & (boxes[:, 3] < y1)
    return bool(within.any())
