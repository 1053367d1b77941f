"""What a drawing holds, before anything is planned: as lines, as plain data and as a picture."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from kerfproof.box import Box
from kerfproof.drawing.drawing import Drawing
from kerfproof.errors import Finding, Severity
from kerfproof.job.inspect_drawing import Inspection
from kerfproof.parts.model.contour import Contour, Contours, Role
from kerfproof.parts.model.part import Feature, Part, Parts
from kerfproof.report.data.facts import both_sizes, counted
from kerfproof.report.data.job_report import Record, finding_record, number
from kerfproof.report.data.layer_roles import layers_line, marks_by_layer, marks_line, roles_by_layer
from kerfproof.report.picture.flags import flags, own_places
from kerfproof.report.picture.picture import Layer, Picture, Ring, layers_of, part_names
from kerfproof.sentence import option

MOST_ROWS = 10
STEEL_KG_DM3 = 7.85
"""Density of mild steel (common knowledge, from memory)."""
UNITS = (("mm", 1.0), ("cm", 10.0), ("in", 25.4))


def inspection_lines(found: Inspection, read_as: Mapping[str, Parts] | None = None) -> list[tuple[str, str]]:
    """Return what is told on one screen, as names and values.

    `read_as` are the parts by each unit that the drawing may have: gaps are joined and doubles removed by mm, so
    that it may hold others in inches.
    """
    drawing, contours, parts = found.drawing, found.contours, found.parts
    known = drawing.units.mm_per_unit is not None
    rows = [("drawing", f"{drawing.name}, {entities(drawing)}"), ("unit", unit_line(drawing))]
    box = drawing.bounds()
    if box is not None:
        rows.append(("size", size_line(box, known)))
    rows.append(("layers", layers_line(drawing, contours)))
    for name, those in (read_as or {"": parts}).items():
        rows.append(("parts", f"if {name}: {_total(those)}" if name else _total(those)))
        rows += [("", row) for row in part_rows(those.parts)]
    if marks_line(parts):
        rows.append(("marks", marks_line(parts)))
    if parts.parts and known:
        rows.append(("material", _material(parts.parts)))
    if contours.mends:
        rows.append(("mended", _mends(contours)))
    if drawing.skipped:
        rows.append(("not read", tally(f"{s.kind} ({s.reason})" for s in drawing.skipped)))
    if contours.points:
        rows.append(("points", f"{counted(len(contours.points), 'point')}, listed only"))
    rows.append(("to decide", _decisions(found.findings)))
    return rows


def entities(drawing: Drawing) -> str:
    """Return how many entities the drawing holds, and in which version of the format."""
    count = f"{drawing.entity_count} {'entity' if drawing.entity_count == 1 else 'entities'}"
    return f"{count} ({drawing.version})" if drawing.version else count


def unit_line(drawing: Drawing) -> str:
    """Return the drawing's unit and where it was read."""
    units = drawing.units
    if units.mm_per_unit is None:
        return f"not known; say it with {option('units').told(False)} mm, cm or in"
    return f"{units.name} ({'as given' if units.source == 'given' else 'as the file says'})"


def size_line(box: Box, known: bool) -> str:
    """Return the size of all that is drawn; without a unit in each that it may be."""
    w, h = box[2] - box[0], box[3] - box[1]
    if known:
        return _size(w, h)
    return "; ".join(f"if {name}: {_size(w * mm, h * mm)}" for name, mm in UNITS)


def _size(width: float, height: float) -> str:
    """Return a size in mm and inches with plain letters only."""
    return both_sizes(width, height).replace("\u00d7", "x")


def _total(parts: Parts) -> str:
    holes = sum(len(part.holes) for part in parts.parts)
    slits = sum(len(part.slits) for part in parts.parts)
    text = f"{len(parts.parts)} with {counted(holes, 'hole')}"
    return text + (f" and {counted(slits, 'slit')}" if slits else "")


def part_rows(parts: Sequence[Part]) -> list[str]:
    """Return one row for each kind of part: how many, size, and its holes by size."""
    kinds = Counter(_part_words(part) for part in parts)
    rows = [f"{count} x {words}" for words, count in kinds.items()]
    if len(rows) > MOST_ROWS:
        rows = [*rows[:MOST_ROWS], f"and {len(rows) - MOST_ROWS} kinds more; {option('json').told(False)} tells all"]
    return rows


