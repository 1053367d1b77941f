"""An outcome made ready to be painted: Qt paths with their boxes, so that only what is seen is drawn.

Made off the window's thread. Holds nothing of a widget; a canvas paints it at any scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtGui import QPainterPath

from kerfproof import api
from kerfproof.errors import Watch, no_watch
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Bundle, Floats, Ints, Path, Segments
from kerfproof.outcome import Outcome
from kerfproof.parts.part import Feature
from kerfproof.report.picture import Picture, compose
from kerfproof.report.proof_picture import compose_proved
from kerfproof_app.loose import Loose, loose_of
from kerfproof_app.planning import Judged
from kerfproof_app.window.ramp import STEPS
from kerfproof_app.window.shapes import painter_paths, segment_paths

Box = tuple[float, float, float, float]
READY_UP_TO = 1500
"""Sheets with more features are made ready for moving leads when the first lead is grabbed."""


@dataclass(frozen=True, slots=True, eq=False)
class Sheaf:
    """Qt paths with their boxes (n, 4) in mm and what each belongs to (n,): a cut, a part, a feature."""

    paths: tuple[QPainterPath, ...]
    boxes: Floats
    owner: Ints
    width: Floats
    """True width in mm (n,), 0 for a hairline."""
    tone: Ints
    """Step of the time ramp (n,), -1 for none."""

    def seen(self, view: Box) -> list[int]:
        """Return the numbers of the paths whose boxes touch a view."""
        if not len(self.boxes):
            return []
        grown = self.boxes
        x0, y0, x1, y1 = view
        near = (grown[:, 0] <= x1) & (grown[:, 2] >= x0) & (grown[:, 1] <= y1) & (grown[:, 3] >= y0)
        found: list[int] = np.flatnonzero(near).tolist()
        return found

    def __len__(self) -> int:
        return len(self.paths)


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """All that the plate view paints of one outcome."""

    outcome: Outcome
    picture: Picture
    timeline: api.Timeline | None
    parts: Sheaf
    features: Sheaf
    """Each feature's drawn contour by itself; `owner` is the feature's number."""
    kerf: Sheaf
    path: Sheaf
    """The torch's way while lit, coloured by time; `owner` is the cut."""
    leads_in: Sheaf
    leads_out: Sheaf
    travel: Sheaf
    extra: dict[str, Sheaf]
    by_number: dict[int, Feature]
    cut_of: dict[int, int]
    """Feature number to (first) cut."""
    pierces: Floats
    """Pierce points of the cuts (k, 2)."""
    bulk: Segments
    """All drawn contours as segments; `owner` is a place in `numbers`."""
    numbers: Ints
    plate: Box
    arrows: Floats
    """Marks of the way of travel (k, 4): place, direction in radians, length of the cut in mm."""
    name_places: dict[tuple[int, int], tuple[float, float] | None]
    """By part and step of the scale, filled when a name is painted."""
    benches: list[api.LeadBench]
    loose: tuple[Loose, ...]
    """What is drawn and not cut."""
    loose_paths: Sheaf
    loose_bulk: Segments

    def bench(self) -> api.LeadBench:
        """Return the sheet made ready for trying leads; made at the first call, or with a small scene."""
        if not self.benches:
            self.benches.append(api.lead_bench(self.outcome))
        return self.benches[0]


EMPTY = Sheaf((), np.empty((0, 4)), np.empty(0, dtype=np.int64), np.empty(0), np.empty(0, dtype=np.int64))


