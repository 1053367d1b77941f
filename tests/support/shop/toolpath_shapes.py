"""Machines, processes and parts for toolpath tests, made from plain numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.geom.path import Path
from kerfproof.job.job import DrawingUse, Job
from kerfproof.parts.model.contour import Contour
from kerfproof.parts.model.part import Feature, FeatureKind, Part, Parts
from kerfproof.shop.chart import PierceRating, Process
from kerfproof.shop.profile import Machine, StartKind, TouchOff


def machine(**changes: object) -> Machine:
    values: dict[str, object] = {
        "name": "bench",
        "travel_x": 1300.0,
        "travel_y": 1300.0,
        "travel_z": 90.0,
        "rapid_mm_min": 6000.0,
        "z_rapid_mm_min": 2000.0,
        "acceleration_mm_s2": 400.0,
        "z_acceleration_mm_s2": 300.0,
        "dialect": "ngc",
        "inches": False,
        "z_homed": False,
        "start": StartKind.CONTACT,
        "touch_off": TouchOff.FLOAT,
    }
    return Machine(**{**values, **changes})  # type: ignore[arg-type]


def process(**changes: object) -> Process:
    """3 mm mild steel at 40 A."""
    values: dict[str, object] = {
        "material": "mild steel",
        "thickness": 3.0,
        "amps": 40.0,
        "feed_mm_min": 2200.0,
        "kerf": 1.45,
        "cut_height": 1.5,
        "pierce_height": 3.0,
        "pierce_delay_s": 0.3,
        "pierce": PierceRating.YES,
        "min_hole": 6.0,
        "lead_radius": 3.5,
        "lead_straight": 4.5,
    }
    return Process(**{**values, **changes})  # type: ignore[arg-type]


def job(**changes: object) -> Job:
    values: dict[str, object] = {
        "drawings": (DrawingUse(name="part.dxf"),),
        "machine": "bench",
        "chart": "starter",
        "material": "mild steel",
        "thickness": 3.0,
    }
    return Job(**{**values, **changes})  # type: ignore[arg-type]


def round_diameter(path: Path) -> float | None:
    s = path.segments()
    if path.closed and len(s) == 2 and s.is_arc.all() and abs(float(s.sweep.sum())) > 6.28:
        return 2 * float(s.radius[0])
    return None


class Sheet:
    """Builds parts: outlines, holes in them, islands in those holes, slits and marks."""

    def __init__(self) -> None:
        self.features: list[Feature] = []
        self.outlines: list[Feature] = []
        self.inside: list[int | None] = []

    def _add(self, kind: FeatureKind, path: Path, depth: int, parent: int | None, part: int) -> Feature:
        number = len(self.features)
        label = f"{kind.value} {number}"
        f = Feature(
            number, kind, Contour(path, (f"{number:X}",), "0"), depth, parent, part, round_diameter(path), label
        )
        self.features.append(f)
        return f

    def outline(self, path: Path, within: Feature | None = None) -> Feature:
        depth = 0 if within is None else within.depth + 1
        f = self._add(FeatureKind.OUTLINE, path, depth, None if within is None else within.number, len(self.outlines))
        self.outlines.append(f)
        self.inside.append(None if within is None else within.number)
        return f

    def hole(self, path: Path, outline: Feature) -> Feature:
        return self._add(FeatureKind.HOLE, path, outline.depth + 1, outline.number, outline.part)

    def line(self, kind: FeatureKind, path: Path, outline: Feature) -> Feature:
        return self._add(kind, path, 0, None, outline.part)

    def parts(self) -> Parts:
        def mine(part: int, kind: FeatureKind) -> tuple[Feature, ...]:
            return tuple(f for f in self.features if f.part == part and f.kind is kind)

        return Parts(
            tuple(
                Part(
                    k,
                    f"part-{k + 1}",
                    o,
                    mine(k, FeatureKind.HOLE),
                    mine(k, FeatureKind.SLIT),
                    mine(k, FeatureKind.MARK),
                    self.inside[k],
                )
                for k, o in enumerate(self.outlines)
            )
        )

    def bounds(self, margin: float) -> tuple[float, float, float, float]:
        boxes = np.array([f.contour.path.bounds() for f in self.outlines])
        x0, y0 = boxes[:, :2].min(axis=0) - margin
        x1, y1 = boxes[:, 2:].max(axis=0) + margin
        return float(x0), float(y0), float(x1), float(y1)


def rounded_rectangle(x0: float, y0: float, x1: float, y1: float, r: float) -> Path:
    b = float(np.tan(np.pi / 8))
    rows = [
        (x0 + r, y0, 0), (x1 - r, y0, b), (x1, y0 + r, 0), (x1, y1 - r, b),
        (x1 - r, y1, 0), (x0 + r, y1, b), (x0, y1 - r, 0), (x0, y0 + r, b),
    ]  # fmt: skip
    return Path(rows, True)


def slot(x: float, y: float, length: float, width: float) -> Path:
    r = width / 2
    return Path([(x, y - r, 0), (x + length, y - r, 1), (x + length, y + r, 0), (x, y + r, 1)], True)


def plate_with_hole() -> Sheet:
    """100 x 60 with one 20 mm hole."""
    sheet = Sheet()
    outline = sheet.outline(Path.rectangle(20, 20, 120, 80))
    sheet.hole(Path.circle((70, 50), 10), outline)
    return sheet


def dense_plate(count: int, seed: int = 1, holes: int = 8, gap: float = 14.0) -> Sheet:
    """`count` parts in rows, each with `holes` holes in it; sizes and shapes from a seed."""
    draws = np.random.default_rng(seed)
    sheet = Sheet()
    columns = int(np.ceil(np.sqrt(count)))
    for k in range(count):
        x, y = 20 + (k % columns) * (90 + gap), 20 + (k // columns) * (60 + gap)
        w, h = 75 + 15 * draws.random(), 48 + 12 * draws.random()
        if draws.random() < 0.5:
            outline = sheet.outline(Path.rectangle(x, y, x + w, y + h))
        else:
            outline = sheet.outline(rounded_rectangle(x, y, x + w, y + h, 6.0))
        for i in range(holes):
            cx, cy = x + w * (i % 4 + 0.5) / 4, y + h * (i // 4 + 0.5) / 2
            sheet.hole(Path.circle((cx, cy), 3.5 + 2 * draws.random()), outline)
    return sheet


def paths_of(sheets: Sequence[Feature]) -> list[Path]:
    return [f.contour.path for f in sheets]


def nested_plate(seed: int) -> Sheet:
    """Parts in a row with holes of many kinds, some holes with parts in them, up to three deep; from a seed."""
    draws = np.random.default_rng(seed)
    sheet = Sheet()
    x = 0.0
    for _ in range(int(draws.integers(1, 4))):
        w, h = 120 + 200 * draws.random(), 100 + 150 * draws.random()
        _nested_part(sheet, draws, x, 0.0, x + w, h, None, 0)
        x += w + 8 + 10 * draws.random()
    return sheet


def _nested_part(
    sheet: Sheet,
    draws: np.random.Generator,
    x0: float,
    y0: float,
    x1: float,
    y1: float,
    within: Feature | None,
    level: int,
) -> None:
    kind = int(draws.integers(0, 3))
    step_x, step_y = (x1 - x0) * 0.35, (y1 - y0) * 0.3
    if kind == 0:
        path = Path.rectangle(x0, y0, x1, y1)
    elif kind == 1:
        path = rounded_rectangle(x0, y0, x1, y1, 5 + 5 * float(draws.random()))
    else:  # a corner piece
        rows = [(x0, y0), (x1, y0), (x1, y1 - step_y), (x1 - step_x, y1 - step_y), (x1 - step_x, y1), (x0, y1)]
        path = Path.polyline(rows, closed=True)
        x1, y1 = x1 - step_x, y1 - step_y
    outline = sheet.outline(path if draws.random() < 0.5 else path.reversed(), within)
    columns, rows_ = max(1, int((x1 - x0) / 70)), max(1, int((y1 - y0) / 60))
    for i in range(columns):
        for j in range(rows_):
            cx, cy = x0 + (i + 0.5) * (x1 - x0) / columns, y0 + (j + 0.5) * (y1 - y0) / rows_
            room = min((x1 - x0) / columns, (y1 - y0) / rows_) - 10
            if room > 12 and draws.random() < 0.85:
                _nested_hole(sheet, draws, cx, cy, room, outline, level)


def _nested_hole(
    sheet: Sheet, draws: np.random.Generator, cx: float, cy: float, room: float, outline: Feature, level: int
) -> None:
    kind = int(draws.integers(0, 4))
    if kind == 0:
        sheet.hole(Path.circle((cx, cy), 3 + (room / 2 - 3) * float(draws.random())), outline)
    elif kind == 1:
        sheet.hole(slot(cx - room / 4, cy, room / 2, 7 + float(draws.random())), outline)
    else:
        half = room / 2
        hole = sheet.hole(Path.rectangle(cx - half, cy - half, cx + half, cy + half), outline)
        if half > 22 and level < 2:
            inner = half - 11
            _nested_part(sheet, draws, cx - inner, cy - inner, cx + inner, cy + inner, hole, level + 1)
