"""The verbs: read a drawing, plan its cut, prove a program, tell what came out."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kerfproof.cutplan import CutPlan
from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.drawing.settings import ReadSettings
from kerfproof.errors import Finding, KerfproofError, Severity, UnitUnknown, Watch, no_watch
from kerfproof.job import DrawingUse, Job
from kerfproof.machine.chart import CutChart, Process
from kerfproof.machine.control import control_of
from kerfproof.machine.machine_findings import machine_findings
from kerfproof.machine.profile import Machine
from kerfproof.machine.select import select_process
from kerfproof.motion.trace import Step, Trace
from kerfproof.motion.writer import write
from kerfproof.outcome import Outcome
from kerfproof.parts.build import build_parts
from kerfproof.parts.contour import Contour, Contours, Role
from kerfproof.parts.joining import JoinSettings, join_contours
from kerfproof.parts.part import Feature, FeatureKind, Parts
from kerfproof.placing import Placed, match_pins, place, turned
from kerfproof.report.timeline import Moment, Timeline, timeline
from kerfproof.toolpath.build import plan_cuts
from kerfproof.verify.prove import prove

__all__ = [
    "Inspection",
    "Moment",
    "ReadSettings",
    "Shop",
    "Step",
    "Timeline",
    "digest",
    "drawn_contours",
    "heading_of",
    "inspect",
    "nothing_to_cut",
    "part_name",
    "plan",
    "process_of",
    "prove",
    "read",
    "timeline_of",
    "unit_question",
]


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop has for this job, already found and read."""

    machine: Machine
    chart: CutChart


@dataclass(frozen=True, slots=True, eq=False)
class Inspection:
    """A drawing looked at before anything is planned. Parts keep the drawing's coordinates."""

    drawing: Drawing
    contours: Contours
    parts: Parts
    findings: tuple[Finding, ...]


def read(data: bytes, name: str, settings: ReadSettings | None = None, watch: Watch = no_watch) -> Drawing:
    """Return the drawing in a DXF file's bytes, in mm where its unit is known.

    Raises
    ------
    KerfproofError
        If the bytes are no DXF drawing or hold numbers that can't be trusted.
    """
    return read_dxf(data, name, settings or ReadSettings(), watch)


def inspect(
    data: bytes,
    name: str,
    settings: ReadSettings | None = None,
    join: JoinSettings | None = None,
    watch: Watch = no_watch,
) -> Inspection:
    """Return what a drawing holds: parts, mends, what is left out, what has to be decided."""
    drawing = read(data, name, settings, watch)
    contours = join_contours(drawing, join or JoinSettings(), watch)
    parts = build_parts(contours.closed, contours.open, part_name(name))
    return Inspection(drawing, contours, parts, (*drawing.findings, *contours.findings, *parts.findings))


def plan(
    job: Job, sources: Mapping[str, bytes], shop: Shop, settings: ReadSettings | None = None, watch: Watch = no_watch
) -> Outcome:
    """Return everything a job becomes: parts, plan, program and its proof.

    `sources` are the bytes of each drawing by the name the job uses.

    Raises
    ------
    KerfproofError
        If the work can't go on: an unreadable drawing, an unknown unit, nothing to cut, no such material, a
        part larger than the machine.
    """
    machine = shop.machine
    control = control_of(machine)
    process = process_of(job, shop.chart, machine)
    looked = [_look(use, job, sources, settings or ReadSettings(), watch) for use in job.drawings]
    placed = place(job, [look.parts for look in looked], machine, process)
    pins, lost_pins = match_pins(job, placed, [look.parts for look in looked])
    planned = plan_cuts(placed.parts, placed.plate, machine, process, job, pins, watch)
    left = tuple(f for f in placed.parts.features if f.number in set(planned.left_out))
    outcome = Outcome(
        job=job,
        machine=machine,
        process=process,
        drawings=tuple(look.drawing for look in looked),
        contours=tuple(look.contours for look in looked),
        parts=placed.parts,
        shift=(float(placed.shifts[0, 0]), float(placed.shifts[0, 1])),
        left_out=left,
        findings=(
            *machine_findings(machine),
            *_process_notes(process),
            *(f for look in looked for f in look.findings),
            *lost_pins,
            *planned.findings,
        ),
    )
    if not planned.cuts:
        return outcome
    cut_plan = CutPlan(
        name=part_name(job.drawings[0].name),
        cuts=planned.cuts,
        plate=placed.plate,
        machine=machine,
        process=process,
        mode=job.mode,
        heading=heading_of(job, settings or ReadSettings(), outcome.drawings, placed, machine, process, left, sources),
    )
    watch("writing", 0.0)
    program = write(cut_plan, control)
    drawn, slits = drawn_contours(placed.parts, left)
    proof = prove(
        program.text,
        control,
        machine,
        process,
        drawn,
        slits=slits,
        plate=placed.plate,
        mode=job.mode.value,
        watch=watch,
    )
    return replace(outcome, plan=cut_plan, program=program, proof=proof, findings=(*outcome.findings, *proof.findings))


def _process_notes(process: Process) -> tuple[Finding, ...]:
    """Return a note where the chart row was worked out between measured ones."""
    if not process.estimated:
        return ()
    return (
        Finding(
            "process-estimated",
            Severity.NOTE,
            f"the chart has no row for {process.thickness:g} mm: {process.source}",
            "cut a test piece before a good sheet",
        ),
    )