def make_scene(outcome: Outcome, watch: Watch = no_watch) -> Scene:
    """Return the scene of an outcome."""
    watch("drawing", 0.0)
    timeline = None if outcome.proof is None else api.timeline_of(outcome.proof.trace, outcome.machine)
    picture = _composed(outcome)
    watch("drawing", 0.3)
    features = outcome.parts.features
    parts = [[f.contour.path for f in (p.outline, *p.holes)] for p in outcome.parts.parts]
    parts += [list(layer.paths) for layer in picture.layers if layer.role == "part" and isinstance(outcome, Judged)]
    cuts = outcome.plan.cuts if outcome.plan else ()
    burnt = () if picture.notice else cuts
    raised = [path for layer in picture.layers if layer.role == "raised" for path in layer.paths]
    closed = Bundle.of([f.contour.path for f in features])
    extra = {
        layer.role: _sheaf(layer.paths, np.arange(len(layer.paths)))
        for layer in picture.layers
        if layer.role in ("slit", "mark", "drill", "uncut")
    }
    loose = loose_of(outcome)
    for role, kinds in (("uncut", ("open", "refused")), ("ignored", ("ignored",))):
        old = [path for layer in picture.layers if layer.role == role for path in layer.paths]
        every = [*old, *(chain.path for chain in loose if chain.kind in kinds)]
        if every:
            extra[role] = _sheaf(every, np.arange(len(every)))
    path, kerf = _lit(outcome, timeline)
    watch("drawing", 0.6)
    scene = Scene(
        outcome=outcome,
        picture=picture,
        timeline=timeline,
        parts=_groups(parts),
        features=_sheaf([f.contour.path for f in features], np.array([f.number for f in features], dtype=np.int64)),
        kerf=_pieces([[p for p in cut.pieces] for cut in burnt], [cut.kerf for cut in burnt]) if burnt else kerf,
        path=path,
        leads_in=_pieces([[cut.lead_in] if cut.lead_in else [] for cut in burnt], [cut.kerf for cut in burnt]),
        leads_out=_pieces(
            [[p for p in (cut.over_burn, cut.lead_out) if p] for cut in burnt], [cut.kerf for cut in burnt]
        ),
        travel=_sheaf(raised, np.arange(len(raised))) if raised else _travel(timeline),
        extra=extra,
        by_number={f.number: f for f in features},
        cut_of={cut.feature: k for k, cut in reversed(list(enumerate(cuts)))},
        pierces=np.array([cut.pierce for cut in cuts]).reshape(-1, 2) if cuts else _lights(outcome),
        bulk=closed.segments(),
        numbers=np.array([f.number for f in features], dtype=np.int64),
        plate=picture.plate,
        arrows=_arrows([cut.contour for cut in burnt]) if burnt else _marks(picture),
        name_places={},
        benches=[],
        loose=loose,
        loose_paths=_sheaf([chain.path for chain in loose], np.arange(len(loose))),
        loose_bulk=Bundle.of([chain.path for chain in loose]).segments(),
    )
    if cuts and len(features) <= READY_UP_TO:
        scene.bench()
    return scene


def _composed(outcome: Outcome) -> Picture:
    """Return the display list of an outcome; of a program opened by itself that of its proof, the drawing under it."""
    if not isinstance(outcome, Judged):
        return compose(outcome, brief=True)
    p = outcome.proved
    made = compose_proved(
        "", p.verdict, p.proof, p.machine, p.process, outcome.findings,
        drawn=p.drawn, slits=p.slits, plate=p.plate, brief=True,
    )  # fmt: skip
    # a torch that is lit and never moves has a pierce and no path to number
    return made if len(made.discs) == len(p.proof.runs) else replace(made, discs=())


def _marks(picture: Picture) -> Floats:
    """Return the marks of travel of a display list, as `Scene.arrows` has them."""
    return np.array([(*arrow.at, arrow.turn_rad, arrow.length) for arrow in picture.arrows]).reshape(-1, 4)


def whiskers(scene: Scene, view: Box, most: int = 6000) -> tuple[Floats, Floats, Floats] | None:
    """Return what is seen of the measured edge: places on it, unit directions off the kept metal, deviation (mm).

    None where nothing was measured or more than `most` places are seen.
    """
    proof = scene.outcome.proof
    if proof is None or proof.edges is None or not len(scene.bulk):
        return None
    points = proof.edges.points
    x0, y0, x1, y1 = view
    seen = np.flatnonzero((points[:, 0] > x0) & (points[:, 0] < x1) & (points[:, 1] > y0) & (points[:, 1] < y1))
    if not 0 < len(seen) <= most:
        return None
    features = [scene.by_number[n] for n in scene.numbers.tolist()]
    owners = np.flatnonzero([f.kind in ("outline", "hole") for f in features])
    box = scene.features.boxes[owners]
    owners = owners[(box[:, 0] <= x1) & (box[:, 2] >= x0) & (box[:, 1] <= y1) & (box[:, 3] >= y0)]
    if not len(owners):
        return None
    s = Bundle.of([features[k].contour.path for k in owners]).segments()
    away, which = nearest(points[seen], s, 0.05)
    good = np.flatnonzero(away < 0.05)
    which, seen = which[good], seen[good]
    along = s.tangents(which, _shares(s, which, points[seen]))
    turn = np.array(
        [np.sign(features[k].contour.path.area()) * (1 if features[k].kind == "outline" else -1) for k in owners]
    )
    ways = np.column_stack([along[:, 1], -along[:, 0]]) * turn[s.owner[which]][:, None]
    return points[seen], ways, proof.edges.deviation[seen]


