"""``kerfproof inspect``: what a drawing holds, before anything is planned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk

if TYPE_CHECKING:
    from kerfproof.api import Inspection
    from kerfproof.errors import Finding
    from kerfproof.parts.model.part import Parts

MOST_ALIKE = 4
INCH = 25.4


@o.takes(
    o.argument("drawing", "DRAWING", "A DXF file."),
    o.UNITS, o.LAYERS, o.WINDOW, o.CONTOURS,
    o.text("--against", "DRAWING", "An older version: tell what has changed since."),
    o.PICTURE, o.DARK, o.JSON,
)  # fmt: skip
def inspect(options: o.Options) -> int:
    """Tell what a drawing holds: unit and size, parts and holes, what is not cut, what is wrong.

    Exit code 0: nothing is wrong. 1: something has to be put right before it can be cut. 2: it can't be read.
    """
    from kerfproof.errors import Severity
    from kerfproof.report.inspection import inspection_lines, inspection_picture, inspection_record
    from kerfproof_app.cli.common.write_cut import check_targets
    from kerfproof_app.shop import store
    from kerfproof_app.work.exports import picture_bytes

    check_targets({"picture": options["picture"], "drawings": [options["drawing"]]})
    found = look(options["drawing"], options)
    if options["picture"]:
        data = picture_bytes(inspection_picture(found), options["picture"], bool(options["dark"]))
        store.write_bytes(Path(options["picture"]), data)
    changed = _changes(found, options)
    read_as = _read_as(found, options)
    if options["as_json"]:
        told = inspection_record(found, read_as)
        talk.result_json(told if changed is None else {**told, "changes": changed.record()})
    else:
        for key, value in [*inspection_lines(found, read_as), *([] if changed is None else changed.lines())]:
            talk.result(f"{key:<9} {value}")
        short, more = shortened(found.findings)
        talk.findings(short, inches=found.drawing.units.mm_per_unit == INCH)
        if more:
            talk.result(f"and {more} more like these; --json tells all, --picture FILE.svg shows where")
    return 1 if any(f.severity is Severity.ERROR for f in found.findings) else 0


COMMAND = inspect


def shortened(found: Sequence[Finding]) -> tuple[list[Finding], int]:
    """Return the first few findings of each kind, so that all kinds fit on a screen, and how many are left."""
    kept: list[Finding] = []
    count: Counter[tuple[str, str]] = Counter()
    for finding in found:
        count[finding.rule, finding.severity] += 1
        if count[finding.rule, finding.severity] <= MOST_ALIKE:
            kept.append(finding)
    return kept, len(found) - len(kept)


def look(file: str, options: dict[str, Any]) -> Inspection:
    """Return what a drawing holds under the options."""
    from kerfproof import api
    from kerfproof.job.job import DrawingUse, Job
    from kerfproof_app.cli.common.job_from_options import drawing_choices, reading_of
    from kerfproof_app.shop import store

    path = Path(file)
    use = DrawingUse(name=path.name)
    job = Job(drawings=(use,), machine="", chart="", material="", thickness=1.0, **drawing_choices(options))
    return api.inspect(store.read_bytes(path), path.name, reading_of(options), api.joining(job, use))


def _read_as(found: Inspection, options: dict[str, Any]) -> dict[str, Parts]:
    """Return the parts in each unit that a drawing may have, empty where it is known."""
    if found.drawing.units.mm_per_unit is not None or not any(e.path is not None for e in found.drawing.entities):
        return {}
    return {unit: look(options["drawing"], {**options, "units": unit}).parts for unit in ("mm", "in")}


def _changes(found: Inspection, options: dict[str, Any]) -> Any:
    if options["against"] is None:
        return None
    from kerfproof.parts.model.changes import changes

    return changes(_older(options).parts, found.parts)


def _older(options: dict[str, Any]) -> Inspection:
    """Return what the older drawing holds: in the unit given for the newer one, unless the two say different ones."""
    if options["units"] is not None:
        unsaid = {**options, "units": None}
        own = look(options["against"], unsaid)
        if own.drawing.units.mm_per_unit not in (None, look(options["drawing"], unsaid).drawing.units.mm_per_unit):
            return own
    return look(options["against"], options)
