"""Rows of the bench that are not times: how short the travel, how few the arcs, how true the edge.

What the finished edge is held against comes from the drawing's own figures and outside libraries, never from the
product's geometry.
"""

from __future__ import annotations

import io

import ezdxf
import ezdxf.math
import numpy as np

import bench_inputs
from bench_work import planned
from kerfproof.gcode.trace import Step, Trace
from kerfproof.outcome import Outcome
from kerfproof.plan.order.tour import open_tour

SHEETS = ((200, 1), (250, 2), (300, 3), (350, 4), (400, 5))
"""Points and seed of each sheet of the row `order`."""


# --- order -------------------------------------------------------------------------------------------------------


def order() -> tuple[float, float] | None:
    """Travel over five sheets of single points from a fixed start, over that of an outside solver; None without it."""
    try:
        import elkai
    except ModuleNotFoundError:
        print("  (left out: elkai is not installed; it is for non-commercial use only, so no extra names it)")
        return None
    mine = theirs = 0.0
    for count, seed in SHEETS:
        points = np.random.default_rng(seed).random((count, 2)) * (1500.0, 1000.0)
        every = np.vstack([[(0.0, 0.0)], points])
        away = np.hypot(*(every[:, None] - every[None, :]).transpose(2, 0, 1))
        mine += _way(away, [0, *(open_tour(points, (0.0, 0.0)) + 1).tolist()])
        theirs += _way(away, _from_first(elkai.DistanceMatrix(_with_dummy(away)).solve_tsp(10), count + 1))
    return mine, theirs


def _with_dummy(away: np.ndarray) -> list[list[int]]:
    """Return distances in hundredths with one more place, free from the start and far from all else.

    The shortest closed tour then goes from that place to the start, through all points, and back from the last.
    """
    n = len(away)
    table = np.full((n + 1, n + 1), 1_000_000)
    table[:n, :n] = np.rint(away * 100)
    table[n, n] = table[n, 0] = table[0, n] = 0
    return [[int(value) for value in row] for row in table]


def _from_first(tour: list[int], dummy: int) -> list[int]:
    """Return a closed tour as the way that begins at place 0, the dummy left out."""
    ring = tour[:-1]
    at = ring.index(dummy)
    way = ring[at + 1 :] + ring[:at]
    return way if way[0] == 0 else way[::-1]


def _way(away: np.ndarray, way: list[int]) -> float:
    return float(away[way[:-1], way[1:]].sum())


# --- arcs --------------------------------------------------------------------------------------------------------


def arcs() -> tuple[float, float]:
    """Arcs written for contours, over those that exact offsetting of the drawn ones needs; a circle counts 2.

    Every corner of the dense plate is rounded by a tangent arc, so each drawn arc needs one and no corner does.
    Leads, over-burns, lead-outs and the split of the arc in which a contour begins don't count.
    """
    parts = bench_inputs.plate_parts(60)
    needed = sum(
        sum(1 for ring in polylines for *_, bulge in ring if bulge) + 2 * len(circles) for polylines, circles in parts
    )
    made = planned(bench_inputs.plate_dxf(60))
    assert made.proof is not None and made.plan is not None
    written = 0
    for run, cut in zip(made.proof.runs, made.plan.cuts, strict=True):
        rows = slice(run.first_row, run.last_row + 1)
        written += int((made.proof.trace.kind[rows] == Step.ARC).sum())
        for piece in (cut.lead_in, cut.over_burn, cut.lead_out):
            written -= 0 if piece is None else int((piece.vertices[:, 2] != 0).sum())
        written -= _begins_in_an_arc(cut.contour.vertices)
    return float(written), float(needed)


def _begins_in_an_arc(v: np.ndarray) -> bool:
    """Return whether first and last segment of a run that comes back to its start are one arc, cut in two."""
    if v[0, 2] == 0 or v[-2, 2] == 0 or np.sign(v[0, 2]) != np.sign(v[-2, 2]):
        return False
    turn = [4 * np.arctan(v[k, 2]) for k in (0, -2)]
    radius = [np.hypot(*(v[k + 1, :2] - v[k, :2])) / 2 / abs(np.sin(t / 2)) for k, t in zip((0, -2), turn, strict=True)]
    whole_circle = len(v) <= 4  # of which two halves are needed, wherever they are split
    return bool(abs(radius[0] - radius[1]) < 1e-3 and not (whole_circle and len(v) == 3))


# --- edge --------------------------------------------------------------------------------------------------------


def edge() -> tuple[float, float]:
    """Worst distance of the finished edge from drawn lines and arcs, um, over 1 um.

    Parts with a corner so flat that its arc is a bit of under 0.05 mm are left out: such bits are simplified within
    5 um on purpose.
    """
    parts = [part for part in bench_inputs.plate_parts(40) if all(map(_without_bits, part[0]))][:8]
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    points = []
    for polylines, circles in parts:
        for ring in polylines:
            doc.modelspace().add_lwpolyline(ring, format="xyb", close=True)
            points.append(_along(ring))
        for x, y, radius in circles:
            doc.modelspace().add_circle((x, y), radius)
            points.append(_circle(x, y, radius))
    return _worst(planned(_bytes(doc)), np.vstack(points)), 1.0


