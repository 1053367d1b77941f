"""A drawing looked at: read as the job says, turned, joined to contours and sorted into parts."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.settings import ReadSettings
from kerfproof.errors import Finding, NothingToCut, Severity, Watch, no_watch
from kerfproof.job.job import DrawingUse, Job
from kerfproof.job.placing import turn_matrix, turned
from kerfproof.job.reading import read, read_once, reading, rules_of, unit_question
from kerfproof.memo import Memo
from kerfproof.parts.bridges import bridge_width, bridged, bridges_told, middles_told
from kerfproof.parts.build_parts import build_parts
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.parts.classify.drill_marks import DrillMarks
from kerfproof.parts.classify.roles import picks_text
from kerfproof.parts.classify.sorting import settled_findings
from kerfproof.parts.join_contours import JoinSettings, join_contours
from kerfproof.parts.model.contour import Contours, Role
from kerfproof.parts.model.contour_spots import Spot
from kerfproof.parts.model.part import Parts
from kerfproof.parts.taken_out import taken_out
from kerfproof.sentence import Phrase, clause, option, say


@dataclass(frozen=True, slots=True, eq=False)
class Inspection:
    """A drawing looked at before anything is planned. Parts keep the drawing's coordinates."""

    drawing: Drawing
    contours: Contours
    parts: Parts
    findings: tuple[Finding, ...]


def inspect(
    data: bytes,
    name: str,
    settings: ReadSettings | None = None,
    join: JoinSettings | None = None,
    watch: Watch = no_watch,
    use: DrawingUse | None = None,
) -> Inspection:
    """Return what a drawing holds: parts, mends, what is left out, what has to be decided.

    `use` turns and mirrors it first.
    """
    text = join is not None and picks_text(join.rules)
    drawing = read(data, name, replace(settings or ReadSettings(), text=text), watch)
    if use is not None:
        drawing = turned(drawing, use)
    settings, join = settings or ReadSettings(), join or JoinSettings()
    contours, parts = _sorted_out(drawing, join, part_name(name), watch)
    chosen = _taken_out(data, drawing, contours, parts, settings, join, use)
    settled = settled_findings(drawing, join.rules)
    return Inspection(drawing, contours, parts, (*settled, *contours.findings, *parts.findings, *chosen))


def _sorted_out(drawing: Drawing, join: JoinSettings, name: str, watch: Watch) -> tuple[Contours, Parts]:
    """Return the contours of a drawing and the parts they make, with bridges if they are asked for."""
    contours = join_contours(drawing, join, watch)
    parts = build_parts(contours.closed, contours.open, name)
    told: list[Finding] = []
    if join.bridges:
        made = bridged(contours.closed, parts, join.bridges)
        if made.held:
            contours = replace(contours, closed=made.closed)
            parts = build_parts(contours.closed, contours.open, name)
            told = [bridges_told(made.held, join.bridges)]
    return contours, replace(parts, findings=(*parts.findings, *told, *middles_told(parts)))


def joining(job: Job, use: DrawingUse) -> JoinSettings:
    """Return how a drawing of the job, mirrored and turned as its use says, is joined to contours."""
    matrix = turn_matrix(use)
    spots = []
    for chosen in job.contour_roles:
        if chosen.drawing == use.name:
            x, y = (matrix @ np.array([chosen.x, chosen.y])).tolist()
            spots.append(Spot(role=Role(chosen.role), x=x, y=y))
    return JoinSettings(
        tolerance=job.join_tolerance,
        rules=rules_of(job),
        spots=tuple(spots),
        drill=DrillMarks(how=job.drill_marks, below=job.drill_below),
        page=job.page,
        bridges=bridge_width(job.thickness) if job.bridges else 0.0,
    )


def seen(
    memo: Memo,
    number: int,
    use: DrawingUse,
    job: Job,
    sources: Mapping[str, bytes],
    settings: ReadSettings,
    watch: Watch,
) -> Inspection:
    """Return a drawing of the job looked at, read again only if it changed, joined only if that is done otherwise.

    Raises
    ------
    KerfproofError
        If it can't be read, its unit is not known or it holds nothing to cut.
    """
    found = looked_into(memo, number, use, job, sources, settings, watch)
    if not found.parts.parts:
        raise nothing_to_cut(found.drawing, found.contours, found.findings)
    return found


