"""The verbs: read a drawing, plan its cut, prove a program, tell what came out."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.cutplan import CutPlan
from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.drawing.settings import ReadSettings
from kerfproof.errors import Finding, KerfproofError, NothingToCut, Severity, UnitUnknown, Watch, no_watch
from kerfproof.job import DrawingUse, Job, Mode, Rests, RoleRule
from kerfproof.machine.chart import CutChart, Process
from kerfproof.machine.control import control_of
from kerfproof.machine.machine_findings import machine_findings
from kerfproof.machine.profile import Machine
from kerfproof.machine.select import select_process
from kerfproof.memo import Memo
from kerfproof.motion.program import Block, Program
from kerfproof.motion.rests import with_rests
from kerfproof.motion.trace import Step, Trace
from kerfproof.motion.writer import write
from kerfproof.outcome import Outcome
from kerfproof.parts.build import build_parts
from kerfproof.parts.choices import DrillKind, PageFrames
from kerfproof.parts.contour import Contour, Contours, Role
from kerfproof.parts.joining import JoinSettings, join_contours
from kerfproof.parts.marks import DrillMarks
from kerfproof.parts.part import Feature, FeatureKind, Parts
from kerfproof.parts.roles import Rule, picks_text
from kerfproof.parts.sorting import settled_findings
from kerfproof.parts.spots import Spot
from kerfproof.placing import (
    CopyAt,
    Placed,
    copies_of,
    in_drawing,
    match_pins,
    match_tabs,
    match_turns,
    place,
    turn_matrix,
    turned,
)
from kerfproof.report.claims import tab_words
from kerfproof.report.timeline import Moment, Timeline, timeline
from kerfproof.toolpath.build import plan_cuts, prepare
from kerfproof.toolpath.lead import lead_shapes as _shapes
from kerfproof.toolpath.leadbench import LeadBench, LeadTry, Snap
from kerfproof.toolpath.order import broken_pairs
from kerfproof.toolpath.pauses import planned_pauses
from kerfproof.verify.proof import BY_RULES, Proof, verdict_of
from kerfproof.verify.prove import prove

__all__ = [
    "BY_RULES",
    "Bench",
    "Block",
    "CopyAt",
    "Drawing",
    "Inspection",
    "LeadBench",
    "LeadTry",
    "Moment",
    "Program",
    "ReadSettings",
    "Shop",
    "Snap",
    "Step",
    "Timeline",
    "digest",
    "drawn_contours",
    "heading_of",
    "in_drawing",
    "inspect",
    "joining",
    "lead_bench",
    "lead_shapes",
    "nothing_to_cut",
    "order_refusal",
    "part_name",
    "plan",
    "process_of",
    "prove",
    "read",
    "reading",
    "timeline_of",
    "unit_question",
    "verdict_of",
]

FAR_KERF, FAR_FEED = 1.6, 2.0
"""A kerf or feed off the chart's by more than this factor looks like a slip; the chart itself is good to 30 %."""


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop has for this job, already found and read."""

    machine: Machine
    chart: CutChart
    tip_used: float = 0.0
    """Share of the tip's life that is gone when the job begins."""


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
    use: DrawingUse | None = None,
) -> Inspection:
    """Return what a drawing holds: parts, mends, what is left out, what has to be decided.

    `use` turns and mirrors it first.
    """
    text = join is not None and picks_text(join.rules)
    drawing = read(data, name, replace(settings or ReadSettings(), text=text), watch)
    if use is not None:
        drawing = turned(drawing, use)
    contours = join_contours(drawing, join or JoinSettings(), watch)
    parts = build_parts(contours.closed, contours.open, part_name(name))
    settled = settled_findings(drawing, (join or JoinSettings()).rules)
    return Inspection(drawing, contours, parts, (*settled, *contours.findings, *parts.findings))


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
        rules=_rules(job),
        spots=tuple(spots),
        drill=DrillMarks(how=job.drill_marks, below=job.drill_below),
        page=job.page,
    )


def _rules(job: Job) -> tuple[Rule, ...]:
    return tuple(
        Rule(role=Role(r.role), layer=r.layer, color=r.color, linetype=r.linetype, kind=r.kind) for r in job.roles
    )


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
    return Bench().plan(job, sources, shop, settings, watch)


