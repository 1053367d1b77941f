"""Contours that cross or touch themselves or each other: kerf compensation on them means nothing."""

from __future__ import annotations

from collections.abc import Sequence

from kerfproof.errors import Finding, Severity
from kerfproof.geom.crossing import CROSS, OVERLAP, TOUCH, crossings
from kerfproof.geom.path import Bundle, Path
from kerfproof.parts.model.contour import Contour, ContourFault
from kerfproof.sentence import counted

NEAR = 1e-4
"""Contours nearer than this (mm) touch."""
DOUBLED = 0.6
"""Two contours no further apart than this (mm) are hardly two."""
WEIGHT = {OVERLAP: 0, CROSS: 1, TOUCH: 2}
"""Which of several meetings is told."""
MANY = 20


def crossing_findings(closed: Sequence[Contour]) -> tuple[set[int], list[Finding], list[ContourFault]]:
    """Return the numbers of contours that can't be used, a finding for each pair that meets, and all the places."""
    if not closed:
        return set(), [], []
    segments = Bundle.of([c.path for c in closed]).segments()
    found = crossings(segments, tolerance=NEAR)
    bad: set[int] = set()
    meetings: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for row, (i, j) in enumerate(zip(found.i.tolist(), found.j.tolist(), strict=True)):
        a, b = sorted((int(segments.owner[i]), int(segments.owner[j])))
        bad.update((a, b))
        meetings.setdefault((a, b), []).append((WEIGHT[str(found.kind[row])], row))
    told = []
    for (a, b), rows in list(meetings.items())[:MANY]:
        row = min(rows)[1]
        x, y = found.at[row].tolist()
        told.append(_finding(closed[a], closed[b], a == b, str(found.kind[row]), x, y))
    if len(meetings) > MANY:
        rest = f"{counted(len(meetings) - MANY, 'more place')} where contours meet"
        told.append(Finding("contours-cross", Severity.ERROR, rest, "see the picture of kerfproof inspect"))
    return bad, told, [ContourFault("crossing", x, y) for x, y in found.at.tolist()]


def _nearly_same(a: Path, b: Path) -> bool:
    """Return whether two closed paths lie within `DOUBLED` of each other, as far as boxes and areas can tell."""
    if max(abs(p - q) for p, q in zip(a.bounds(), b.bounds(), strict=True)) > DOUBLED:
        return False
    return abs(abs(a.area()) - abs(b.area())) <= DOUBLED * (a.length() + b.length()) / 2


def _finding(a: Contour, b: Contour, same: bool, how: str, x: float, y: float) -> Finding:
    handles = "/".join(dict.fromkeys((*a.handles[:2], *b.handles[:2])))
    if same:
        met = "crosses" if how == CROSS else "runs back on" if how == OVERLAP else "touches"
        what = f"a contour {met} itself, so inside and outside are not defined"
        advice = "redraw it so that it does not meet itself"
        return Finding("self-crossing", Severity.ERROR, what, advice, x=x, y=y, handle=handles, layer=a.layer)
    if _nearly_same(a.path, b.path):
        what = "two contours cross that lie nearly on each other: it seems to be one that was drawn twice"
        advice = "delete one of the two"
    elif how == OVERLAP:
        what = "two contours share an edge, so there is no room for a kerf between them"
        advice = "move them apart in the drawing by a kerf and a web, or unite them"
    else:
        what = (
            f"two contours {'cross' if how == CROSS else 'touch'} each other, so the kerf between them is not defined"
        )
        advice = "move them apart, unite them in the drawing, or put one on an ignored layer"
    return Finding("contours-cross", Severity.ERROR, what, advice, x=x, y=y, handle=handles)
