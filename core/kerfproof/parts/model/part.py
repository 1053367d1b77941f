"""Features and parts: which contour is an outline, which a hole, and what belongs together."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from kerfproof.errors import Finding
from kerfproof.parts.model.contour import Contour


class FeatureKind(StrEnum):
    """What a contour is."""

    OUTLINE = "outline"
    HOLE = "hole"
    SLIT = "slit"
    MARK = "mark"


@dataclass(frozen=True, slots=True, eq=False)
class Feature:
    """One contour with its place among the others.

    `number` counts from 0 over the whole job, `depth` is how many closed contours surround it, `parent` the
    number of the innermost one (None outside). Closed contours at even depth are outlines, at odd depth holes.
    `diameter` is that of a round one, else None. `label` names it for people (``hole 3 D20``).
    """

    number: int
    kind: FeatureKind
    contour: Contour
    depth: int
    parent: int | None
    part: int
    diameter: float | None
    label: str


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One piece of metal to keep: an outline with its holes; `inside` is the hole it lies in, if any."""

    number: int
    name: str
    outline: Feature
    holes: tuple[Feature, ...]
    slits: tuple[Feature, ...] = ()
    marks: tuple[Feature, ...] = ()
    inside: int | None = None

    @property
    def features(self) -> tuple[Feature, ...]:
        """All features, the outline last."""
        return (*self.holes, *self.slits, *self.marks, self.outline)


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """All parts of a job, and what was noticed on the way."""

    parts: tuple[Part, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def features(self) -> tuple[Feature, ...]:
        """All features of all parts by number."""
        return tuple(sorted((f for p in self.parts for f in p.features), key=lambda f: f.number))

    def moved(self, dx: float, dy: float) -> Parts:
        """Return the same parts shifted by (dx, dy)."""

        def feature(f: Feature) -> Feature:
            c = f.contour
            samples = None if c.samples is None else c.samples + np.array([dx, dy])
            return replace(f, contour=replace(c, path=c.path.moved(dx, dy), samples=samples))

        moved = (
            replace(
                p,
                outline=feature(p.outline),
                holes=tuple(map(feature, p.holes)),
                slits=tuple(map(feature, p.slits)),
                marks=tuple(map(feature, p.marks)),
            )
            for p in self.parts
        )
        return Parts(tuple(moved), self.findings)


def inside_of(features: Sequence[Feature], holes: Collection[int]) -> list[Feature]:
    """Return the features that lie in these holes (numbers), however deep: they go with what the drill takes out."""
    gone, out = set(holes), []
    for feature in sorted(features, key=lambda f: f.depth):
        if feature.parent in gone:
            gone.add(feature.number)
            out.append(feature)
    return out


def drawn_contours(parts: Parts, left_out: Sequence[Feature]) -> tuple[tuple[Contour, ...], tuple[Contour, ...]]:
    """Return the closed contours and the slits that the cut must produce, in plate coordinates."""
    gone = {f.number for f in left_out}
    features = [f for f in parts.features if f.number not in gone]
    closed = tuple(f.contour for f in features if f.kind in (FeatureKind.OUTLINE, FeatureKind.HOLE))
    return closed, tuple(f.contour for f in features if f.kind is FeatureKind.SLIT)
