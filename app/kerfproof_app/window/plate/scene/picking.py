"""What lies under the pointer: a pierce, a lead, a contour, the torch's way, a part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.geom.distance import point_distances
from kerfproof.geom.path import Bundle, Floats, Segments
from kerfproof.geom.region import inside
from kerfproof_app.window.plate.scene.path_batch import around, touching
from kerfproof_app.window.plate.scene.plate_scene import Scene


@dataclass(frozen=True, slots=True)
class PickedThing:
    """One thing under the pointer: ``lead``, ``pierce`` (of a cut without lead), ``contour``, ``loose`` or ``part``."""

    kind: str
    feature: int | None = None
    cut: int | None = None
    part: int | None = None
    loose: int | None = None
    """The number of a chain that is not cut, in `Scene.loose`."""


class Picker:
    """Finds things of a scene by place."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.boxes = scene.bulk.boxes()
        self.loose_boxes = scene.loose_bulk.boxes() if len(scene.loose_bulk) else np.empty((0, 4))
        cuts = scene.outcome.plan.cuts if scene.outcome.plan else ()
        self.bare = [k for k, cut in enumerate(cuts) if cut.lead_in is None]
        self.leads = [k for k, cut in enumerate(cuts) if cut.lead_in is not None]
        bundle = Bundle.of([cuts[k].lead_in for k in self.leads])  # type: ignore[misc]
        self.lead_segments = bundle.segments()
        self.lead_boxes = self.lead_segments.boxes() if len(self.lead_segments) else np.empty((0, 4))

    def at(self, x: float, y: float, reach: float) -> PickedThing | None:
        """Return what lies within `reach` mm of a place: leads, contours, what is not cut, the part around it."""
        return (
            self.lead(x, y, reach)
            or self._pierce(x, y, reach)
            or self._contour(x, y, reach)
            or self._loose(x, y, reach)
            or self._part(x, y)
        )

    def lead(self, x: float, y: float, reach: float) -> PickedThing | None:
        """Return the lead that can be grabbed at a place."""
        found = _nearest(self.lead_segments, self.lead_boxes, x, y, reach)
        if found is None:
            return None
        cut = self.leads[int(self.lead_segments.owner[found])]
        assert self.scene.outcome.plan is not None
        return PickedThing("lead", self.scene.outcome.plan.cuts[cut].feature, cut)

    def _pierce(self, x: float, y: float, reach: float) -> PickedThing | None:
        """Return the cut without a lead that is pierced at a place."""
        if not self.bare:
            return None
        away = np.hypot(*(self.scene.pierces[self.bare] - [x, y]).T)
        cut = self.bare[int(np.argmin(away))]
        assert self.scene.outcome.plan is not None
        return PickedThing("pierce", self.scene.outcome.plan.cuts[cut].feature, cut) if away.min() <= reach else None

    def snap(self, x: float, y: float, reach: float) -> tuple[tuple[float, float], str] | None:
        """Return the nearest end, middle or centre of a drawn line or arc, or a pierce, with its kind."""
        s = self.scene.bulk
        places, kinds = [], []
        if len(s):
            rows = touching(self.boxes, around(x, y, reach))
            inner = np.flatnonzero(s.is_arc & (np.hypot(*(s.center - [x, y]).T) <= reach))
            middles = s.points(rows, np.full(len(rows), 0.5))
            ends = np.vstack([s.p0[rows], s.p1[rows]])
            for kind, found in (("end", ends), ("middle", middles), ("centre", s.center[inner])):
                places.append(found)
                kinds += [kind] * len(found)
        places.append(self.scene.pierces)
        kinds += ["pierce"] * len(self.scene.pierces)
        every = np.vstack(places)
        if not len(every):
            return None
        away = np.hypot(*(every - [x, y]).T)
        best = int(np.argmin(np.round(away, 9)))
        if away[best] > reach:
            return None
        return (float(every[best, 0]), float(every[best, 1])), kinds[best]

    def _contour(self, x: float, y: float, reach: float) -> PickedThing | None:
        kerf = self.scene.outcome.process.kerf
        found = _nearest(self.scene.bulk, self.boxes, x, y, max(reach, kerf))
        if found is None:
            return None
        feature = int(self.scene.numbers[int(self.scene.bulk.owner[found])])
        return PickedThing("contour", feature, self.scene.cut_of.get(feature), self.scene.by_number[feature].part)

    def _loose(self, x: float, y: float, reach: float) -> PickedThing | None:
        found = _nearest(self.scene.loose_bulk, self.loose_boxes, x, y, reach)
        return None if found is None else PickedThing("loose", loose=int(self.scene.loose_bulk.owner[found]))

    def _part(self, x: float, y: float) -> PickedThing | None:
        parts, boxes = self.scene.outcome.parts.parts, self.scene.parts.boxes
        point: Floats = np.array([[x, y]])
        for k in touching(boxes, (x, y, x, y)).tolist():
            paths = [f.contour.path for f in (parts[k].outline, *parts[k].holes)]
            if inside(Bundle.of(paths), point)[0]:
                feature = parts[k].outline.number
                return PickedThing("part", feature, self.scene.cut_of.get(feature), k)
        return None


def _nearest(segments: Segments, boxes: Floats, x: float, y: float, reach: float) -> int | None:
    near = touching(boxes, around(x, y, reach))
    if not len(near):
        return None
    away = point_distances(np.broadcast_to([x, y], (len(near), 2)), segments, near)
    best = int(np.argmin(np.round(away, 9)))
    return int(near[best]) if away[best] <= reach else None
