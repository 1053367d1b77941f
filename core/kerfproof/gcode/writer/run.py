"""One cut as a run of vertices, and what happens on the way besides motion.

Two things do: a pilot torch that stays up over the slag ring of its pierce comes down to cut height on a slope within
its lead, and a height control is let free and locked again. Both split the run at lengths along it.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from kerfproof.cut_plan import FLANK, Cut, StartAt
from kerfproof.gcode.writer.torch_on import keeps_high, rise
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.geom.path import Floats, Path, Segments
from kerfproof.shop.profile import StartKind

PAST_SLAG_RING = 4.0
"""How far a pilot torch stays up over the slag ring of its pierce (common practice, 3 to 5 mm, no source)."""
SLOPE, MOST_SLOPE = 2.0, 5.0
"""The way down to cut height takes at least and at most this much of the lead (mm)."""
LOCK_BEFORE_END = 5.0
"""Height control is locked this far before the arc goes out (common practice, 3 to 6 mm, no source)."""
LEAST_FREE = 20.0
"""Height control is not let free for a shorter stretch."""
LEAST_FLANK = 3.0
"""A piece of a straight that is no longer than this is not worth another feed."""
SHARP_DEG = 10.0
"""A turn from which on the torch slows down so much that height control must be locked."""
SLOW_SHARE = 0.85
"""Arcs that can't be run at this share of the feed count as corners (common practice, 80 to 90 %, no source)."""


ALONG = "Z"
"""What is to be written begins so where it is a word that goes with the segment itself."""


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """Vertices (n, 3) of one cut, and lines to write before segment number so and so (words: with it), in order."""

    vertices: Floats
    events: tuple[tuple[int, str], ...] = ()


def run_of(cut: Cut, given: WriteContext) -> Run:
    """Return the run of a cut.

    Raises
    ------
    ValueError
        If its pieces do not begin where the one before ends, the first at the pierce.
    """
    vertices = joined(cut)
    at = _happenings(cut, given, vertices)
    return _split(vertices, at) if at else Run(vertices)


def joined(cut: Cut) -> Floats:
    """Return the vertices of all pieces of a cut as one open run; raises as `run_of`."""
    pieces = [piece.opened().vertices for piece in cut.pieces]
    x, y = cut.pierce
    for piece in pieces:
        x0, y0, _ = piece[0].tolist()
        if max(abs(x0 - x), abs(y0 - y)) > 1e-6:
            raise ValueError(f"the pieces of cut {cut.label!r} do not meet")
        x, y, _ = piece[-1].tolist()
    return np.concatenate([*(piece[:-1] for piece in pieces[:-1]), pieces[-1]])


def _happenings(cut: Cut, given: WriteContext, vertices: Floats) -> list[tuple[float, str]]:
    """Return lengths along the run and the line to write there, sorted."""
    happenings = []
    m = given.machine
    edge = cut.start_at is StartAt.EDGE
    if m.start is StartKind.PILOT and keeps_high(given, edge):
        happenings += _way_down(cut, given)
    if m.height_control_on and not _is_slowed_hole(cut, given):
        for start, stop in _free_stretches(Path(vertices, False), cut.feed_mm_min, given):
            happenings += [(start, m.height_control_on), (stop, m.height_control_off)]
    happenings += _flank_feeds(cut, given)
    return sorted(happenings, key=lambda h: h[0])


def _way_down(cut: Cut, given: WriteContext) -> list[tuple[float, str]]:
    """Return where along the run a pilot torch begins its slope to cut height and where it is there.

    In a lead with less room than the slag ring and the slope take it comes down before it moves: on the contour
    nothing stands still.
    """
    height = given.process.cut_height
    ends = np.cumsum((cut.contour if cut.lead_in is None else cut.lead_in).opened().segments().lengths()).tolist()
    for begin, end in itertools.pairwise([0.0, *ends]):
        start = max(PAST_SLAG_RING, begin)
        stop = min(end, start + MOST_SLOPE)
        if stop - start >= SLOPE:
            return [(start, f"{ALONG}{given.words.length(height)}"), (stop, "")]
    return [(0.0, rise(given, height))]


