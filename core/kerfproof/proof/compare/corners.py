"""Inside corners: whether a round kerf could come any nearer than it does."""

from __future__ import annotations

import numpy as np

from kerfproof.geom.carrier import cross, dot, norm
from kerfproof.geom.distance import closest_points, point_distances
from kerfproof.geom.index import point_boxes
from kerfproof.geom.path import Bools, Floats, Ints, Segments
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.runs import TorchPath
from kerfproof.proof.limits import DEVIATION_ERROR, DEVIATION_SEEN

SECOND_LOOKS = 2000
"""So many samples are asked again beside another run; more of them are no matter of thin webs."""
WEDGED = np.radians(0.5)
"""Walls that run together by less than this let the torch go on between them."""
BEHIND = 0.05
"""In a plain corner the walls lie on the tangents to the kerf where it touches; a notch reaches this far across, mm."""


def fair_samples(
    kept: Kept, path: TorchPath, edge: Ints, share: Floats, points: Floats, left: Floats, torch: Ints
) -> tuple[Bools, Bools]:
    """Return which samples lie where the round kerf comes as near as it can, and which of them in a notch.

    The torch position nearest to the sample must touch the same contour on both sides of it, and on both sides of the
    way to it: then any round kerf that came nearer would gouge one side. Where a web is thinner than the kerf, the
    nearest run may be that behind the web; then the next run is asked. In a notch the contour goes on behind what
    touches, wider than a plain corner would.
    """
    fair, notch = np.zeros(len(left), dtype=np.bool_), np.zeros(len(left), dtype=np.bool_)
    asked = np.flatnonzero((left > DEVIATION_SEEN) & (torch >= 0))
    fair[asked], notch[asked] = _touches_both(
        kept, path, edge[asked], share[asked], points.take(asked, axis=0), torch[asked]
    )
    again = asked[~fair[asked]]
    if 0 < len(again) <= SECOND_LOOKS and len(path.first) > 2:
        second = _other_run(path, points[again], torch[again])
        again, second = again[second >= 0], second[second >= 0]
        fair[again], notch[again] = _touches_both(kept, path, edge[again], share[again], points[again], second)
    return fair, notch


def _other_run(path: TorchPath, points: Floats, torch: Ints) -> Ints:
    """Return for each point the nearest torch segment of another run than that of `torch`, -1 where none is near."""
    out = np.full(len(points), -1, dtype=np.int64)
    reach = 6 * float(path.half_kerf.max())
    owner = path.segments.owner
    k, j = path.index.pairs(point_boxes(points), reach)
    other = owner[j] != owner[torch[k]]
    k, j = k[other], j[other]
    away = point_distances(points.take(k, axis=0), path.segments, j)
    order = np.lexsort((j, away, k))[::-1]
    out[k[order]] = j[order]  # the nearest is written last
    return out


def _touches_both(
    kept: Kept, path: TorchPath, edge: Ints, share: Floats, points: Floats, torch: Ints
) -> tuple[Bools, Bools]:
    """Return which samples are as near to `torch` as they can be, and which of them lie in a notch.

    See `fair_samples`; the position of the torch segment nearest to the sample is looked at.
    """
    if not len(edge):
        return np.zeros(0, dtype=np.bool_), np.zeros(0, dtype=np.bool_)
    center = closest_points(points, path.segments, torch)
    reach = path.half_kerf[torch] + DEVIATION_ERROR
    k, e = kept.index.pairs(point_boxes(center), reach)
    contour = kept.edges.owner[edge]
    same = kept.edges.owner[e] == contour[k]
    k, e = k[same], e[same]
    touching = point_distances(center.take(k, axis=0), kept.edges, e) <= reach[k]
    k, e = k[touching], e[touching]
    lengths = kept.edges.lengths()
    place = closest_points(center.take(k, axis=0), kept.edges, e)
    foot = kept.along[e] + lengths[e] * shares_at(kept.edges, e, place)
    here = kept.along[edge] + lengths[edge] * share
    whole = kept.perimeter[contour[k]]
    ahead = (foot - here[k] + whole / 2) % whole - whole / 2
    before, after = np.zeros(len(edge), dtype=np.bool_), np.zeros(len(edge), dtype=np.bool_)
    before[k[ahead < -1e-6]] = True
    after[k[ahead > 1e-6]] = True
    # Where nothing touches on one side of the way to the sample, the torch could go on beside what does.
    way, towards = (points - center).take(k, axis=0), place - center.take(k, axis=0)
    angle = np.arctan2(cross(way, towards), dot(way, towards))
    left, right = np.full(len(edge), np.inf), np.full(len(edge), np.inf)
    np.minimum.at(left, k[angle >= 0], angle[angle >= 0])
    np.minimum.at(right, k[angle <= 0], -angle[angle <= 0])
    fair = before & after & (left + right <= np.pi - WEDGED)
    behind = np.full(len(edge), -np.inf)
    np.maximum.at(behind, k, dot(points.take(k, axis=0) - place, towards) / np.maximum(norm(towards), 1e-9))
    return np.asarray(fair), np.asarray(fair & (behind > BEHIND))


def shares_at(s: Segments, which: Ints, points: Floats) -> Floats:
    """Return how far along segment `which` (k,) each point of it lies, 0 to 1."""
    p0 = s.p0.take(which, axis=0)
    chord = s.p1.take(which, axis=0) - p0
    line = dot(points - p0, chord) / dot(chord, chord)
    arc = s.bulge[which] != 0
    away = points - s.center.take(which, axis=0)
    turned = (np.arctan2(away[:, 1], away[:, 0]) - s.start_angle[which]) * np.sign(s.sweep[which])
    sweep = np.where(arc, np.abs(s.sweep[which]), 1.0)
    slack = (2 * np.pi - sweep) / 2
    bow = ((turned + slack) % (2 * np.pi) - slack) / sweep
    return np.asarray(np.clip(np.where(arc, bow, line), 0.0, 1.0))
