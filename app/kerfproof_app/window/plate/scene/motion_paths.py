"""A program laid out over time as Qt paths: the way with the torch lit, coloured by time, and the travel between."""

from __future__ import annotations

import numpy as np

from kerfproof import api
from kerfproof.geom.path import Floats, Ints, Segments
from kerfproof.outcome import Outcome
from kerfproof_app.window.plate.scene.path_batch import EMPTY, PathBatch, joined_boxes
from kerfproof_app.window.plate.scene.qt_paths import segment_paths
from kerfproof_app.window.widgets.color_ramp import STEPS


def _rows(timeline: api.Timeline, rows: Ints) -> Segments:
    """Return rows of a timeline as segments; arcs over a half circle are cut in two by the caller."""
    bulge = np.tan(timeline.sweep[rows] / 4)
    s = Segments.between(timeline.start[rows, :2], timeline.finish[rows, :2], bulge)
    arc = timeline.sweep[rows] != 0
    center = timeline.center[rows]
    spoke = timeline.start[rows, :2] - center
    angle = np.arctan2(spoke[:, 1], spoke[:, 0])
    return Segments(
        s.p0, s.p1, bulge, np.where(arc[:, None], center, 0.0), np.where(arc, np.hypot(*spoke.T), np.inf),
        np.where(arc, angle, 0.0), timeline.sweep[rows], s.owner, s.index,
    )  # fmt: skip


def lit_way(outcome: Outcome, timeline: api.Timeline | None) -> tuple[PathBatch, PathBatch]:
    """Return the lit way in pieces of one cut and one colour, and the same as kerf."""
    if timeline is None or not len(timeline):
        return EMPTY, EMPTY
    moved = (np.abs(timeline.finish[:, :2] - timeline.start[:, :2]).max(axis=1) > 1e-9) | (timeline.sweep != 0)
    rows = np.flatnonzero(timeline.torch & moved)
    if not len(rows):
        return EMPTY, EMPTY
    s, when, of = _shortened(timeline, rows)
    tone = np.clip((when / max(timeline.seconds, 1e-9) * STEPS).astype(np.int64), 0, STEPS - 1)
    cut = _cuts_of(outcome, timeline.line[of])
    change = (np.diff(tone, prepend=-1) != 0) | (np.diff(cut, prepend=-2) != 0)
    group = np.cumsum(change) - 1
    count = int(group[-1]) + 1
    first = np.flatnonzero(change)
    apart = np.ones(len(s), dtype=np.bool_)
    apart[1:] = change[1:] | (np.abs(s.p0[1:] - s.p1[:-1]).max(axis=1) > 1e-6)
    paths = segment_paths(s, apart, group, count)
    boxes = joined_boxes(s.boxes(), group, count)
    kerf = outcome.process.kerf
    batch = PathBatch(tuple(paths), boxes, cut[first], tone=tone[first])
    grown = boxes + kerf * np.array([-0.5, -0.5, 0.5, 0.5])
    return batch, PathBatch(batch.paths, grown, batch.owner, np.full(count, kerf))


def _shortened(timeline: api.Timeline, rows: Ints) -> tuple[Segments, Floats, Ints]:
    """Return rows split where they last longer than one colour, with the middle second of each and its row."""
    step = max(timeline.seconds / STEPS, 1e-9)
    lasts = timeline.end[rows] - timeline.begin[rows]
    pieces = np.clip(np.ceil(lasts / step), 1, STEPS).astype(np.int64)
    over = np.abs(timeline.sweep[rows]) > np.pi
    pieces = np.maximum(pieces, np.where(over, 3, 1))
    of = np.repeat(np.arange(len(rows)), pieces)
    nth = np.arange(len(of)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    a, b = nth / pieces[of], (nth + 1) / pieces[of]
    whole = _rows(timeline, rows)
    p0, p1 = (whole.p0[of] + (whole.p1 - whole.p0)[of] * share[:, None] for share in (a, b))
    arc = whole.is_arc[of]
    c, r = whole.center[of], np.where(arc, whole.radius[of], 0.0)
    for points, share in ((p0, a), (p1, b)):
        angle = whole.start_angle[of] + whole.sweep[of] * share
        round_ = c + r[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
        points[arc] = round_[arc]
    sweep = whole.sweep[of] / pieces[of]
    s = Segments(
        p0, p1, np.tan(sweep / 4), c, np.where(arc, r, np.inf),
        whole.start_angle[of] + whole.sweep[of] * a, sweep, np.zeros(len(of), dtype=np.int64), np.arange(len(of)),
    )  # fmt: skip
    when = timeline.begin[rows][of] + lasts[of] * (a + b) / 2
    return s, when, rows[of]


def _cuts_of(outcome: Outcome, lines: Ints) -> Ints:
    """Return the cut of each program line, -1 outside all."""
    blocks = outcome.program.blocks if outcome.program else ()
    if not blocks:
        return np.full(len(lines), -1)
    first = np.array([b.first for b in blocks])
    last = np.array([b.last for b in blocks])
    at = np.searchsorted(first, lines, side="right") - 1
    inside = (at >= 0) & (lines <= last[np.maximum(at, 0)])
    return np.where(inside, np.array([b.cut for b in blocks])[np.maximum(at, 0)], -1)


def travel_way(timeline: api.Timeline | None) -> PathBatch:
    """Return the ways with the torch off, one path each from stop to stop."""
    if timeline is None:
        return EMPTY
    moved = np.abs(timeline.finish[:, :2] - timeline.start[:, :2]).max(axis=1, initial=0.0) > 1e-6
    rows = np.flatnonzero(~timeline.torch & moved & (timeline.sweep == 0))
    if not len(rows):
        return EMPTY
    s = _rows(timeline, rows)
    apart = np.ones(len(s), dtype=np.bool_)
    apart[1:] = (np.diff(rows) > 1) & (np.abs(s.p0[1:] - s.p1[:-1]).max(axis=1) > 1e-6)
    group = np.cumsum(apart) - 1
    count = int(group[-1]) + 1
    paths = segment_paths(s, apart, group, count)
    return PathBatch(tuple(paths), joined_boxes(s.boxes(), group, count), np.arange(count))