def _part_words(part: Part) -> str:
    outline = part.outline.label.removeprefix("outline ")
    x0, y0, x1, y1 = part.outline.contour.path.bounds()
    text = f"{outline} mm ({(x1 - x0) / 25.4:.2f} x {(y1 - y0) / 25.4:.2f} in)"
    inner = [f"{count} x {size}" for size, count in hole_sizes(part.holes).items()]
    if len(inner) > MOST_ROWS:
        inner = [*inner[:MOST_ROWS], f"{len(inner) - MOST_ROWS} other sizes"]
    return f"{text}: holes {', '.join(inner)}" if inner else f"{text}, no holes"


def hole_sizes(holes: Iterable[Feature]) -> dict[str, int]:
    """Return how many holes there are of each size, the most frequent first; diameters to 0.05 mm."""
    sizes = Counter(_hole_words(h) for h in holes)
    return dict(sorted(sizes.items(), key=lambda item: (-item[1], item[0])))


def _hole_words(hole: Feature) -> str:
    if hole.diameter is not None:
        return f"D{hole.diameter:.2f}".rstrip("0").rstrip(".")
    x0, y0, x1, y1 = hole.contour.path.bounds()
    short, long = sorted((x1 - x0, y1 - y0))
    return f"{long:.1f} x {short:.1f}"


def _material(parts: Sequence[Part]) -> str:
    boxes = np.array([p.outline.contour.path.bounds() for p in parts])
    w, h = (boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)).tolist()
    area = sum(abs(p.outline.contour.path.area()) - sum(abs(f.contour.path.area()) for f in p.holes) for p in parts)
    edge = sum(f.contour.path.length() for p in parts for f in (p.outline, *p.holes, *p.slits))
    mass = area * STEEL_KG_DM3 / 1e6
    steel = f"{mass:.3g} kg" if mass >= 0.01 else f"{mass * 1000:.2g} g"
    return (
        f"{_size(w, h)} and a margin; metal kept {area / 100:.1f} cm2, {steel} of steel per mm of thickness; "
        f"{edge / 1000:.2f} m of edge"
    )


def _mends(contours: Contours) -> str:
    told = []
    for what, count in Counter(m.what for m in contours.mends).items():
        worst = max((m for m in contours.mends if m.what == what), key=lambda m: (round(m.size, 6), m.x, m.y))
        at = f"{worst.size:.3f} mm at {worst.x:.2f}, {worst.y:.2f} mm"
        told.append(f"{count} x {what} ({'' if count == 1 else 'largest '}{at})")
    return "; ".join(told)


def _decisions(findings: Sequence[Finding]) -> str:
    errors = sum(f.severity is Severity.ERROR for f in findings)
    warnings = sum(f.severity is Severity.WARNING for f in findings)
    if not errors and not warnings:
        return "nothing"
    return f"{counted(errors, 'error')} that must and {counted(warnings, 'warning')} that may want to be dealt with:"


def tally(texts: Iterable[str]) -> str:
    """Return different texts with how often each comes, the most frequent first."""
    return ", ".join(f"{count} x {text}" for text, count in sorted(Counter(texts).items(), key=lambda i: (-i[1], i[0])))


def inspection_record(found: Inspection, read_as: Mapping[str, Parts] | None = None) -> Record:
    """Return the same as plain data, everything listed. Lengths mm, in drawing coordinates."""
    drawing, contours, parts, box = found.drawing, found.contours, found.parts, found.drawing.bounds()
    return {
        "format": 1,
        "drawing": drawing.name,
        "version": drawing.version,
        "entities": drawing.entity_count,
        "units": {"source": drawing.units.source, "mm_per_unit": drawing.units.mm_per_unit, "name": drawing.units.name},
        "size_mm": [number(box[2] - box[0]), number(box[3] - box[1])] if box and drawing.units.mm_per_unit else None,
        "layers": sorted(drawing.layers),
        "roles": {layer: [role.value for role in roles] for layer, roles in roles_by_layer(contours).items()},
        "marks": marks_by_layer(parts),
        "parts": [_part_record(part) for part in parts.parts],
        **({"parts_if": {k: [_part_record(p) for p in v.parts] for k, v in read_as.items()}} if read_as else {}),
        "open": [_contour_record(c) for c in contours.open],
        "refused": [_contour_record(c) for c in contours.refused],
        "points": [[number(x), number(y)] for x, y in contours.points],
        "faults": [{"what": f.what, "x": number(f.x), "y": number(f.y)} for f in contours.faults],
        "mends": [
            {"what": m.what, "x": number(m.x), "y": number(m.y), "size_mm": number(m.size), "handles": list(m.handles)}
            for m in contours.mends
        ],
        "findings": [finding_record(f) for f in found.findings],
        "skipped": [
            {"kind": s.kind, "layer": s.layer, "handle": s.handle, "reason": s.reason} for s in drawing.skipped
        ],
    }