def _flank_feeds(cut: Cut, given: WriteContext) -> list[tuple[float, str]]:
    """Return lengths along the run where the long straights of a slowed slot begin and end, and the feed from there."""
    if cut.flank_feed_mm_min is None:
        return []
    s = cut.contour.segments()
    lengths = s.lengths()
    whole = lengths.copy()
    every = np.arange(len(s))
    first, last = s.tangents(every[:1], np.ones(1))[0], s.tangents(every[-1:], np.ones(1))[0]
    if not (s.is_arc[0] or s.is_arc[-1]) and first @ last > 1 - 1e-6:  # the cut begins on a straight
        whole[[0, -1]] = lengths[0] + lengths[-1]
    places = np.concatenate([[0.0], np.cumsum(lengths)]) + (0.0 if cut.lead_in is None else cut.lead_in.length())
    fast = ~s.is_arc & (whole > FLANK) & (lengths > LEAST_FLANK)
    changes = np.flatnonzero(np.diff(fast.astype(np.int64), prepend=0, append=0))
    feeds = itertools.cycle(given.words.feed(feed) for feed in (cut.flank_feed_mm_min, cut.feed_mm_min))
    return list(zip(places[changes].tolist(), feeds, strict=False))


def _is_slowed_hole(cut: Cut, given: WriteContext) -> bool:
    return cut.kind == "hole" and cut.feed_mm_min < 0.999 * given.process.feed_mm_min


def _free_stretches(path: Path, feed: float, given: WriteContext) -> list[tuple[float, float]]:
    """Return the stretches (from, to) along the run on which height control may act: up to speed, off corners."""
    speed, a = feed / 60.0, given.machine.acceleration_mm_s2
    speeding = max(3.0, speed * speed / (2.0 * a))
    s = path.segments()
    ends = np.cumsum(s.lengths())
    count = np.arange(len(s))
    leaving, entering = s.tangents(count, np.ones(len(s)))[:-1], s.tangents(count, np.zeros(len(s)))[1:]
    turn = np.degrees(np.arccos(np.clip((leaving * entering).sum(axis=1), -1.0, 1.0)))
    slow = _slow_arcs(s, speed, a)
    locked = [(0.0, max(speed * given.machine.height_control_lock_s, speeding))]
    locked += [(at - speeding, at + speeding) for at in ends[:-1][turn > SHARP_DEG].tolist()]
    locked += [(ends[i] - s.lengths()[i] - speeding, ends[i] + speeding) for i in slow.tolist()]
    locked.append((float(ends[-1]) - LOCK_BEFORE_END, float(ends[-1])))
    free, at = [], 0.0
    for start, stop in sorted(locked):
        if start - at >= LEAST_FREE:
            free.append((float(at), float(start)))
        at = max(at, stop)
    return free


def _slow_arcs(s: Segments, speed: float, acceleration: float) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Return the numbers of arcs too tight to be run at `SLOW_SHARE` of the feed."""
    return np.flatnonzero(s.is_arc & (s.radius * acceleration < (SLOW_SHARE * speed) ** 2))


def _split(vertices: Floats, at: list[tuple[float, str]]) -> Run:
    """Return the run with a vertex at each length of `at`, and the lines by segment number."""
    path = Path(vertices, False)
    total = path.length()
    cuts = sorted({length for length, _ in at if 1e-3 < length < total - 1e-3})
    edges = [0.0, *cuts, total]
    parts = [path.part(start, stop).vertices for start, stop in itertools.pairwise(edges)]
    first = dict(zip(edges[:-1], np.cumsum([0, *(len(part) - 1 for part in parts[:-1])]).tolist(), strict=True))
    events = tuple((first[length], line) for length, line in at if line and length in first)
    return Run(np.vstack([*(part[:-1] for part in parts[:-1]), parts[-1]]), events)