def looked_into(
    memo: Memo,
    number: int,
    use: DrawingUse,
    job: Job,
    sources: Mapping[str, bytes],
    settings: ReadSettings,
    watch: Watch,
) -> Inspection:
    """Return the same, also of a drawing that holds nothing to cut."""
    return memo.result(
        f"look {number}",
        (),
        (use, sources[use.name], settings, joining(job, use)),
        lambda: _look(memo, use, job, sources, settings, watch),
    )


def _look(
    memo: Memo, use: DrawingUse, job: Job, sources: Mapping[str, bytes], settings: ReadSettings, watch: Watch
) -> Inspection:
    drawing = read_once(memo, sources[use.name], use.name, reading(job, use, settings), watch)
    if drawing.units.mm_per_unit is None and any(e.path is not None for e in drawing.entities):
        raise unit_question(drawing)
    drawing = turned(drawing, use)
    join = joining(job, use)
    contours, parts = _sorted_out(drawing, join, part_name(use.name), watch)
    watch("joining", 1.0)
    changed = drawing_changed(use, sources[use.name])
    read_as = reading(job, use, settings)
    chosen = _taken_out(sources[use.name], drawing, contours, parts, read_as, join, use)
    found = (*settled_findings(drawing, join.rules), *contours.findings, *parts.findings, *chosen)
    findings = (*changed, *(replace(f, drawing=use.name) for f in found))
    return Inspection(drawing, contours, parts, findings)


def _taken_out(
    data: bytes,
    drawing: Drawing,
    contours: Contours,
    parts: Parts,
    settings: ReadSettings,
    join: JoinSettings,
    use: DrawingUse | None,
) -> list[Finding]:
    """Return what the choices of a job leave uncut on or near the parts, whoever made them."""
    picked = bool(settings.layers or settings.window)
    chosen = {
        "layers": bool(settings.layers),
        "window": settings.window is not None,
        "roles": bool(join.rules or join.spots),
        "page frame": join.page is PageFrames.IGNORE,
        "drill marks": join.drill.how is not DrillKind.NONE and join.drill.below > 0,
    }
    how = [what for what, is_so in chosen.items() if is_so]
    if not how:
        return []
    whole = drawing
    if picked:
        whole = read(data, drawing.name, ReadSettings(settings.mm_per_unit))
        whole = turned(whole, use) if use is not None else whole
    return taken_out(whole, contours, parts, join, how)


def nothing_to_cut(drawing: Drawing, contours: Contours, findings: Sequence[Finding]) -> NothingToCut:
    """Return the refusal of a drawing without a closed contour, with the most telling finding."""
    empty = next((f for f in findings if f.rule == "nothing-to-cut"), None)
    told = [f for f in findings if f.severity is Severity.ERROR] or list(findings)
    why = told[0].full() if told else f"{len(drawing.entities)} curves, none of them closed"
    what: Phrase = say("there is no closed contour to cut: {why}", why=why)
    advice: Phrase = ""
    lines = (*contours.closed, *contours.open)
    if lines and all(c.role in (Role.MARK, Role.SLIT) for c in lines) and not contours.refused:
        count = "the only contour has" if len(lines) == 1 else f"all {len(lines)} contours have"
        what = f"there is no outline to cut: {count} the role {' or '.join(sorted({c.role.value for c in lines}))}"
        advice = say("give the outline its role with {role} {layer}=cut", role=option("role"), layer=lines[0].layer)
    if empty:
        what, advice = clause(empty.problem), empty.remedy
    refusal = NothingToCut(what, where=drawing.name, advice=advice)
    refusal.findings = tuple(findings)
    refusal.told_of = told[0] if told and not empty else None
    return refusal


def drawing_changed(use: DrawingUse, data: bytes) -> tuple[Finding, ...]:
    """Return a note when a drawing is not as it was when the job was saved."""
    if not use.sha256 or use.sha256 == hashlib.sha256(data).hexdigest():
        return ()
    message = f"{use.name} has changed since the job was saved; starts, roles and order are kept where they still fit"
    return (Finding("drawing-changed", Severity.NOTE, message),)


def part_name(drawing: str) -> str:
    """Return a part's name from its drawing's file name."""
    stem = drawing.replace("\\", "/").rsplit("/", 1)[-1]
    return stem[:-4] if stem.lower().endswith(".dxf") else stem