def _look(use: DrawingUse, job: Job, sources: Mapping[str, bytes], settings: ReadSettings, watch: Watch) -> Inspection:
    if use.mm_per_unit is not None:
        settings = replace(settings, mm_per_unit=use.mm_per_unit)
    drawing = read(sources[use.name], use.name, settings, watch)
    if drawing.units.mm_per_unit is None:
        raise unit_question(drawing)
    drawing = turned(drawing, use)
    rules = tuple((rule.layer, Role(rule.role)) for rule in job.roles)
    contours = join_contours(drawing, JoinSettings(tolerance=job.join_tolerance, rules=rules), watch)
    parts = build_parts(contours.closed, contours.open, part_name(use.name))
    findings = (*drawing.findings, *contours.findings, *parts.findings)
    if not parts.parts:
        raise nothing_to_cut(drawing, findings)
    return Inspection(drawing, contours, parts, findings)


def unit_question(drawing: Drawing) -> UnitUnknown:
    """Return the refusal of a drawing whose unit nobody knows, with its size in each unit."""
    box = drawing.bounds()
    size = ""
    if box is not None:
        w, h = box[2] - box[0], box[3] - box[1]
        size = (
            f": read as mm it is {w:.4g} x {h:.4g} mm, as cm {w * 10:.4g} x {h * 10:.4g} mm, "
            f"as inches {w * 25.4:.4g} x {h * 25.4:.4g} mm"
        )
    question = UnitUnknown(
        f"the drawing does not say its unit{size}", where=drawing.name, advice="give --units mm, cm or in"
    )
    question.size = None if box is None else (box[2] - box[0], box[3] - box[1])
    return question


def nothing_to_cut(drawing: Drawing, findings: Sequence[Finding]) -> KerfproofError:
    """Return the refusal of a drawing without a closed contour, with the most telling finding."""
    told = [f for f in findings if f.severity is Severity.ERROR] or list(findings)
    why = told[0].sentence() if told else f"{len(drawing.entities)} curves, none of them closed"
    return KerfproofError(f"there is no closed contour to cut: {why}", where=drawing.name)


def drawn_contours(parts: Parts, left_out: Sequence[Feature]) -> tuple[tuple[Contour, ...], tuple[Contour, ...]]:
    """Return the closed contours and the slits that the cut must produce, in plate coordinates."""
    gone = {f.number for f in left_out}
    features = [f for f in parts.features if f.number not in gone]
    closed = tuple(f.contour for f in features if f.kind in (FeatureKind.OUTLINE, FeatureKind.HOLE))
    return closed, tuple(f.contour for f in features if f.kind is FeatureKind.SLIT)


def part_name(drawing: str) -> str:
    """Return a part's name from its drawing's file name."""
    stem = drawing.replace("\\", "/").rsplit("/", 1)[-1]
    return stem[:-4] if stem.lower().endswith(".dxf") else stem


def process_of(job: Job, chart: CutChart, machine: Machine) -> Process:
    """Return the chart row of the job with what the person set otherwise."""
    process = select_process(chart, job.material, job.thickness, job.amps, machine)
    changes: dict[str, float] = {}
    if job.kerf is not None:
        changes["kerf"] = job.kerf
    if job.feed_mm_min is not None:
        changes["feed_mm_min"] = job.feed_mm_min
    if job.pierce_delay_s is not None:
        changes["pierce_delay_s"] = job.pierce_delay_s
    if job.leads.radius is not None:
        changes["lead_radius"] = job.leads.radius
    if job.leads.straight is not None:
        changes["lead_straight"] = job.leads.straight
    return replace(process, **changes) if changes else process  # type: ignore[arg-type]


def heading_of(
    job: Job,
    settings: ReadSettings,
    drawings: Sequence[Drawing],
    placed: Placed,
    machine: Machine,
    process: Process,
    left: Sequence[Feature],
    sources: Mapping[str, bytes],
) -> tuple[tuple[str, str], ...]:
    """Return what the head of the program must hold so that the proof can be repeated from text and drawing."""
    pairs = [
        ("machine", f"{machine.name} {digest(repr(machine).encode())}"),
        ("material", f"{process.material} {process.thickness:g} mm {process.amps:g} A"),
        ("kerf", f"{process.kerf:.3f} mm"),
        ("feed", f"{process.feed_mm_min:.0f} mm/min"),
        ("plate", " ".join(f"{v:.3f}" for v in placed.plate) + " mm"),
        ("mode", job.mode.value),
    ]
    for copy, use in enumerate(placed.uses):
        drawing, chosen = drawings[use], job.drawings[use]
        shift = " ".join(f"{v:.4f}" for v in placed.shifts[copy])
        pairs.append(("drawing", f"{chosen.name} {digest(sources[chosen.name])}"))
        pairs.append(("units", f"{drawing.units.mm_per_unit:g} mm {drawing.units.source}"))
        pairs.append(("shift", f"{shift} mm turn {chosen.turn_deg:g} deg{' mirrored' if chosen.mirror else ''}"))
    pairs += [("role", f"{rule.role} {rule.layer}") for rule in job.roles]
    pairs += [("layer", layer) for layer in settings.layers]
    if settings.window is not None:
        pairs.append(("window", " ".join(f"{v:.4f}" for v in settings.window) + " mm"))
    pairs.append(("join", f"{job.join_tolerance:g} mm"))
    for feature in left:
        x0, y0, x1, y1 = feature.contour.path.bounds()
        pairs.append(("left-out", f"{feature.label} at {(x0 + x1) / 2:.3f} {(y0 + y1) / 2:.3f} mm"))
    return tuple(pairs)


def digest(data: bytes) -> str:
    """Return the first 16 hexadecimal digits of the SHA-256 of `data`."""
    return hashlib.sha256(data).hexdigest()[:16]


def timeline_of(trace: Trace, machine: Machine) -> Timeline:
    """Return a program's trace laid out over time: torch, line and height at any second."""
    return timeline(trace, machine, control_of(machine))
