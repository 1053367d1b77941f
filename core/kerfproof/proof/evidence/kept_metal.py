"""The metal to keep, from the drawn closed contours alone: even-odd decides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Segments
from kerfproof.geom.region import Region, nesting
from kerfproof.parts.model.contour import Contour


@dataclass(frozen=True, slots=True, eq=False)
class Kept:
    """Drawn closed contours as one bundle.

    `edges` are their segments (`owner` is the contour), `along` (m,) the length of the contour before each,
    `perimeter` (n,); `depth` (n,) how many contours surround each (even: outline, odd: hole), `parent` (n,).
    """

    contours: tuple[Contour, ...]
    bundle: Bundle
    edges: Segments
    along: Floats
    perimeter: Floats
    depth: Ints
    parent: Ints
    index: Index
    """Search over the boxes of `edges`."""
    region: Region
    """The contours made ready to be asked what they hold."""

    def holds(self, points: Floats) -> Bools:
        """Return which of the points (k, 2) lie in metal to keep."""
        return self.region.inside(points)

    def first_points(self) -> Floats:
        """Return the first vertex of each contour (n, 2)."""
        return self.bundle.vertices[self.bundle.start_of[:-1], :2]

    def is_outline(self) -> Bools:
        """Return which contours are outlines (n,); the others are holes."""
        return np.asarray(self.depth % 2 == 0)


def kept_of(drawn: tuple[Contour, ...]) -> Kept:
    """Return the kept metal of closed contours.

    Raises
    ------
    ValueError
        If a contour is open.
    """
    if any(not contour.path.closed for contour in drawn):
        raise ValueError("only closed contours bound metal")
    bundle = Bundle.of([contour.path for contour in drawn])
    edges = bundle.segments()
    lengths = edges.lengths()
    total = np.concatenate([[0.0], np.cumsum(lengths)])
    first = bundle.start_of[:-1]  # closed paths have as many segments as vertices
    region = Region(bundle)
    depth, parent = nesting(bundle, region)
    return Kept(
        drawn,
        bundle,
        edges,
        total[:-1] - total[first[edges.owner]],
        total[bundle.start_of[1:]] - total[first],
        depth,
        parent,
        Index(edges.boxes()),
        region,
    )
