"""One random part drawn in many ways, as DXF bytes."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from ezdxf.document import Drawing as Document
from ezdxf.layouts.base import BaseLayout
from ezdxf.math import rational_bspline_from_arc

from kerfproof.geom.path import Path
from support.drawings.drawings import as_bytes, new
from support.referees.strategies import star_loop

Way = Callable[[list[Path], np.random.Generator], bytes]
FAR = 1e6


def part_of(seed: int) -> list[Path]:
    """Return an outline of lines and arcs with round holes and a slot in it."""
    rng = np.random.default_rng(seed)
    paths = [star_loop(seed, radius=60.0)]
    for k in range(int(rng.integers(1, 4))):
        angle = 2 * math.pi * (k + rng.uniform(0, 0.4)) / 4
        at = (12 * math.cos(angle), 12 * math.sin(angle))
        paths.append(Path.circle(at, float(rng.uniform(2, 4))))
    x, y, r = 12 * math.cos(5.2), 12 * math.sin(5.2), 1.5
    paths.append(Path([(x - 2, y - r, 0), (x + 2, y - r, 1), (x + 2, y + r, 0), (x - 2, y + r, 1)], True))
    return paths


def pieces(paths: list[Path]) -> list[tuple[np.ndarray, np.ndarray, float]]:
    """Return start, end and bulge of all lines and arcs."""
    out = []
    for path in paths:
        v = path.vertices
        out += [(a[:2], b[:2], float(a[2])) for a, b in zip(v, np.roll(v, -1, axis=0), strict=True)]
    return out


def arc_of(a: np.ndarray, b: np.ndarray, bulge: float) -> tuple[tuple[float, float], float, float, float]:
    """Return centre, radius, and start and end angle (degrees, counter-clockwise) from the definition of the bulge."""
    if bulge < 0:
        a, b, bulge = b, a, -bulge
    chord = b - a
    c = (a + b) / 2 + (1 - bulge**2) / (4 * bulge) * np.array([-chord[1], chord[0]])
    radius = math.hypot(*chord) * (1 + bulge**2) / (4 * bulge)
    angles = [math.degrees(math.atan2(*(p - c)[::-1])) for p in (a, b)]
    return (float(c[0]), float(c[1])), radius, angles[0], angles[1]


def is_circle(path: Path) -> bool:
    return len(path.vertices) == 2


def add_whole(space: BaseLayout, paths: list[Path]) -> None:
    for path in paths:
        if is_circle(path):
            (x0, y0), (x1, y1) = path.vertices[:, :2]
            space.add_circle(((x0 + x1) / 2, (y0 + y1) / 2), math.hypot(x1 - x0, y1 - y0) / 2)
        else:
            space.add_lwpolyline(path.vertices.tolist(), format="xyb", close=True)


def add_piece(space: BaseLayout, a: np.ndarray, b: np.ndarray, bulge: float) -> None:
    if bulge == 0:
        space.add_line(a, b)
    else:
        space.add_arc(*arc_of(a, b, bulge))


def whole(paths: list[Path], rng: np.random.Generator) -> bytes:
    document, space = new()
    add_whole(space, paths)
    return as_bytes(document)


def soup(paths: list[Path], rng: np.random.Generator) -> bytes:
    document, space = new(version="R12" if rng.random() < 0.5 else "R2000")
    document.header["$INSUNITS"] = 4
    loose = pieces(paths)
    for k in rng.permutation(len(loose)):
        a, b, bulge = loose[k]
        add_piece(space, *((b, a, -bulge) if rng.random() < 0.5 else (a, b, bulge)))
    return as_bytes(document)


def turned_round(paths: list[Path], rng: np.random.Generator) -> bytes:
    return whole([p.reversed() for p in paths[::-1]], rng)


def exploded(paths: list[Path], rng: np.random.Generator) -> bytes:
    """Draw runs of a few segments as older polylines, some backwards."""
    document, space = new()
    for path in paths:
        v = np.vstack([path.vertices, path.vertices[:1]])
        at = 0
        while at < len(v) - 1:
            to = min(len(v) - 1, at + int(rng.integers(1, 4)))
            run = v[at : to + 1].copy()
            if rng.random() < 0.5:
                run = np.column_stack([run[::-1, :2], np.append(-run[-2::-1, 2], 0.0)])
            space.add_polyline2d(run.tolist(), format="xyb")
            at = to
    return as_bytes(document)


def mirrored_twice(paths: list[Path], rng: np.random.Generator) -> bytes:
    document, space = new()
    add_whole(document.blocks.new("INNER"), paths)
    document.blocks.new("OUTER").add_blockref("INNER", (7, 0), dxfattribs={"xscale": -1, "rotation": 180})
    # Mirrored at x and turned by 180 degrees is mirrored at y; so is the outer one, which undoes it.
    space.add_blockref("OUTER", (-7, 0), dxfattribs={"yscale": -1})
    return as_bytes(document)


def splines(paths: list[Path], rng: np.random.Generator) -> bytes:
    document, space = new()
    for a, b, bulge in pieces(paths):
        if bulge == 0:
            space.add_spline(dxfattribs={"degree": 1}).set_open_uniform([(*a, 0), (*b, 0)], 1)
            continue
        center, radius, start, end = arc_of(a, b, bulge)
        curve = rational_bspline_from_arc(center, radius, start, end)
        space.add_rational_spline([p.xyz for p in curve.control_points], curve.weights(), curve.degree, curve.knots())
    return as_bytes(document)


def inches(paths: list[Path], rng: np.random.Generator) -> bytes:
    document, space = new(units=1)
    add_whole(space, [p.transformed(np.eye(2) / 25.4) for p in paths])
    return as_bytes(document)


def far_away(paths: list[Path], rng: np.random.Generator) -> bytes:
    return soup([p.moved(FAR, -FAR) for p in paths], rng)


def doubled(paths: list[Path], rng: np.random.Generator) -> bytes:
    """Draw everything twice, the second time in pieces split anew and backwards."""
    document, space = new()
    add_whole(space, paths)
    for a, b, bulge in pieces(paths):
        share = float(rng.uniform(0.2, 0.8))
        way = Path([(*a, bulge), (*b, 0.0)], False)
        for piece in (way.part(0, share * way.length()), way.part(share * way.length(), way.length())):
            (x0, y0, k), (x1, y1, _) = piece.vertices
            add_piece(space, np.array([x1, y1]), np.array([x0, y0]), -float(k))
    return as_bytes(document)


def gaps(paths: list[Path], rng: np.random.Generator) -> bytes:
    """Draw lines too short or too long by up to 0.01 mm at their ends."""
    document, space = new()
    for a, b, bulge in pieces(paths):
        if bulge == 0:
            along = (b - a) / math.hypot(*(b - a))
            a, b = a + rng.uniform(0.001, 0.01) * along, b - rng.uniform(0.001, 0.01) * along
        add_piece(space, a, b, bulge)
    return as_bytes(document)


WAYS: dict[str, Way] = {
    "soup": soup, "reversed": turned_round, "exploded": exploded, "mirrored twice": mirrored_twice,
    "splines": splines, "inches": inches, "far away": far_away, "doubled": doubled, "gaps": gaps, "whole": whole,
}  # fmt: skip


def document_of(draw: Callable[[Document, BaseLayout], None], units: int = 4) -> bytes:
    document, space = new(units=units)
    draw(document, space)
    return as_bytes(document)
