"""A part is the same part in whatever way it is drawn."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from kerfproof import api
from kerfproof.geom.path import Path
from support.drawings.curves import sampled
from support.drawings.ways import FAR, WAYS, part_of

SEEDS = range(8)


def off(drawn: Path, found: Path) -> float:
    """Return how far points of the drawn curve lie from the found one, by shapely on chords of 0.05 um."""
    points = sampled(drawn, 1e-3)
    ring = shapely.LinearRing(sampled(found, 5e-5))
    return float(shapely.distance(ring, shapely.points(points)).max())


@pytest.mark.parametrize("way", WAYS)
def test_a_random_part_drawn_in_ten_ways_gives_the_same_part_within_a_micrometre(way):
    for seed in SEEDS:
        drawn = part_of(seed)
        found = api.inspect(WAYS[way](drawn, np.random.default_rng(seed)), f"{seed}.dxf")
        if found.drawing.units.mm_per_unit is None:
            found = api.inspect(WAYS[way](drawn, np.random.default_rng(seed)), f"{seed}.dxf", api.ReadSettings(1.0))
        (part,) = found.parts.parts
        assert not found.contours.open and not found.contours.refused, seed
        assert len(part.holes) == len(drawn) - 1, seed
        assert sum(h.diameter is not None for h in part.holes) == len(drawn) - 2, seed
        shift = (-FAR, FAR) if way == "far away" else (0.0, 0.0)
        contours = [f.contour.path.moved(*shift) for f in (part.outline, *part.holes)]
        for path in drawn:
            both = [max(off(path, c), off(c, path)) for c in contours if same_place(path, c)]
            assert min(both, default=np.inf) <= 1e-3, (seed, both)


def same_place(a: Path, b: Path) -> bool:
    return bool(np.abs(np.array(a.bounds()) - np.array(b.bounds())).max() < 0.1)


def test_areas_and_loops_agree_with_polygonize_on_the_same_lines():
    for seed in SEEDS:
        drawn = part_of(seed)
        found = api.inspect(WAYS["soup"](drawn, np.random.default_rng(seed)), "s.dxf", api.ReadSettings(1.0))
        edges = [shapely.LineString([*sampled(p, 1e-4), sampled(p, 1e-4)[0]]) for p in drawn]
        faces = shapely.get_parts(shapely.polygonize([shapely.unary_union(edges)]))
        assert len(faces) == len(found.contours.closed)
        kept = max(face.area for face in faces if face.interiors)
        (part,) = found.parts.parts
        area = abs(part.outline.contour.path.area()) - sum(abs(h.contour.path.area()) for h in part.holes)
        assert area == pytest.approx(kept, abs=0.05)