class Bench:
    """Plans a job again and again: stages whose inputs and settings are the same as last time are not done again.

    What comes out is what `plan` gives, whatever was planned before. A moved lead does not read the drawing again,
    nor join its contours, place its parts or offset them.
    """

    __slots__ = ("_memo",)

    def __init__(self) -> None:
        self._memo = Memo()

    def plan(
        self,
        job: Job,
        sources: Mapping[str, bytes],
        shop: Shop,
        settings: ReadSettings | None = None,
        watch: Watch = no_watch,
    ) -> Outcome:
        """Return everything a job becomes; see `plan`."""
        return _planned(self._memo, job, sources, shop, settings or ReadSettings(), watch)

    def read(self, data: bytes, name: str, settings: ReadSettings | None = None, watch: Watch = no_watch) -> Drawing:
        """Return the drawing in a DXF file's bytes; see `read`. A plan of the same bytes does not read them again."""
        return _read(self._memo, data, name, settings or ReadSettings(), watch)


def _planned(
    memo: Memo, job: Job, sources: Mapping[str, bytes], shop: Shop, settings: ReadSettings, watch: Watch
) -> Outcome:
    machine = shop.machine
    settings = reading(job, settings=settings)
    process = process_of(job, shop.chart, machine)
    looked = [_seen(memo, k, use, job, sources, settings, watch) for k, use in enumerate(job.drawings)]
    made = tuple(look.parts for look in looked)
    led = replace(job, pins=(), sequence=())
    placed = memo.result("place", made, (led, machine, process), lambda: _place(job, looked, machine, process))
    pins, lost_pins = match_pins(job, placed, made)
    copies = copies_of(placed, made)
    wanted, lost_turns = match_turns(job, copies, made)
    turned_round = {number for number, pin in pins.items() if pin.reverse}
    setting = memo.result(
        "prepare",
        (placed,),
        (led, machine, process, turned_round),
        lambda: prepare(placed.parts, placed.plate, machine, process, job, watch, pins),
    )
    tab_places, lost_tabs = match_tabs(job, placed, made)
    planned = plan_cuts(
        placed.parts, placed.plate, machine, process, job, pins, watch, wanted, setting, tab_places
    )  # fmt: skip
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
        copies=copies,
        pinned=tuple(pins.items()),
        findings=(
            *machine_findings(machine),
            *_process_notes(process),
            *_far_from_chart(process, select_process(shop.chart, job.material, job.thickness, job.amps, machine)),
            *(f for look in looked for f in look.findings),
            *lost_pins,
            *lost_turns,
            *lost_tabs,
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
        drill=tuple((f.label, _middle(f)) for f in left),
        heading=(
            *heading_of(job, settings, outcome.drawings, placed, machine, process, left, sources),
            *(("tab", tab_words(tab)) for tab in planned.tabs),
        ),
        tabs=planned.tabs,
    )
    if job.mode is Mode.CUT:
        owner = {feature.number: feature.part for feature in placed.parts.features}
        owners = [owner[cut.feature] for cut in planned.cuts]
        used = round(shop.tip_used * process.starts_per_tip)
        pauses, unpaused = planned_pauses(planned.cuts, owners, machine, process, used)
        cut_plan = replace(cut_plan, pauses=pauses)
        outcome = replace(outcome, findings=(*outcome.findings, *unpaused))
    contours = drawn_contours(placed.parts, left)
    program, proof = _written(cut_plan, contours, job, watch)
    rested = with_rests(cut_plan, proof.trace, control_of(machine), job.rests)
    if rested is not cut_plan:
        cut_plan = rested
        program, proof = _written(cut_plan, contours, job, watch)
    return replace(outcome, plan=cut_plan, program=program, proof=proof, findings=(*outcome.findings, *proof.findings))


def _written(
    cut_plan: CutPlan, contours: tuple[tuple[Contour, ...], tuple[Contour, ...]], job: Job, watch: Watch
) -> tuple[Program, Proof]:
    """Return the program of a plan and its proof against closed contours and slits."""
    control = control_of(cut_plan.machine)
    watch("writing", 0.0)
    program = write(cut_plan, control, watch)
    drawn, slits = contours
    proof = prove(
        program.text,
        control,
        cut_plan.machine,
        cut_plan.process,
        drawn,
        slits=slits,
        plate=cut_plan.plate,
        mode=job.mode.value,
        choices=job.rules,
        tabs=cut_plan.tabs,
        watch=watch,
    )
    return program, proof


