"""Torch-on runs of a trace, their path on the plate, and the rings in it that close."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.along import split_along
from kerfproof.geom.counted import ranges
from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Segments
from kerfproof.proof.evidence.closed_mid_move import split_where_met

_MOST_KEYS = 1 << 62
SAME_VERTEX = 1e-3
"""Vertices of one run nearer than this are the same point of the plate."""
ON_SLIT = 0.05
"""A torch path that stays this near to a slit cuts that slit, mm."""


@dataclass(frozen=True, slots=True)
class TorchRun:
    """One maximal torch-on run: program lines, where the torch lit and went out (mm), length, closed or not."""

    number: int
    light_line: int
    off_line: int
    start: tuple[float, float]
    end: tuple[float, float]
    length: float
    first_row: int
    last_row: int


@dataclass(frozen=True, slots=True, eq=False)
class TorchPath:
    """All torch-on motion in the plane, in order.

    `segments` are its lines and arcs (program coordinates, arcs at most half circles) with `owner` the number
    of the run and `index` the row of the trace. `half_kerf` (m,) of each; `along` (m,) the length of the run
    before it, `remaining` (m,) that after it. `first` (n + 1,) is where each run's segments begin.
    Ring r is the closed stretch ``ring_first[r] : ring_stop[r]`` of segments; `rings` holds them as closed paths.
    """

    segments: Segments
    half_kerf: Floats
    along: Floats
    remaining: Floats
    first: Ints
    ring_first: Ints
    ring_stop: Ints
    rings: Bundle
    index: Index
    """Search tree over the boxes of `segments`."""

    @property
    def ring_run(self) -> Ints:
        """The run of each ring."""
        return self.segments.owner[self.ring_first]

    def leads(self) -> Bools:
        """Return which segments lead to a ring or away from it (m,): those of a run with a ring that are in none."""
        return np.asarray(np.isin(self.segments.owner, self.ring_run) & (self.ring_of() < 0))

    def ring_of(self) -> Ints:
        """Return the ring that each segment belongs to (m,), -1 for none."""
        out = np.full(len(self.segments), -1)
        sizes = self.ring_stop - self.ring_first
        out[_stretches(self.ring_first, sizes)] = np.repeat(np.arange(len(sizes)), sizes)
        return out


def runs_of(trace: Trace) -> tuple[TorchRun, ...]:
    """Return the maximal torch-on runs of a trace in order; one that never ends reaches to the last row."""
    before = np.concatenate([[False], trace.torch])
    after = np.concatenate([trace.torch, [False]])
    first = np.flatnonzero(after & ~before)
    last = np.flatnonzero(before & ~after) - 1  # the row that puts it off
    lit = np.maximum(first - 1, 0)  # the row that lights it, if there is one
    origin = np.array(trace.xy_origin)
    starts, ends = trace.start[first, :2] - origin, trace.end[last, :2] - origin
    total = np.concatenate([[0.0], np.cumsum(row_lengths(trace) * trace.torch)])
    columns = (
        trace.line[lit].tolist(),
        trace.line[last].tolist(),
        map(tuple, starts.tolist()),
        map(tuple, ends.tolist()),
        (total[last + 1] - total[first]).tolist(),
        lit.tolist(),
        last.tolist(),
    )
    return tuple(TorchRun(number, *run) for number, run in enumerate(zip(*columns, strict=True)))


def row_lengths(trace: Trace) -> Floats:
    """Return the length in the plane of each row (n,), 0 of rows that do not move in it."""
    x, y = (trace.end[:, axis] - trace.start[:, axis] for axis in (0, 1))
    out: Floats = np.sqrt(x * x + y * y)  # a tenth of the time of hypot
    arc = np.flatnonzero(trace.sweep)
    radial = trace.start.take(arc, axis=0)[:, :2] - trace.center.take(arc, axis=0)
    out[arc] = np.hypot(radial[:, 0], radial[:, 1]) * np.abs(trace.sweep[arc])
    return out


def torch_path(trace: Trace, runs: tuple[TorchRun, ...], half_kerf: Floats, slits: Segments | None = None) -> TorchPath:
    """Return the torch-on path of a trace; `half_kerf` (n,) is that of each run.

    Segments are cut where they begin and end to run along `slits`: each lies on one all along, or nowhere.
    """
    run_of_row = np.full(len(trace), -1)
    for run in runs:
        run_of_row[run.first_row : run.last_row + 1] = run.number
    moves = np.isin(trace.kind, (Step.RAPID, Step.FEED, Step.ARC)) & trace.torch & (row_lengths(trace) > 1e-9)
    segments = segments_of(trace, np.flatnonzero(moves), run_of_row)
    shortest = 4 * (half_kerf.min() if len(half_kerf) else 0.0)
    first = np.searchsorted(segments.owner, np.arange(len(runs) + 1)).astype(np.int64)
    ring_first, ring_stop = find_rings(segments, first, shortest)
    is_open = np.ones(len(runs), dtype=np.bool_)
    is_open[segments.owner[ring_first]] = False
    if is_open.any():
        segments = split_where_met(segments, first, is_open, SAME_VERTEX / 2)
        first = np.searchsorted(segments.owner, np.arange(len(runs) + 1)).astype(np.int64)
        ring_first, ring_stop = find_rings(segments, first, shortest)
    if slits is not None and len(segments):
        segments, piece = split_along(segments, slits, ON_SLIT)
        first, ring_first, ring_stop = piece[first], piece[ring_first], piece[ring_stop]
    lengths = segments.lengths()
    total = np.concatenate([[0.0], np.cumsum(lengths)])
    along = total[:-1] - total[first[segments.owner]]
    remaining = total[first[segments.owner + 1]] - total[1:]
    return TorchPath(
        segments,
        half_kerf[segments.owner],
        along,
        remaining,
        first,
        ring_first,
        ring_stop,
        _ring_bundle(segments, ring_first, ring_stop),
        Index(segments.boxes()),
    )


def reach_of(trace: Trace, rows: Ints) -> tuple[Floats, Ints]:
    """Return the boxes (k, 4) that the ways of rows take up, program coordinates, and the row of each (k,).

    Of a straight move only its end counts, as where the first one comes from is unknown; an arc counts whole.
    """
    arcs = segments_of(trace, rows[trace.sweep[rows] != 0], np.arange(len(trace)))
    ends = trace.end.take(rows, axis=0)[:, :2] - np.array(trace.xy_origin)
    return np.concatenate([np.column_stack([ends, ends]), arcs.boxes()]), np.concatenate([rows, arcs.owner])


def segments_of(trace: Trace, rows: Ints, owner_of: Ints) -> Segments:
    """Return the rows as segments owned by `owner_of` each (n,); arcs over a half circle in two pieces."""
    sweep = trace.sweep[rows]
    pieces = np.where(np.abs(sweep) > np.pi + 1e-9, 2, 1)
    which = np.repeat(np.arange(len(rows)), pieces)
    second = np.concatenate([[False], which[1:] == which[:-1]]) if len(which) else np.zeros(0, dtype=np.bool_)
    doubled = pieces[which] == 2
    origin = np.array(trace.xy_origin)
    each = rows[which]
    p0, p1 = trace.start.take(each, axis=0)[:, :2] - origin, trace.end.take(each, axis=0)[:, :2] - origin
    center = trace.center.take(each, axis=0) - origin
    out = p0 - center
    angle = np.arctan2(out[:, 1], out[:, 0]) + sweep[which] / 2
    radius = (np.hypot(*out.T) + np.hypot(*(p1 - center).T)) / 2
    middle = center + radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    p0 = np.where((doubled & second)[:, None], middle, p0)
    p1 = np.where((doubled & ~second)[:, None], middle, p1)
    bulge = np.tan(sweep[which] / pieces[which] / 4)
    return Segments.between(p0, p1, bulge, owner_of[each], each)


def find_rings(segments: Segments, first: Ints, shortest: float) -> tuple[Ints, Ints]:
    """Return where closed stretches of the runs begin and stop, as segment numbers, in order of the path.

    A ring begins at a vertex and ends where the path comes back to it. Of overlapping candidates the longest is
    taken (over-burn repeats the beginning), then the rest of the run is searched again.
    """
    pieces = np.column_stack([first[:-1], first[1:]])
    found: list[tuple[int, int]] = []
    length = np.concatenate([[0.0], np.cumsum(segments.lengths())])
    while len(pieces):
        pieces = pieces[pieces[:, 1] > pieces[:, 0]]
        begin, stop = _longest_loops(segments, pieces, length, shortest)
        hit = begin >= 0
        found += zip(begin[hit].tolist(), stop[hit].tolist(), strict=True)
        pieces = np.vstack(
            [np.column_stack([pieces[hit, 0], begin[hit]]), np.column_stack([stop[hit], pieces[hit, 1]])]
        )
    found.sort()
    array = np.array(found, dtype=np.int64).reshape(-1, 2)
    return array[:, 0], array[:, 1]


def _longest_loops(segments: Segments, pieces: Ints, length: Floats, shortest: float) -> tuple[Ints, Ints]:
    """Return for each piece (first, stop) of segments its longest closed stretch, -1 and -1 without one."""
    n = len(pieces)
    begin, stop = np.full(n, -1), np.full(n, -1)
    if n == 0:
        return begin, stop
    piece, at = ranges(pieces[:, 0], pieces[:, 1] + 1)  # vertices
    closing = at == pieces[piece, 1]
    p0 = segments.p0.take(np.minimum(at, len(segments) - 1), axis=0)
    points = np.where(closing[:, None], segments.p1.take(at - closing, axis=0), p0)
    keys = np.round(points / SAME_VERTEX).astype(np.int64)
    x, y = (np.ascontiguousarray(keys[:, axis] - keys[:, axis].min()) for axis in (0, 1))
    tall, wide = int(y.max()) + 1, int(x.max()) + 1
    if n * tall * wide < _MOST_KEYS:
        keyed = (piece * wide + x) * tall + y
        order = np.argsort(keyed, kind="stable")  # `at` grows anyway
        differs = np.diff(keyed[order]) != 0
    else:
        order = np.lexsort((y, x, piece))
        differs = np.any([np.diff(key[order]) != 0 for key in (piece, x, y)], axis=0)
    change = np.flatnonzero(differs)
    low = order[np.concatenate([[0], change + 1])]
    high = order[np.concatenate([change, [len(order) - 1]])]
    span = length[at[high]] - length[at[low]]
    usable = np.flatnonzero((at[high] > at[low] + 1) & (span > shortest))
    best = usable[np.lexsort((at[low[usable]], -np.round(span[usable], 6), piece[low[usable]]))]
    owners, where = np.unique(piece[low[best]], return_index=True)
    begin[owners], stop[owners] = at[low[best[where]]], at[high[best[where]]]
    return begin, stop


def _ring_bundle(segments: Segments, ring_first: Ints, ring_stop: Ints) -> Bundle:
    """Return the rings as closed paths in one bundle."""
    sizes = ring_stop - ring_first
    start_of = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    which = _stretches(ring_first, sizes)
    vertices = np.column_stack([segments.p0.take(which, axis=0), segments.bulge[which]])
    return Bundle(vertices, start_of, np.ones(len(sizes), dtype=np.bool_))


def _stretches(first: Ints, sizes: Ints) -> Ints:
    """Return the numbers of stretches that begin at `first` (n,), one after the other."""
    before = np.cumsum(sizes) - sizes
    return np.repeat(first - before, sizes) + np.arange(int(sizes.sum()))
