"""Seeded inputs for the benchmarks: a dense plate of parts as DXF bytes, whole or as loose lines and arcs."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator

import ezdxf
import numpy as np

PRIMITIVES_PER_PART = 120
PITCH_X, PITCH_Y = 170.0, 130.0


def rounded(points: np.ndarray, radius: float) -> list[tuple[float, float, float]]:
    """Return x, y, bulge of a polygon whose convex corners are rounded by tangent arcs of about `radius`."""
    n = len(points)
    out = []
    for k in range(n):
        before, here, after = points[k - 1], points[k], points[(k + 1) % n]
        u, v = before - here, after - here
        lu, lv = np.hypot(*u), np.hypot(*v)
        half = 0.5 * np.arccos(np.clip(u @ v / (lu * lv), -1, 1))
        cut = min(radius / np.tan(half), 0.4 * lu, 0.4 * lv)
        turn = np.pi - 2 * half
        side = np.sign(-(u[0] * v[1] - u[1] * v[0]))
        a, b = here + u / lu * cut, here + v / lv * cut
        out.append((a[0], a[1], side * np.tan(turn / 4)))
        out.append((b[0], b[1], 0.0))
    return out


def plate_parts(parts: int, seed: int = 20) -> list[tuple[list, list]]:
    """Return each part's polylines (x, y, bulge) and circles (x, y, radius): 9 features, 120 primitives."""
    rng = np.random.default_rng(seed)
    columns = max(1, int(np.ceil(np.sqrt(parts * PITCH_Y / PITCH_X))))
    out = []
    for k in range(parts):
        base = np.array([(k % columns) * PITCH_X + 75.0, (k // columns) * PITCH_Y + 55.0])
        angles = (np.arange(24) + rng.uniform(-0.2, 0.2, 24)) * 2 * np.pi / 24
        reach = np.column_stack([70 * np.cos(angles), 50 * np.sin(angles)]) * rng.uniform(0.93, 1.0, (24, 1))
        polylines = [rounded(base + reach, 2.0)]
        circles = []
        for i, (x, y) in enumerate([(-42, 0), (42, 0), (0, -27), (0, 27), (-21, -17), (21, -17), (-21, 17), (21, 17)]):
            middle = base + np.array((x, y)) + rng.uniform(-0.5, 0.5, 2)
            if i < 4:
                circles.append((*middle, rng.uniform(4.0, 7.0)))
            else:
                spokes = (np.arange(8) + rng.uniform(-0.1, 0.1, 8)) * np.pi / 4
                ring = np.column_stack([np.cos(spokes), np.sin(spokes)]) * 9.0
                polylines.append(rounded(middle + ring, 1.5))
        out.append((polylines, circles))
    return out


def plate_dxf(parts: int, *, as_soup: bool = False, seed: int = 20) -> bytes:
    """Return the plate as DXF bytes in mm; `as_soup` draws every line and arc as an entity of its own, shuffled."""
    with _fixed_stamps():
        return _plate_dxf(parts, as_soup, seed)


@contextlib.contextmanager
def _fixed_stamps() -> Iterator[None]:
    """Have no time and no random number in what is written: the same seed, the same bytes."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _plate_dxf(parts: int, as_soup: bool, seed: int) -> bytes:
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    doc.header["$MEASUREMENT"] = 1
    msp = doc.modelspace()
    loose = []
    for polylines, circles in plate_parts(parts, seed):
        for x, y, r in circles:
            msp.add_circle((x, y), r)
        for points in polylines:
            if as_soup:
                loose += list(zip(points, [*points[1:], points[0]], strict=True))
            else:
                msp.add_lwpolyline(points, format="xyb", close=True)
    rng = np.random.default_rng(seed + 1)
    for k in rng.permutation(len(loose)):
        (x0, y0, bulge), (x1, y1, _) = loose[k]
        if bulge == 0:
            msp.add_line((x0, y0), (x1, y1))
        else:
            center, start, end, radius = ezdxf.math.bulge_to_arc((x0, y0), (x1, y1), bulge)
            msp.add_arc(center, radius, np.degrees(start), np.degrees(end))
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode()


def count_primitives(parts: int) -> int:
    """Return how many lines and arcs the plate has, a circle counting 2."""
    return sum(sum(map(len, polylines)) + 2 * len(circles) for polylines, circles in plate_parts(parts))