def _part_record(part: Part) -> Record:
    x0, y0, x1, y1 = part.outline.contour.path.bounds()
    return {
        "name": part.name,
        "holes": len(part.holes),
        "slits": len(part.slits),
        "inside": part.inside,
        "size_mm": [number(x1 - x0), number(y1 - y0)],
        "at": [number(x0), number(y0)],
        "hole_sizes": hole_sizes(part.holes),
    }


def _contour_record(contour: Contour) -> dict[str, Any]:
    (x0, y0), (x1, y1) = contour.path.start.tolist(), contour.path.end.tolist()
    return {
        "role": contour.role.value,
        "layer": contour.layer,
        "closed": contour.path.closed,
        "length_mm": number(contour.path.length()),
        "start": [number(x0), number(y0)],
        "end": [number(x1), number(y1)],
        "handles": list(contour.handles),
    }


# --- picture --------------------------------------------------------------------------------------------------


def inspection_picture(found: Inspection) -> Picture:
    """Return the picture of a drawing: parts filled, what is not cut dashed, open ends and crossings circled."""
    drawing, contours, parts = found.drawing, found.contours, found.parts
    box = drawing.bounds() or (0.0, 0.0, 100.0, 100.0)
    room = 0.04 * max(box[2] - box[0], box[3] - box[1], 1.0)
    plate = (box[0] - room, box[1] - room, box[2] + room, box[3] + room)
    callouts, more = flags(found.findings, own_places)
    rings = [Ring((f.x, f.y), f.what) for f in contours.faults]
    return Picture(
        title=drawing.name,
        verdict=_verdict(found.findings),
        plate=plate,
        view=plate,
        layers=tuple(_picture_layers(drawing, contours, parts)),
        callouts=callouts,
        names=part_names(parts.parts),
        facts=tuple((name.capitalize(), value) for name, value in _facts(drawing, parts)),
        more_findings=more,
        rings=tuple(rings),
    )


def _verdict(findings: Sequence[Finding]) -> str:
    severities = {f.severity for f in findings}
    if Severity.ERROR in severities:
        return "NOT READY TO CUT"
    return "READY, WITH WARNINGS" if Severity.WARNING in severities else "READY TO CUT"


def _picture_layers(drawing: Drawing, contours: Contours, parts: Parts) -> Iterable[Layer]:
    closed = [f.contour.path for p in parts.parts for f in (p.outline, *p.holes)]
    yield Layer("part", tuple(closed), filled=True)
    # What became of entities is known by their handles: the rest is ignored, by layer, line type or as a page frame.
    used = {h for p in parts.parts for f in p.features for h in f.contour.handles}
    bad = [*contours.refused, *(c for c in contours.open if c.role is Role.CUT)]
    used |= {h for c in bad for h in c.handles} | {h for m in contours.mends for h in m.handles}
    yield from layers_of(
        ("slit", [f.contour.path for p in parts.parts for f in p.slits]),
        ("mark", [f.contour.path for p in parts.parts for f in p.marks]),
        ("ignored", [e.path for e in drawing.entities if e.path is not None and e.handle not in used]),
        ("uncut", [c.path for c in bad]),
    )


def _facts(drawing: Drawing, parts: Parts) -> Iterable[tuple[str, str]]:
    yield "unit", unit_line(drawing)
    box = drawing.bounds()
    if box is not None:
        yield "size", size_line(box, drawing.units.mm_per_unit is not None)
    yield "parts", _total(parts)
    for row in part_rows(parts.parts)[:4]:
        yield "part", row