def _middle(feature: Feature) -> tuple[float, float]:
    x0, y0, x1, y1 = feature.contour.path.bounds()
    return (x0 + x1) / 2, (y0 + y1) / 2


def _process_notes(process: Process) -> tuple[Finding, ...]:
    """Return a note where the chart row was worked out between measured ones."""
    if not process.estimated:
        return ()
    return (
        Finding(
            "process-estimated",
            Severity.NOTE,
            f"the chart has no measured row for {process.thickness:g} mm: {process.source}",
            "cut a test piece before a good sheet",
        ),
    )


def _far_from_chart(process: Process, row: Process) -> list[Finding]:
    """Return a warning for each value of the person that the chart makes look like a slip."""
    found = []
    for name, value, usual, unit, factor in (
        ("kerf", process.kerf, row.kerf, "mm", FAR_KERF),
        ("feed", process.feed_mm_min, row.feed_mm_min, "mm/min", FAR_FEED),
    ):
        if not usual / factor <= value <= usual * factor:
            what = f"the {name} of {value:g} {unit} is far from the {usual:g} {unit} of the chart"
            found.append(Finding("far-from-chart", Severity.WARNING, what, "check the value and its unit"))
    if process.pierce_delay_s < row.pierce_delay_s / FAR_FEED:
        what = f"the pierce delay of {process.pierce_delay_s:g} s is far under the chart's {row.pierce_delay_s:g} s"
        found.append(Finding("far-from-chart", Severity.WARNING, what, "the torch moves before it is through"))
    return found


def _place(job: Job, looked: Sequence[Inspection], machine: Machine, process: Process) -> Placed:
    """Return the parts on the plate; where they don't fit, a doubt about the unit of a drawing is told with it."""
    try:
        return place(job, [look.parts for look in looked], machine, process)
    except KerfproofError as error:
        doubts = [f.message.rstrip(".") for look in looked for f in look.findings if f.rule == "units-doubtful"]
        if not doubts:
            raise
        raise KerfproofError(f"{error.what}. {doubts[0]}", advice="give the right unit with --units") from error


def _seen(
    memo: Memo,
    number: int,
    use: DrawingUse,
    job: Job,
    sources: Mapping[str, bytes],
    settings: ReadSettings,
    watch: Watch,
) -> Inspection:
    """Return a drawing of the job looked at, read again only if it changed, joined only if that is done otherwise."""
    return memo.result(
        f"look {number}",
        (),
        (use, sources[use.name], settings, joining(job, use)),
        lambda: _look(memo, use, job, sources, settings, watch),
    )


def _read(memo: Memo, data: bytes, name: str, settings: ReadSettings, watch: Watch) -> Drawing:
    return memo.result(f"read {name}", (), (data, settings), lambda: read(data, name, settings, watch))


def _look(
    memo: Memo, use: DrawingUse, job: Job, sources: Mapping[str, bytes], settings: ReadSettings, watch: Watch
) -> Inspection:
    drawing = _read(memo, sources[use.name], use.name, reading(job, use, settings), watch)
    if drawing.units.mm_per_unit is None and any(e.path is not None for e in drawing.entities):
        raise unit_question(drawing)
    drawing = turned(drawing, use)
    join = joining(job, use)
    contours = join_contours(drawing, join, watch)
    watch("joining", 1.0)
    parts = build_parts(contours.closed, contours.open, part_name(use.name))
    watch("joining", 1.0)
    changed = drawing_changed(use, sources[use.name])
    found = (*settled_findings(drawing, join.rules), *contours.findings, *parts.findings)
    findings = (*changed, *(replace(f, drawing=use.name) for f in found))
    if not parts.parts:
        raise nothing_to_cut(drawing, findings)
    return Inspection(drawing, contours, parts, findings)


def reading(job: Job, use: DrawingUse | None = None, settings: ReadSettings | None = None) -> ReadSettings:
    """Return how the drawings of a job, or one of them, are read; what `settings` say wins over the job."""
    settings = settings or ReadSettings()
    unit = None if use is None else use.mm_per_unit
    return ReadSettings(
        mm_per_unit=settings.mm_per_unit if unit is None else unit,
        layers=settings.layers or job.layers,
        window=settings.window or job.window,
        text=picks_text(_rules(job)),
    )


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


