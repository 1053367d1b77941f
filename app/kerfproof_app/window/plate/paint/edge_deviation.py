"""The measured edge of the finished part, as the plate view shows it close up."""

from __future__ import annotations

import numpy as np

from kerfproof.box import Box
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Bundle, Floats, Ints, Segments
from kerfproof_app.window.plate.scene.path_batch import touching
from kerfproof_app.window.plate.scene.plate_scene import Scene


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
    owners = owners[touching(scene.features.boxes[owners], view)]
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
