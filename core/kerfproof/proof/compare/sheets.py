"""Each sheet of a program compared with the drawing by itself, so that none is proven by what is cut on another.

A drawn part may be cut on any sheet, and on some of them only, but wherever any of it is cut it must be cut whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.errors import Finding, Severity, Watch
from kerfproof.gcode.trace import Trace
from kerfproof.geom.path import Bools, Ints
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.compare.compare import Comparison, compare
from kerfproof.proof.compare.laid_down import DrawnPart, lying_over, on_sheets, parts_of
from kerfproof.proof.compare.sizes import drawn_as
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.kept_metal import kept_of
from kerfproof.proof.evidence.plates import alone
from kerfproof.proof.proof import EdgeSamples, PartProof
from kerfproof.sentence import say

NEAR = 0.2
"""A torch path this much (mm) beyond half a kerf from a drawn edge is taken to cut it."""
MOSTLY = 0.5
"""A run belongs to the parts of its sheet when it runs along them or in their metal for this share of its length."""

Gathered = Callable[[Trace, tuple[Contour, ...], tuple[Contour, ...]], Evidence]


@dataclass(frozen=True, slots=True, eq=False)
class BySheet:
    """All sheets compared, and of each the evidence against what is cut on it."""

    compared: Comparison
    evidence: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Made:
    """One comparison, and the numbers of its contours among all that is drawn."""

    compared: Comparison
    contours: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Drawn:
    """All that is drawn, taken apart; `gathered` returns the evidence of a trace against contours and slits."""

    contours: tuple[Contour, ...]
    slits: tuple[Contour, ...]
    parts: tuple[DrawnPart, ...]
    over: dict[int, set[int]]
    gathered: Gathered

    def numbers(self, which: Sequence[int]) -> tuple[int, ...]:
        """Return the numbers of the contours of some parts."""
        return tuple(c for k in which for c in self.parts[k].contours)

    def evidence(self, trace: Trace, which: Sequence[int]) -> Evidence:
        """Return the evidence of a trace against some parts."""
        contours = tuple(self.contours[c] for c in self.numbers(which))
        return self.gathered(trace, contours, tuple(self.slits[s] for k in which for s in self.parts[k].slits))

    def layers(self, which: Sequence[int], first: Sequence[int] = ()) -> list[list[int]]:
        """Return parts in as many layers as they lie over each other; the first one begins with the parts `first`."""
        out: list[list[int]] = [list(first)]
        for k in which:
            over = self.over.get(k, set())
            home = next((layer for layer in out if not over.intersection(layer)), None)
            if home is None:
                out.append([k])
            else:
                home.append(k)
        return out


def each_sheet(
    evidence: Evidence,
    drawn: tuple[Contour, ...],
    slits: tuple[Contour, ...],
    counts: Sequence[tuple[int, int]],
    gathered: Gathered,
    watch: Watch,
) -> BySheet:
    """Return all sheets of a program compared with the parts that are cut on them.

    `counts` says how many contours and slits each drawing has that was laid down.
    """
    parts = parts_of(drawn, slits, counts)
    asked = _Drawn(drawn, slits, parts, lying_over(parts, drawn), gathered)
    sheet_of = evidence.stock.plate_of
    lies = on_sheets(parts, drawn, slits, evidence.path, sheet_of, asked.over)
    seen: list[Evidence] = []
    made: list[_Made] = []
    findings: list[Finding] = []
    for sheet in range(evidence.stock.plates):
        mine = sheet_of == sheet
        whole, own = alone(evidence.trace, evidence.runs, mine), np.flatnonzero(lies[sheet]).tolist()
        one = asked.evidence(whole, own)
        stray = np.isin(np.arange(len(mine)), np.flatnonzero(mine)[_strays(one, int(mine.sum()))])
        strays = alone(evidence.trace, evidence.runs, stray)
        begun = _begun(asked, strays, np.flatnonzero(~lies[sheet]).tolist()) if stray.any() else []
        lies[sheet, begun] = True
        for number, layer in enumerate(asked.layers(begun, own)):
            if layer != own or number:
                one = asked.evidence(strays if number else whole, layer)
            compared = None if one.kept is None or one.swept is None else compare(one, one.kept, one.swept, watch)
            if compared is not None:
                made.append(_Made(compared, asked.numbers(layer)))
                findings += [
                    replace(f, problem=say("sheet {sheet}: {what}", sheet=sheet + 1, what=f.problem))
                    for f in compared.findings
                ]
            if not number:
                lost = compared is not None and compared.misplaced
                seen.append(replace(one, kept=None, swept=None, plate=None) if lost else one)
        if not lies[sheet].any():
            findings.append(_nothing_drawn(evidence, sheet, int(np.flatnonzero(mine)[0])))
    never = np.flatnonzero(~lies.any(axis=0)).tolist()
    findings += _never(asked, never)
    return BySheet(_together(asked, made, never, findings), tuple(seen))


def _strays(one: Evidence, count: int) -> Ints:
    """Return which of the first `count` runs do not belong to the parts that they are compared with."""
    path, swept = one.path, one.swept
    length = path.segments.lengths()
    total = np.bincount(path.segments.owner, length, minlength=count)[:count]
    if swept is None:
        return np.flatnonzero(total > 0)
    at = (swept.within & (swept.contour >= 0)) | swept.on_slit
    at[swept.torch[swept.distance <= path.half_kerf[swept.torch] + NEAR]] = True
    own = np.bincount(path.segments.owner, length * at, minlength=count)[:count]
    return np.flatnonzero((total > 0) & (own < MOSTLY * total))


def _begun(asked: _Drawn, strays: Trace, rest: Sequence[int]) -> list[int]:
    """Return which of the parts `rest` runs that belong to no other part come to, or cut in the metal of."""
    out: list[int] = []
    for layer in asked.layers([k for k in rest if asked.parts[k].contours]):
        met = {asked.numbers(layer)[local] for local in _met(asked.evidence(strays, layer))} if layer else set()
        out += [k for k in layer if met.intersection(asked.parts[k].contours)]
    return sorted(out)


def _met(evidence: Evidence) -> list[int]:
    """Return the contours that the torch comes to, or inside whose metal it cuts."""
    kept, swept, half = evidence.kept, evidence.swept, evidence.path.half_kerf
    if kept is None or swept is None:
        return []
    near: Bools = swept.distance <= half[swept.torch] + NEAR
    owners = kept.edges.owner[swept.edge[near]]
    inside = swept.contour[swept.within & (swept.contour >= 0)]
    return [int(contour) for contour in np.unique(np.concatenate([owners, inside]))]


def _nothing_drawn(evidence: Evidence, sheet: int, first: int) -> Finding:
    """Return that nothing of what is cut on a sheet is drawn; its first run is `first`."""
    run = evidence.runs[first]
    message = f"sheet {sheet + 1}: nothing of what is drawn is cut on it"
    advice = "give the drawing that it is cut from, too"
    return Finding("surplus-cut", Severity.ERROR, message, advice, run.light_line, *run.start)


def _never(asked: _Drawn, never: Sequence[int]) -> Iterator[Finding]:
    """Yield errors for parts that are cut on no sheet."""
    for k in never:
        part = asked.parts[k]
        kept = kept_of(tuple(asked.contours[c] for c in part.contours)) if part.contours else None
        for local, contour in enumerate(part.contours):
            x, y = asked.contours[contour].path.start
            name = drawn_as(kept, local).name if kept is not None else ""
            message = say("sheet 1: the {name} is not cut, and on no other sheet", name=name)
            advice = "cut it, or leave it out of the job on purpose"
            yield Finding("feature-not-cut", Severity.ERROR, message, advice, None, float(x), float(y))
        for slit in part.slits:
            x, y = asked.slits[slit].path.start
            what = "sheet 1: a slit is not cut, and on no other sheet"
            yield Finding("slit-not-cut", Severity.ERROR, what, "cut it on its line", None, float(x), float(y))


def _together(asked: _Drawn, made: Sequence[_Made], never: Sequence[int], findings: Sequence[Finding]) -> Comparison:
    """Return the comparison of all sheets: of each part the worst that comes of it."""
    parts: dict[int, PartProof] = {}
    samples: dict[int, EdgeSamples] = {}
    for one in made:
        for part in one.compared.parts:
            outline = one.contours[part.contour]
            parts[outline] = _worse(replace(part, contour=outline), parts.get(outline))
        edges = one.compared.edges
        for local, contour in enumerate(one.contours):
            here = edges.contour == local
            new = EdgeSamples(edges.points[here], np.full(int(here.sum()), contour), edges.deviation[here])
            if contour not in samples or _most(new) > _most(samples[contour]):
                samples[contour] = new
    for outline, *holes in (asked.parts[k].contours for k in never if asked.parts[k].contours):
        parts[outline] = PartProof(outline, False, 0.0, 0.0, len(holes), 0, 0.0)
    along = [samples[contour] for contour in sorted(samples)]
    return Comparison(
        tuple(findings),
        tuple(parts[outline] for outline in sorted(parts)),
        EdgeSamples(
            np.concatenate([np.empty((0, 2)), *(s.points for s in along)]),
            np.concatenate([np.empty(0, dtype=np.int64), *(s.contour for s in along)]),
            np.concatenate([np.empty(0), *(s.deviation for s in along)]),
        ),
        max((one.compared.worst_gouge for one in made), default=0.0),
        max((one.compared.worst_leftover for one in made), default=0.0),
        max((one.compared.edge_deviation for one in made), default=0.0),
        max((one.compared.unseen for one in made), default=0.0),
        bool(made) and all(one.compared.misplaced for one in made),
        next((one.compared.made_for for one in made if one.compared.made_for is not None), None),
    )


def _worse(one: PartProof, other: PartProof | None) -> PartProof:
    """Return the worse of what becomes of a part on two sheets."""
    if other is None:
        return one
    return PartProof(
        one.contour,
        one.comes_free and other.comes_free,
        max(one.worst_gouge, other.worst_gouge),
        max(one.worst_leftover, other.worst_leftover),
        one.holes,
        min(one.holes_cut, other.holes_cut),
        max(one.corner_radius, other.corner_radius),
    )


def _most(samples: EdgeSamples) -> float:
    return float(np.abs(samples.deviation).max(initial=0.0))