def nothing_to_cut(drawing: Drawing, findings: Sequence[Finding]) -> NothingToCut:
    """Return the refusal of a drawing without a closed contour, with the most telling finding."""
    empty = next((f for f in findings if f.rule == "nothing-to-cut"), None)
    told = [f for f in findings if f.severity is Severity.ERROR] or list(findings)
    why = told[0].sentence() if told else f"{len(drawing.entities)} curves, none of them closed"
    what, advice = f"there is no closed contour to cut: {why}", ""
    if empty:
        what, advice = f"{empty.message[:1].lower()}{empty.message[1:].rstrip('.')}", empty.advice
    refusal = NothingToCut(what, where=drawing.name, advice=advice)
    refusal.findings = tuple(findings)
    return refusal


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
    pairs += [("role", f"{rule.role} {rule_words(rule)}") for rule in job.roles]
    for spot in job.contour_roles:
        pairs.append(("contour-role", f"{spot.role} at {spot.x:.4f} {spot.y:.4f} mm of {spot.drawing}"))
    if job.drill_marks is not DrillKind.NONE:
        pairs.append(("drill-marks", f"{job.drill_marks.value} {job.drill_below:g} mm"))
    if job.page is not PageFrames.AUTO:
        pairs.append(("page", job.page.value))
    pairs += [("layer", layer) for layer in settings.layers]
    if settings.window is not None:
        pairs.append(("window", " ".join(f"{v:.4f}" for v in settings.window) + " mm"))
    if job.pierce_delay_s is not None:
        pairs.append(("pierce-delay", f"{job.pierce_delay_s:g} s"))
    pairs += [("rule", f"{c.rule} {c.severity or 'off'} {c.reason}") for c in job.rules]
    pairs += [] if job.rests is Rests.TELL else [("rests", job.rests.value)]
    pairs.append(("join", f"{job.join_tolerance:g} mm"))
    for feature in left:
        x0, y0, x1, y1 = feature.contour.path.bounds()
        pairs.append(("left-out", f"{feature.label} at {(x0 + x1) / 2:.3f} {(y0 + y1) / 2:.3f} mm"))
    return tuple(pairs)


def rule_words(rule: RoleRule) -> str:
    """Return what a rule picks, as it stands in the heading of programs (`kerfproof.report.claims` reads it)."""
    marks = [f"color:{rule.color}"] if rule.color else []
    marks += [f"linetype:{rule.linetype}"] if rule.linetype else []
    marks += [f"kind:{rule.kind}"] if rule.kind else []
    return " ".join([*marks, f"layer:{rule.layer}" if marks and rule.layer else rule.layer]).strip()


def drawing_changed(use: DrawingUse, data: bytes) -> tuple[Finding, ...]:
    """Return a note when a drawing is not as it was when the job was saved."""
    if not use.sha256 or use.sha256 == hashlib.sha256(data).hexdigest():
        return ()
    message = f"{use.name} has changed since the job was saved; starts, roles and order are kept where they still fit"
    return (Finding("drawing-changed", Severity.NOTE, message),)


def lead_bench(outcome: Outcome) -> LeadBench:
    """Return the sheet of a plan made ready for trying leads by hand.

    Raises
    ------
    ValueError
        If the outcome has no plan.
    """
    if outcome.plan is None:
        raise ValueError("the outcome has no plan")
    pins = dict(outcome.pinned)
    setting = prepare(outcome.parts, outcome.plan.plate, outcome.machine, outcome.process, outcome.job, pins=pins)
    return LeadBench(setting, outcome.machine, outcome.process, outcome.job, outcome.plan.cuts, pins)


def lead_shapes() -> dict[str, str]:
    """Return the titles of the lead shapes by name."""
    return {name: shape.title for name, shape in _shapes().items()}


def order_refusal(outcome: Outcome, features: Sequence[int]) -> str:
    """Return why features can't be cut in this order, as one sentence; empty if they can."""
    broken = broken_pairs(outcome.parts, features)
    if not broken:
        return ""
    labels = {f.number: f.label for f in outcome.parts.features}
    first, then = broken[0]
    return (
        f"{labels[first]} lies inside {labels[then]} and has to be cut before it: "
        "a freed piece may tip or shift, and what is cut in it later lands in the wrong place"
    )


def digest(data: bytes) -> str:
    """Return the first 16 hexadecimal digits of the SHA-256 of `data`."""
    return hashlib.sha256(data).hexdigest()[:16]


def timeline_of(trace: Trace, machine: Machine) -> Timeline:
    """Return a program's trace laid out over time: torch, line and height at any second."""
    return timeline(trace, machine, control_of(machine))