def _shares(s: Segments, which: Ints, points: Floats) -> Floats:
    chord = s.p1[which] - s.p0[which]
    line = ((points - s.p0[which]) * chord).sum(axis=1) / np.maximum((chord * chord).sum(axis=1), 1e-18)
    angle = np.arctan2(*(points - s.center[which]).T[::-1]) - s.start_angle[which]
    sweep = np.where(s.is_arc[which], s.sweep[which], 1.0)
    bow = ((angle * np.sign(sweep)) % (2 * np.pi)) / np.abs(sweep)
    share: Floats = np.clip(np.where(s.is_arc[which], bow, line), 0.0, 1.0)
    return share


def _arrows(paths: Sequence[Path], spacing: float = 80.0, most: int = 4) -> Floats:
    """Return marks of the way of travel, spread evenly over each path; long ones get up to `most`."""
    if not paths:
        return np.empty((0, 4))
    s = Bundle.of(paths).segments()
    lengths = s.lengths()
    ends = np.cumsum(lengths)
    first = np.searchsorted(s.owner, np.arange(len(paths) + 1))
    begin = np.concatenate([[0.0], ends])[first]
    total = np.diff(begin)
    count = np.clip((total / spacing).astype(np.int64), 1, most)
    of = np.repeat(np.arange(len(paths)), count)
    nth = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    at = begin[of] + (nth + 0.5) / count[of] * total[of]
    which = np.clip(np.searchsorted(ends, at), first[of], first[of + 1] - 1)
    share = np.clip(1.0 - (ends[which] - at) / lengths[which], 0.0, 1.0)
    way = s.tangents(which, share)
    return np.column_stack([s.points(which, share), np.arctan2(way[:, 1], way[:, 0]), total[of]])


def _lights(outcome: Outcome) -> Floats:
    runs = outcome.proof.runs if outcome.proof else ()
    return np.array([run.start for run in runs]).reshape(-1, 2)


def _sheaf(paths: Sequence[Path], owner: Ints, width: Floats | None = None) -> Sheaf:
    if not paths:
        return EMPTY
    n = len(paths)
    return Sheaf(
        tuple(painter_paths(paths, np.arange(n), n)),
        _boxes(paths),
        owner,
        np.zeros(n) if width is None else width,
        np.full(n, -1),
    )


def _groups(groups: Sequence[Sequence[Path]]) -> Sheaf:
    """Return one Qt path per group of paths."""
    paths = [path for group in groups for path in group]
    if not paths:
        return EMPTY
    n = len(groups)
    of = np.repeat(np.arange(n), [len(group) for group in groups])
    boxes = _joined_boxes(_boxes(paths), of, n)
    return Sheaf(tuple(painter_paths(paths, of, n)), boxes, np.arange(n), np.zeros(n), np.full(n, -1))


def _pieces(groups: Sequence[Sequence[Path | None]], widths: Sequence[float]) -> Sheaf:
    kept = [(k, [p for p in group if p is not None]) for k, group in enumerate(groups)]
    kept = [(k, group) for k, group in kept if group]
    if not kept:
        return EMPTY
    sheaf = _groups([group for _, group in kept])
    numbers = np.array([k for k, _ in kept], dtype=np.int64)
    width = np.array(widths, dtype=np.float64)[numbers]
    grown = sheaf.boxes + np.column_stack([-width, -width, width, width]) / 2
    return Sheaf(sheaf.paths, grown, numbers, width, sheaf.tone)


def _boxes(paths: Sequence[Path]) -> Floats:
    s = Bundle.of(paths).segments()
    return _joined_boxes(s.boxes(), s.owner, len(paths))


def _joined_boxes(boxes: Floats, of: Ints, count: int) -> Floats:
    first = np.searchsorted(of, np.arange(count))
    low = np.minimum.reduceat(boxes[:, :2], first)
    high = np.maximum.reduceat(boxes[:, 2:], first)
    return np.column_stack([low, high])


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


def _lit(outcome: Outcome, timeline: api.Timeline | None) -> tuple[Sheaf, Sheaf]:
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
    boxes = _joined_boxes(s.boxes(), group, count)
    kerf = outcome.process.kerf
    sheaf = Sheaf(tuple(paths), boxes, cut[first], np.zeros(count), tone[first])
    return sheaf, Sheaf(sheaf.paths, boxes + kerf * np.array([-0.5, -0.5, 0.5, 0.5]), sheaf.owner,
                        np.full(count, kerf), np.full(count, -1))  # fmt: skip


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
    p0, p1 = (
        whole.p0[of] + (whole.p1 - whole.p0)[of] * a[:, None],
        whole.p0[of] + (whole.p1 - whole.p0)[of] * b[:, None],
    )
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


def _travel(timeline: api.Timeline | None) -> Sheaf:
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
    return Sheaf(
        tuple(paths), _joined_boxes(s.boxes(), group, count), np.arange(count), np.zeros(count), np.full(count, -1)
    )