def _without_bits(ring: list[tuple[float, float, float]]) -> bool:
    steps = np.hypot(*np.diff(np.array([*ring, ring[0]])[:, :2], axis=0).T)
    return bool(steps.min() > 0.05)


def edge_curves() -> tuple[float, float]:
    """Worst distance of the finished edge from ellipses and splines as drawn, um, over 6 um."""
    data, points = _curved_drawing()
    return _worst(planned(data), points), 6.0


def _worst(made: Outcome, drawn: np.ndarray) -> float:
    """Return how far, at worst, the edge lies from points (k, 2) of the drawing, in um."""
    assert made.proof is not None and made.ok, [f.sentence() for f in made.findings]
    points = drawn + np.array(made.shift)
    away = np.full(len(points), np.inf)
    for rows in np.array_split(_burning(made.proof.trace), 40):
        away = np.minimum(away, _distance(points, made.proof.trace, rows).min(axis=1, initial=np.inf))
    return float(np.abs(away - made.process.kerf / 2).max()) * 1000


def _burning(trace: Trace) -> np.ndarray:
    return np.flatnonzero(trace.torch & np.isin(trace.kind, (Step.FEED, Step.ARC)))


def _distance(points: np.ndarray, t: Trace, rows: np.ndarray) -> np.ndarray:
    """Return distances (k, m) of points from lines and arcs of the torch, in closed form."""
    p, a, b = points[:, None, :], t.start[None, rows, :2], t.end[None, rows, :2]
    chord = b - a
    share = np.clip(((p - a) * chord).sum(axis=2) / np.maximum((chord**2).sum(axis=2), 1e-18), 0, 1)
    line = np.linalg.norm(p - a - share[..., None] * chord, axis=2)
    out, begin = p - t.center[None, rows], a - t.center[None, rows]
    radius = np.linalg.norm(begin, axis=2)
    turned = np.arctan2(out[..., 1], out[..., 0]) - np.arctan2(begin[..., 1], begin[..., 0])
    turned = turned * np.sign(t.sweep[rows]) % (2 * np.pi)
    ends = np.minimum(np.linalg.norm(p - a, axis=2), np.linalg.norm(p - b, axis=2))
    bow = np.where(turned <= np.abs(t.sweep[rows]), np.abs(np.linalg.norm(out, axis=2) - radius), ends)
    return np.where(t.sweep[rows] != 0, bow, line)


def _along(ring: list[tuple[float, float, float]]) -> np.ndarray:
    """Return points on the lines and arcs of a closed polyline with bulges."""
    shares, out = np.linspace(0.05, 0.95, 7), []
    for (x0, y0, bulge), (x1, y1, _) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if bulge == 0:
            out.append(np.column_stack([x0 + (x1 - x0) * shares, y0 + (y1 - y0) * shares]))
        else:
            center, first, last, radius = ezdxf.math.bulge_to_arc((x0, y0), (x1, y1), bulge)
            angles = first + ((last - first) % (2 * np.pi)) * shares
            out.append(np.array(center) + radius * np.column_stack([np.cos(angles), np.sin(angles)]))
    return np.vstack(out)


def _circle(x: float, y: float, radius: float) -> np.ndarray:
    angles = np.linspace(0, 2 * np.pi, 25)
    return np.column_stack([x + radius * np.cos(angles), y + radius * np.sin(angles)])


def _curved_drawing() -> tuple[bytes, np.ndarray]:
    """Return a drawing of ellipses and closed splines, and points on these curves as the outside library has them."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    msp = doc.modelspace()
    rng = np.random.default_rng(7)
    points = []
    for k in range(4):
        x, y = 200.0 * (k % 2), 160.0 * (k // 2)
        msp.add_ellipse((x, y), (80, 10 * k), 0.6)
        major = np.array((80.0, 10.0 * k))
        minor = 0.6 * np.array((-major[1], major[0]))
        angles = np.linspace(0, 2 * np.pi, 2000)[:, None]
        points.append(np.array((x, y)) + np.cos(angles) * major + np.sin(angles) * minor)
        corners = np.linspace(0, 2 * np.pi, 9)[:-1]
        reach = rng.uniform(15, 22, 8)
        control = [(x + r * np.cos(a), y + r * np.sin(a), 0) for r, a in zip(reach, corners, strict=True)]
        tool = ezdxf.math.closed_uniform_bspline(control)
        msp.add_spline().apply_construction_tool(tool)
        at = np.linspace(tool.knots()[tool.degree], tool.knots()[-tool.order], 2000)
        points.append(np.array([(v.x, v.y) for v in tool.points(at)]))
    return _bytes(doc), np.vstack(points)


def _bytes(doc: ezdxf.document.Drawing) -> bytes:
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode()
