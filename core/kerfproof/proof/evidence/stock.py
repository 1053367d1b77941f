"""What is still solid, run by run: which pieces have come free, and where kerfs are open.

A closed run frees what its ring surrounds. Nothing is subtracted from anything: a place is asked which earlier
rings hold it and which earlier kerfs come near it. Only where open runs meet (two halves of an outline, tabs cut
later) polygons of their kerfs tell what they enclose together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.gcode.trace import Trace
from kerfproof.geom.distance import nearest, pair_distances
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Path, Segments
from kerfproof.geom.region import Region, path_boxes
from kerfproof.geom.swept import enclosed
from kerfproof.proof.evidence.plates import Cuts, Doubt, Stops, doubts, proposed
from kerfproof.proof.evidence.runs import TorchPath, TorchRun

MOST_PAIRS = 6_000_000
"""A torch path with more meetings than this is a scribble: open kerfs in it are judged in part."""
MOST_POLYGONS = 20_000
"""With more segments of open runs than this nothing is enclosed: polygons would take too long."""


@dataclass(frozen=True, slots=True, eq=False)
class Stock:
    """The state of the plate before each run.

    `plate_of` (n,) counts plates run by run. Pairs of torch path segments whose kerfs meet: `earlier`, `later`
    (k,) segment numbers and `gap` (k,) the distance of their paths, below half the earlier one's kerf. Segments of
    one run count as a pair when more than two kerfs of path lie between them.

    `faces` are the regions that open runs enclose together, free once run `face_run` (f,) is done.
    """

    path: TorchPath
    plate_of: Ints
    earlier: Ints
    later: Ints
    gap: Floats
    faces: Bundle
    face_run: Ints
    loose: Bundle
    """Everything that comes free: the rings of the path, then the faces."""
    loose_run: Ints
    """The run after which each of `loose` is free."""
    region: Region
    """`loose` made ready to be asked what it holds."""
    crowded: bool = False
    """Whether the torch path meets itself too often to judge every meeting."""
    doubts: tuple[Doubt, ...] = ()
    """Stops behind which something is cut that can't share the plate, but which are not believed to bring another."""
    unheard: tuple[Doubt, ...] = ()
    """Stops whose comments ask for another plate, but which do not bring one."""
    changes: tuple[int, ...] = ()
    """The rows of the stops that bring another plate."""

    @property
    def plates(self) -> int:
        """How many plates are cut."""
        return int(self.plate_of.max(initial=0)) + 1

    def freed_by(self, points: Floats, run: Ints, *, through: bool = False) -> Ints:
        """Return for each point (k, 2) the first of `loose` that freed what lies there before run `run` (k,), or -1.

        `through` counts what run `run` itself has freed, too.
        """
        out = np.full(len(points), -1, dtype=np.int64)
        rings, ring_run = self.loose, self.loose_run
        if not len(rings) or not len(points):
            return out
        k, ring = self.region.containers(points)
        asked = run[k]
        done = asked + 1 if through else asked
        before = (ring_run[ring] < done) & (self.plate_of[ring_run[ring]] == self.plate_of[asked])
        k, ring = k[before], ring[before]
        order = np.lexsort((ring, ring_run[ring], k))[::-1]
        out[k[order]] = ring[order]  # the earliest is written last
        return out


def stock_of(
    trace: Trace,
    runs: tuple[TorchRun, ...],
    path: TorchPath,
    believed: frozenset[int] = frozenset(),
    *,
    drawn: bool = False,
    one_plate: bool = False,
) -> Stock:
    """Return the stock of a program; stops at the rows `believed` bring another plate, whatever the cuts say.

    `drawn`: each plate is compared with a drawing by itself. `one_plate`: no stop brings another one.
    """
    plate_of = np.zeros(len(runs), dtype=np.int64)
    stops = Stops.of(trace, runs)
    if not len(stops.rows):
        return _stock(path, plate_of)
    rings = Cuts.of(path, runs, path.rings, path.ring_run)
    plate_of, rows = stops.sheets(len(runs), frozenset() if one_plate else proposed(stops, rings) | believed)
    stock = _stock(path, plate_of)
    found = doubts(Cuts.of(path, runs, stock.loose, stock.loose_run), plate_of, rows, whole=not drawn)
    found = [doubt for doubt in found if doubt.row not in believed]
    gone = {doubt.row for doubt in found}
    plate_of, rows = stops.sheets(len(runs), [row for row in rows if row not in gone])
    if gone:
        stock = _stock(path, plate_of)
    unheard = stops.asks - frozenset(rows)
    if unheard:
        apart_of, every = stops.sheets(len(runs), frozenset(rows) | unheard)
        apart = _stock(path, apart_of)
        told = doubts(Cuts.of(path, runs, apart.loose, apart.loose_run), apart_of, every, whole=not drawn)
        told = [doubt for doubt in told if doubt.row in unheard]
        told += [Doubt(row) for row in sorted(unheard - {doubt.row for doubt in told})]
        stock = replace(stock, unheard=tuple(_joined(told, trace, runs, apart, stock)))
    return replace(stock, doubts=tuple(found), changes=rows)


