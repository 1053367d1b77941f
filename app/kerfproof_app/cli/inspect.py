"""``kerfproof inspect``: what a drawing holds, before anything is planned."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kerfproof_app.cli import _options as o
from kerfproof_app.cli import _talk

if TYPE_CHECKING:
    from kerfproof.api import Inspection

DrawingFile = Annotated[str, typer.Argument(metavar="DRAWING", help="A DXF file.")]


def inspect(
    drawing: DrawingFile,
    units: o.Units = None,
    layers: o.Layers = None,
    window: o.Window = None,
    roles: o.Roles = None,
    join: o.Join = None,
    as_json: o.Json = False,
) -> None:
    """Tell what a drawing holds: unit and size, parts and holes, what is not cut, what is wrong.

    Exit code 0: nothing is wrong. 1: something has to be put right before it can be cut. 2: it can't be read.
    """
    from kerfproof import api
    from kerfproof.errors import Severity
    from kerfproof.parts.contour import Role
    from kerfproof.parts.joining import JoinSettings
    from kerfproof_app import store
    from kerfproof_app.cli._job import gap_of, reading_of, roles_of

    settings = reading_of({"units": units, "layers": layers, "window": window})
    path = Path(drawing)
    rules = tuple((rule.layer, Role(rule.role)) for rule in roles_of(roles))
    joining = JoinSettings(tolerance=gap_of(join), rules=rules)
    found = api.inspect(store.read_bytes(path), path.name, settings, joining)
    if as_json:
        _talk.result_json(record(found))
    else:
        for key, value in lines(found):
            _talk.result(f"{key:<9} {value}")
        _talk.findings(found.findings)
    raise typer.Exit(1 if any(f.severity is Severity.ERROR for f in found.findings) else 0)


COMMAND = inspect


def lines(found: Inspection) -> list[tuple[str, str]]:
    """Return what is told, as names and values."""
    from kerfproof.report.picture import counted as number_of

    drawing, parts = found.drawing, found.parts.parts
    rows = [("drawing", f"{drawing.name}, {drawing.entity_count} entities"), ("unit", unit_line(found))]
    box = drawing.bounds()
    if box is not None:
        rows.append(("size", size_line(box, drawing.units.mm_per_unit)))
    rows.append(("layers", ", ".join(sorted(drawing.layers)) or "none"))
    holes = sum(len(part.holes) for part in parts)
    slits = sum(len(part.slits) for part in parts)
    rows.append(
        (
            "parts",
            f"{len(parts)} with {number_of(holes, 'hole')}" + (f" and {number_of(slits, 'slit')}" if slits else ""),
        )
    )
    if found.contours.mends:
        rows.append(("mended", counted(mend.what for mend in found.contours.mends)))
    if drawing.skipped:
        rows.append(("not cut", counted(f"{s.kind} ({s.reason})" for s in drawing.skipped)))
    return rows


def unit_line(found: Inspection) -> str:
    """Return the drawing's unit and where it was read."""
    units = found.drawing.units
    if units.mm_per_unit is None:
        return "not known; say it with --units mm, cm or in"
    return (
        f"{units.name or f'{units.mm_per_unit:g} mm'} ({'as given' if units.source == 'given' else 'as the file says'})"
    )


def size_line(box: tuple[float, float, float, float], mm_per_unit: float | None) -> str:
    """Return the size of all that is drawn; without a unit in each that it may be."""
    from kerfproof_app.cli._summary import ascii_size

    w, h = box[2] - box[0], box[3] - box[1]
    if mm_per_unit is not None:
        return ascii_size(w, h)
    return "; ".join(f"if {name}: {ascii_size(w * mm, h * mm)}" for name, mm in (("mm", 1), ("cm", 10), ("in", 25.4)))


def counted(texts: Any) -> str:
    """Return different texts with how often each comes, the most frequent first."""
    return ", ".join(f"{count} x {text}" for text, count in sorted(Counter(texts).items(), key=lambda i: (-i[1], i[0])))


def record(found: Inspection) -> dict[str, Any]:
    """Return the same as plain data."""
    from kerfproof.report.data import finding_record, number

    drawing = found.drawing
    box = drawing.bounds()
    return {
        "format": 1,
        "drawing": drawing.name,
        "units": {"source": drawing.units.source, "mm_per_unit": drawing.units.mm_per_unit, "name": drawing.units.name},
        "size_mm": [number(box[2] - box[0]), number(box[3] - box[1])] if box and drawing.units.mm_per_unit else None,
        "layers": sorted(drawing.layers),
        "parts": [
            {"name": part.name, "holes": len(part.holes), "slits": len(part.slits), "inside": part.inside}
            for part in found.parts.parts
        ],
        "mends": [
            {"what": m.what, "x": number(m.x), "y": number(m.y), "size_mm": number(m.size)}
            for m in found.contours.mends
        ],
        "findings": [finding_record(f) for f in found.findings],
        "skipped": [
            {"kind": s.kind, "layer": s.layer, "handle": s.handle, "reason": s.reason} for s in drawing.skipped
        ],
    }
