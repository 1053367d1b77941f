"""An outcome made ready to be painted: Qt paths with their boxes, so that only what is seen is drawn.

Made off the window's thread. Holds nothing of a widget; a canvas paints it at any scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof import api
from kerfproof.box import Box
from kerfproof.errors import Watch, no_watch
from kerfproof.geom.path import Bundle, Floats, Ints, Path, Segments
from kerfproof.outcome import Outcome
from kerfproof.parts.model.part import Feature
from kerfproof.report.picture.picture import Picture, compose
from kerfproof.report.picture.proof_picture import compose_proved
from kerfproof_app.window.plate.scene.motion_paths import lit_way, travel_way
from kerfproof_app.window.plate.scene.path_batch import PathBatch, batch_of, grouped, pieces_of
from kerfproof_app.work.program_outcome import ProgramOutcome
from kerfproof_app.work.uncut_chains import UncutChain, uncut_of

READY_UP_TO = 1500
"""Sheets with more features are made ready for moving leads when the first lead is grabbed."""


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """All that the plate view paints of one outcome."""

    outcome: Outcome
    picture: Picture
    timeline: api.Timeline | None
    parts: PathBatch
    features: PathBatch
    """Each feature's drawn contour by itself; `owner` is the feature's number."""
    kerf: PathBatch
    path: PathBatch
    """The torch's way while lit, coloured by time; `owner` is the cut."""
    leads_in: PathBatch
    leads_out: PathBatch
    travel: PathBatch
    extra: dict[str, PathBatch]
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
    loose: tuple[UncutChain, ...]
    """What is drawn and not cut."""
    loose_paths: PathBatch
    loose_bulk: Segments

    def make_ready(self) -> None:
        """Make a small sheet ready for moving leads before the first is grabbed; it can be seen before."""
        if self.cut_of and len(self.by_number) <= READY_UP_TO:
            self.bench()

    def bench(self) -> api.LeadBench:
        """Return the sheet made ready for trying leads; made at the first call."""
        if not self.benches:
            self.benches.append(api.lead_bench(self.outcome))
        return self.benches[0]


def make_scene(outcome: Outcome, watch: Watch = no_watch) -> Scene:
    """Return the scene of an outcome."""
    watch("drawing", 0.0)
    timeline = None if outcome.proof is None else api.timeline_of(outcome.proof.trace, outcome.machine)
    picture = _composed(outcome)
    watch("drawing", 0.3)
    features = outcome.parts.features
    parts = [[f.contour.path for f in (p.outline, *p.holes)] for p in outcome.parts.parts]
    parts += [
        list(layer.paths) for layer in picture.layers if layer.role == "part" and isinstance(outcome, ProgramOutcome)
    ]
    cuts = outcome.plan.cuts if outcome.plan else ()
    burnt = () if picture.notice else cuts
    raised = [path for layer in picture.layers if layer.role == "raised" for path in layer.paths]
    closed = Bundle.of([f.contour.path for f in features])
    extra = {
        layer.role: batch_of(layer.paths)
        for layer in picture.layers
        if layer.role in ("slit", "mark", "drill", "uncut")
    }
    loose = uncut_of(outcome)
    for role, kinds in (("uncut", ("open", "refused")), ("ignored", ("ignored",))):
        old = [path for layer in picture.layers if layer.role == role for path in layer.paths]
        every = [*old, *(chain.path for chain in loose if chain.kind in kinds)]
        if every:
            extra[role] = batch_of(every)
    path, kerf = lit_way(outcome, timeline)
    watch("drawing", 0.6)
    return Scene(
        outcome=outcome,
        picture=picture,
        timeline=timeline,
        parts=grouped(parts),
        features=batch_of([f.contour.path for f in features], np.array([f.number for f in features], dtype=np.int64)),
        kerf=pieces_of([[p for p in cut.pieces] for cut in burnt], [cut.kerf for cut in burnt]) if burnt else kerf,
        path=path,
        leads_in=pieces_of([[cut.lead_in] if cut.lead_in else [] for cut in burnt], [cut.kerf for cut in burnt]),
        leads_out=pieces_of(
            [[p for p in (cut.over_burn, cut.lead_out) if p] for cut in burnt], [cut.kerf for cut in burnt]
        ),
        travel=batch_of(raised) if raised else travel_way(timeline),
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
        loose_paths=batch_of([chain.path for chain in loose]),
        loose_bulk=Bundle.of([chain.path for chain in loose]).segments(),
    )


def _composed(outcome: Outcome) -> Picture:
    """Return the display list of an outcome; of a program opened by itself that of its proof, the drawing under it."""
    if not isinstance(outcome, ProgramOutcome):
        return compose(outcome, brief=True)
    made = compose_proved("", outcome.proved, outcome.findings, brief=True)
    # a torch that is lit and never moves has a pierce and no path to number
    return made if len(made.discs) == len(outcome.proved.proof.runs) else replace(made, discs=())


def _marks(picture: Picture) -> Floats:
    """Return the marks of travel of a display list, as `Scene.arrows` has them."""
    return np.array([(*arrow.at, arrow.turn_rad, arrow.length) for arrow in picture.arrows]).reshape(-1, 4)


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