def _joined(
    found: Sequence[Doubt], trace: Trace, runs: tuple[TorchRun, ...], apart: Stock, together: Stock
) -> Iterator[Doubt]:
    """Yield the doubts, each with a run behind its stop that frees a piece together with runs before it."""
    alone = path_boxes(apart.faces)
    for doubt in found:
        first = next((run.number for run in runs if run.first_row > doubt.row), len(runs))
        for box, run in zip(path_boxes(together.faces), together.face_run.tolist(), strict=True):
            if doubt.run < 0 and run >= first and not (np.abs(alone - box) < 1e-6).all(axis=1).any():
                doubt = replace(doubt, run=run)
        yield doubt


def _stock(path: TorchPath, plate_of: Ints) -> Stock:
    """Return the stock where each run cuts the plate `plate_of` (n,)."""
    earlier, later, gap, crowded = _meeting(path, plate_of)
    faces, face_run = _enclosed(path, plate_of)
    loose = Bundle.of([*path.rings, *faces]) if len(faces) else path.rings
    loose_run = np.concatenate([path.ring_run, face_run])
    return Stock(path, plate_of, earlier, later, gap, faces, face_run, loose, loose_run, Region(loose), crowded)


def _enclosed(path: TorchPath, plate_of: Ints) -> tuple[Bundle, Ints]:
    """Return what runs without a ring enclose, alone or together, and the run after which each region is free.

    Their kerfs need only touch: metal is free before the torch comes back to where it began.
    """
    owner, half = path.segments.owner, path.half_kerf
    is_open = np.ones(len(path.first) - 1, dtype=np.bool_)
    is_open[path.ring_run] = False
    which = np.flatnonzero(is_open[owner])
    faces: list[Path] = []
    runs: list[int] = []
    if not len(which) or len(which) > MOST_POLYGONS:
        return Bundle.of([]), np.empty(0, dtype=np.int64)
    earlier, later, _ = _near_pairs(path, which, 2 * half)
    keep = is_open[owner[earlier]] & _apart(path, earlier, later) & (plate_of[owner[earlier]] == plate_of[owner[later]])
    earlier, later = earlier[keep], later[keep]
    gap = pair_distances(path.segments, earlier, path.segments, later)
    meeting = gap < half[earlier] + half[later] - 1e-6
    for group in _groups(owner[earlier[meeting]], owner[later[meeting]]):
        which = np.flatnonzero(np.isin(owner, group))
        s, half = path.segments.take(which), path.half_kerf[which]
        for face in enclosed(s, half):
            away = np.array([_nearest_to(face, s.take(s.owner == run)) for run in group])
            reach = np.array([float(half[s.owner == run].max()) for run in group])
            faces.append(face)
            runs.append(max(run for run, d, h in zip(group, away, reach, strict=True) if d <= h + 0.1))
    return Bundle.of(faces), np.array(runs, dtype=np.int64)


def _nearest_to(face: Path, s: Segments) -> float:
    """Return how near segments come to the boundary of a region."""
    away, _ = nearest(face.vertices[:, :2], s, np.inf)
    return float(away.min())


def _groups(a: Ints, b: Ints) -> list[list[int]]:
    """Return the runs that hang together by meeting pairs."""
    parent: dict[int, int] = {}

    def root(run: int) -> int:
        while parent.setdefault(run, run) != run:
            run = parent[run]
        return run

    for left, right in zip(a.tolist(), b.tolist(), strict=True):
        parent[root(right)] = root(left)
    out: dict[int, list[int]] = {}
    for run in sorted(parent):
        out.setdefault(root(run), []).append(run)
    return list(out.values())


def _meeting(path: TorchPath, plate_of: Ints) -> tuple[Ints, Ints, Floats, bool]:
    """Return the pairs of segments of `Stock`, and whether there were too many to look at them all."""
    s = path.segments
    earlier, later, crowded = _near_pairs(path, np.arange(len(s)), path.half_kerf)
    keep = _apart(path, earlier, later) & (plate_of[s.owner[earlier]] == plate_of[s.owner[later]])
    later, earlier = later[keep], earlier[keep]
    gap = pair_distances(s, earlier, s, later)
    near = gap < path.half_kerf[earlier] - 1e-6
    return earlier[near], later[near], gap[near], crowded


def _near_pairs(path: TorchPath, which: Ints, reach: Floats) -> tuple[Ints, Ints, bool]:
    """Return the pairs of segments whose boxes come within `reach` (m,), earlier and later of `which`.

    There are at most about `MOST_PAIRS` of them; the last value is whether some were left out.
    """
    boxes, m = path.index.boxes.take(which, axis=0), len(which)
    found: list[tuple[Ints, Ints]] = [(np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64))]
    at, size, total = 0, 64, 0
    while at < m and total < MOST_PAIRS:
        later, earlier = path.index.pairs(boxes[at : at + size], reach[which[at : at + size]])
        met, asked = len(later), min(size, m - at)
        later = which[later + at]
        order = earlier < later
        found.append((earlier[order], later[order]))
        total += int(order.sum())
        at += size
        # A scribble on one spot meets itself everywhere: ask for so few at a time that it fits.
        size = int(np.clip(MOST_PAIRS / 4 * asked / max(met, 1), 16, 1 << 16))
    return np.concatenate([e for e, _ in found]), np.concatenate([k for _, k in found]), at < m


def _apart(path: TorchPath, earlier: Ints, later: Ints) -> Bools:
    """Return which pairs are of two runs, or of one with more than two kerfs of path between them."""
    s = path.segments
    between = path.along[later] - path.along[earlier] - s.lengths()[earlier]
    return np.asarray((s.owner[earlier] != s.owner[later]) | (between > 4 * path.half_kerf[earlier]))
