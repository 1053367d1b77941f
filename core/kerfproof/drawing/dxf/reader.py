"""DXF bytes read into a drawing in mm."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np
from ezdxf.lldxf.const import DXFError

from kerfproof.drawing.drawing import Drawing, Entity, Skipped, Units
from kerfproof.drawing.dxf import lettering
from kerfproof.drawing.dxf.clip import check_clips
from kerfproof.drawing.dxf.entity import DrawnShape, EntityReader, NotCut
from kerfproof.drawing.dxf.frame import Tilted
from kerfproof.drawing.dxf.layers_and_window import NOT_CHOSEN, OUTSIDE, is_chosen, layer_findings, listed, within
from kerfproof.drawing.dxf.opening import Opened, open_document
from kerfproof.drawing.dxf.uncut_kinds import DIMENSION, DOUBTFUL, REASONS, SOLID, TEXT, UNKNOWN
from kerfproof.drawing.dxf.walk import Found, Walk
from kerfproof.drawing.settings import ReadSettings
from kerfproof.drawing.units import given_units, header_units, unit_findings
from kerfproof.errors import Finding, KerfproofError, Severity, Watch, no_watch
from kerfproof.registry import load_folder
from kerfproof.sentence import Phrase, mm, mm_places, option, say

AS_DRAWN = ReadSettings()
TILTED = "it is tilted out of the drawing's plane"


def read_dxf(data: bytes, name: str, settings: ReadSettings = AS_DRAWN, watch: Watch = no_watch) -> Drawing:
    """Return the drawing that the bytes of a DXF file hold, ASCII or binary, of any version.

    All curves become lines and arcs in mm. What is not cut is listed in `skipped`, so that entities and skipped
    together are all that the file holds. While the unit is unknown, coordinates stay as drawn.

    Raises
    ------
    KerfproofError
        If the bytes are no drawing, break off, or hold what could only be guessed.
    """
    opened = open_document(data, name, watch)
    code = _header_number(opened, "$INSUNITS") if opened.has_units else None
    units = header_units(code) if settings.mm_per_unit is None else given_units(settings.mm_per_unit)
    walk = Walk(opened.document, units.mm_per_unit or 1.0)
    try:
        count = walk.count()
    except KerfproofError as error:
        raise KerfproofError(error.problem, where=name, advice=error.remedy) from None
    reading = _read_all(walk, count, settings, watch)
    reading.findings += layer_findings(settings.layers, _layers(reading.entities, reading.skipped))
    drawn = reading.entities
    if settings.window is not None:
        reading.entities, outside, crossed = within(drawn, settings.window)
        reading.skipped += outside
        reading.findings += crossed
    measurement = _header_number(opened, "$MEASUREMENT") if opened.has_measurement else None
    skipped = (*reading.skipped, *opened.skipped)
    findings = (
        *opened.findings,
        *unit_findings(reading.entities, units, code, measurement),
        *reading.findings,
        *_left_out(skipped),
        *_nothing(reading.entities, skipped, drawn),
    )
    total = count + reading.letters + len(opened.skipped)
    return _drawing(name, opened, units, reading.entities, skipped, findings, total)


def _drawing(
    name: str,
    opened: Opened,
    units: Units,
    entities: Sequence[Entity],
    skipped: tuple[Skipped, ...],
    findings: tuple[Finding, ...],
    count: int,
) -> Drawing:
    version = opened.document.loaded_dxfversion or ""
    layers = _layers(entities, skipped)
    return Drawing(name, tuple(entities), units, skipped, findings, version, count, layers)


def _layers(entities: Sequence[Entity], skipped: Sequence[Skipped]) -> tuple[str, ...]:
    """Return the names of all layers on which something lies."""
    return tuple(sorted({e.layer for e in entities} | {s.layer for s in skipped if s.layer}))


@dataclass(slots=True, eq=False)
class _Reading:
    entities: list[Entity] = field(default_factory=list)
    skipped: list[Skipped] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    letters: int = 0
    """Outlines of letters beyond the first of each text."""


@cache
def _readers() -> dict[str, EntityReader]:
    """Return the readers by kind, one from each file of the folder."""
    found = load_folder("kerfproof.drawing.dxf.entities", "ENTITY").values()
    return {reader.kind: reader for reader in found}


def _read_all(walk: Walk, count: int, settings: ReadSettings, watch: Watch) -> _Reading:
    """Return all entities that are to be cut and all that are not."""
    reading = _Reading()
    chosen: dict[str, bool] = {}
    for number, found in enumerate(walk.entities()):
        if number % 500 == 0:
            watch("reading", number / max(count, 1))
        if found.layer not in chosen:
            chosen[found.layer] = is_chosen(found.layer, settings.layers)
        _read_one(found, chosen[found.layer], reading, walk, settings.text)
    watch("reading", 1.0)
    return reading


def _read_one(found: Found, chosen: bool, reading: _Reading, walk: Walk, text: bool) -> None:
    kind = found.entity.dxftype()
    reader = _readers().get(kind)
    lettered = text and kind in lettering.KINDS
    try:
        if found.left_out or not chosen:
            raise NotCut(found.left_out or NOT_CHOSEN)
        if reader is None and not lettered:
            raise NotCut(REASONS.get(kind) or DOUBTFUL.get(kind) or UNKNOWN)
        shapes = (
            lettering.outlines(found.entity, found.frame)
            if reader is None
            else [reader.read(found.entity, found.frame)]
        )
        for drawn in shapes:
            _check_reach(drawn)
            if found.clips:
                check_clips(drawn, found.clips)
        reading.entities += [_entity(found, "TEXT" if lettered else kind, drawn, walk) for drawn in shapes]
        reading.letters += len(shapes) - 1
        return
    except Tilted:
        reason, severity, rule = TILTED, Severity.ERROR, "entity-tilted"
    except NotCut as why:
        reason, severity, rule = str(why), Severity.NOTE, ""
        if found.broken:
            severity, rule = Severity.ERROR, "entity-broken"
        elif reader is None and kind not in REASONS and not found.left_out and chosen:
            severity, rule = Severity.WARNING, "entity-not-read"
    except (ValueError, ArithmeticError, LookupError, TypeError, AttributeError, DXFError) as error:
        reason = f"it can't be read: {' '.join(str(error).split()) or type(error).__name__}"
        severity, rule = Severity.ERROR, "entity-broken"
    reading.skipped.append(Skipped(kind, found.layer, found.handle, reason))
    if rule:
        message = f"{kind} on layer {found.layer} is not cut: {reason}."
        reading.findings.append(Finding(rule, severity, message, _ADVICE[rule], handle=found.handle))


_ADVICE = {
    "entity-tilted": "turn it into the plane of the drawing if it is to be cut, else delete it or ignore its layer",
    "entity-broken": "draw or export it again, or delete it",
    "entity-not-read": "explode it or draw it with lines and arcs if it is to be cut",
}


FARTHEST = 1e10
"""Beyond this (mm) from zero a coordinate has no thousandths of a millimetre left: it is a fault."""


def _check_reach(drawn: DrawnShape) -> None:
    numbers = drawn.point if drawn.path is None else drawn.path.vertices[:, :2]
    if numbers is not None and not np.abs(numbers).max() <= FARTHEST:
        raise ValueError(say("it reaches to {np}", np=mm(np.abs(numbers).max(), ".3g")))


def _entity(found: Found, kind: str, drawn: DrawnShape, walk: Walk) -> Entity:
    look = walk.look(found.entity, found.layer, found.block_look)
    return Entity(
        kind, drawn.path, found.layer, look.color, look.linetype, found.handle,
        drawn.point, drawn.fit_error, drawn.samples, look.rgb,
    )  # fmt: skip


def _left_out(skipped: Sequence[Skipped]) -> tuple[Finding, ...]:
    """Return one note for each reason why something is not cut."""
    by_reason: dict[str, Counter[str]] = {}
    for one in skipped:
        by_reason.setdefault(one.reason, Counter())[one.kind] += 1
    notes = []
    for reason, kinds in by_reason.items():
        listed = ", ".join(f"{count} {kind}" for kind, count in sorted(kinds.items()))
        advice = (
            say("show or cut the letters as outlines with {role} kind:TEXT=mark or slit", role=option("role"))
            if reason == TEXT
            else ""
        )
        notes.append(Finding("left-out", Severity.NOTE, f"Not cut: {listed}; {reason}.", advice))
    return tuple(notes)


def _nothing(entities: Sequence[Entity], skipped: Sequence[Skipped], drawn: Sequence[Entity]) -> tuple[Finding, ...]:
    """Return the finding that there is nothing to cut, and why, if so; `drawn` is what the window was chosen from."""
    if any(e.path is not None for e in entities):
        return ()
    reasons = {s.reason for s in skipped if s.kind != "VIEWPORT"}
    advice = "export the outlines as flat lines, arcs or polylines in model space"
    if OUTSIDE in reasons:
        x0, y0, x1, y1 = Drawing("", tuple(drawn), Units(None, "", "")).bounds() or (0.0, 0.0, 0.0, 0.0)
        reach = mm_places((x0, y0), (x1, y1), between=" to ")
        why: Phrase = say(
            "no curve lies wholly inside the chosen window; the drawing reaches from {reach}", reach=reach
        )
        advice = "choose the window in the drawing's own coordinates, or leave it out"
    elif NOT_CHOSEN in reasons:
        why = f"no curve lies on the chosen layers; {listed(_layers(entities, skipped))}"
        advice = "choose layers that are there, or leave the choice out"
    elif entities:
        why = "it holds points only"
    elif not reasons:
        why = "it is empty"
    elif reasons <= {TEXT, DIMENSION}:
        why = "it holds text and dimensions only"
    elif reasons == {SOLID}:
        why = "it holds bodies in space only, no flat outlines"
    elif reasons == {"it lies in paper space"}:
        why = "all of it lies in paper space, the model space is empty"
    elif len(reasons) == 1:
        why = f"of all {len(skipped)} entities: {next(iter(reasons))}"
    else:
        why = f"none of its {len(skipped)} entities can be cut: {'; '.join(sorted(reasons))}"
    return (Finding("nothing-to-cut", Severity.ERROR, say("The drawing has nothing to cut: {why}.", why=why), advice),)


def _header_number(opened: Opened, variable: str) -> int | None:
    """Return a header variable as a whole number, None when it is missing or is none."""
    value = opened.document.header.get(variable, None)
    try:
        return int(value)
    except (TypeError, ValueError):
        return None
