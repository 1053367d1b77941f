"""The verbs: read a drawing, plan its cut, prove a program, tell what came out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from kerfproof.cut_plan import CutPlan
from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.settings import ReadSettings
from kerfproof.errors import Finding, KerfproofError, Severity, UnitDoubtful, Watch, no_watch
from kerfproof.gcode.machine_control import control_of as control_of
from kerfproof.gcode.machine_control import dialects as dialects
from kerfproof.gcode.machine_line_check import check_words as check_words
from kerfproof.gcode.reader.lexer import lines_of
from kerfproof.gcode.trace import Step, Trace
from kerfproof.gcode.writer.program import Block, Program
from kerfproof.gcode.writer.rests import with_rests
from kerfproof.gcode.writer.writer import write
from kerfproof.job.inspect_drawing import (
    Inspection,
    inspect,
    joining,
    nothing_to_cut,
    part_name,
    seen,
)
from kerfproof.job.job import Job, Mode, SmallHoles
from kerfproof.job.placing import (
    CopyAt,
    Near,
    Placed,
    copies_of,
    in_drawing,
    match_pins,
    match_tabs,
    match_turns,
    place,
)
from kerfproof.job.process import far_from_chart, process_for, process_notes, process_of
from kerfproof.job.reading import read, reading, unit_question
from kerfproof.job.write_header import digest, heading_of
from kerfproof.memo import Memo
from kerfproof.outcome import Outcome, told_once
from kerfproof.parts.model.contour import Contour
from kerfproof.parts.model.part import Feature, FeatureKind, Parts
from kerfproof.plan.build import plan_cuts, prepare
from kerfproof.plan.holes import small_hole_finding
from kerfproof.plan.lead_bench import LeadBench, LeadTry, Snap
from kerfproof.plan.leads.lead import lead_shapes as _shapes
from kerfproof.plan.order.order import broken_pairs
from kerfproof.plan.order.pauses import planned_pauses
from kerfproof.programs.read_header import tab_words
from kerfproof.proof.memory import ProofMemory
from kerfproof.proof.proof import BY_RULES, Proof, verdict_of
from kerfproof.proof.prove import prove
from kerfproof.report.data.timeline import Moment, Timeline, timeline
from kerfproof.sentence import option, say, unended
from kerfproof.shop.chart import CutChart, Process
from kerfproof.shop.machine_findings import machine_findings
from kerfproof.shop.profile import Machine
from kerfproof.shop.select_process import select_process

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
    "known_before",
    "lead_bench",
    "lead_shapes",
    "left_to_drill",
    "lines_of",
    "nothing_to_cut",
    "order_refusal",
    "part_name",
    "plan",
    "process_for",
    "process_of",
    "prove",
    "read",
    "reading",
    "timeline_of",
    "unit_question",
    "verdict_of",
]


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop has for this job, already found and read."""

    machine: Machine
    chart: CutChart
    tip_used: float = 0.0
    """Share of the tip's life that is gone when the job begins."""


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
    return Bench(Memo(holds=False)).plan(job, sources, shop, settings, watch)


class Bench:
    """Plans a job again and again: stages whose inputs and settings are the same as last time are not done again.

    What comes out is what `plan` gives, whatever was planned before. A moved lead does not read the drawing again,
    nor join its contours, place its parts or offset them, and the proof reads little more of the program than what
    became another. A `memo` in which a drawing is read already spares that.
    """

    __slots__ = ("_memo",)

    def __init__(self, memo: Memo | None = None) -> None:
        self._memo = memo or Memo()

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


def _planned(
    memo: Memo, job: Job, sources: Mapping[str, bytes], shop: Shop, settings: ReadSettings, watch: Watch
) -> Outcome:
    machine = shop.machine
    settings = reading(job, settings=settings)
    process = process_for(job, shop.chart, machine)
    looked = [seen(memo, k, use, job, sources, settings, watch) for k, use in enumerate(job.drawings)]
    made = tuple(look.parts for look in looked)
    led = replace(job, pins=(), sequence=())
    placed = memo.result("place", made, (led, machine, process), lambda: _place(job, looked, machine, process))
    near = memo.result("near", made, (), lambda: tuple(map(Near, made)))
    pins, lost_pins = match_pins(job, placed, near)
    copies = copies_of(placed, made)
    wanted, lost_turns = match_turns(job, copies, near)
    turned_round = {number for number, pin in pins.items() if pin.reverse}
    setting = memo.result(
        "prepare",
        (placed,),
        (led, machine, process, turned_round),
        lambda: prepare(placed.parts, placed.plate, machine, process, job, watch, pins, memo),
    )
    tab_places, lost_tabs = match_tabs(job, placed, near)
    planned = plan_cuts(
        placed.parts, placed.plate, machine, process, job, pins, watch, wanted, setting, tab_places, memo
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
            *known_before(
                machine,
                process,
                select_process(shop.chart, job.material, job.thickness, job.amps, machine),
                [f for look in looked for f in look.findings],
            ),
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
    program, proof = _written(cut_plan, contours, job, watch, memo)
    rested = with_rests(cut_plan, proof.trace, control_of(machine), job.rests)
    if rested is not cut_plan:
        cut_plan = rested
        program, proof = _written(cut_plan, contours, job, watch, memo)
    found = told_once(proof.findings, planned.findings, placed.parts.features, {cut.feature for cut in planned.cuts})
    return replace(outcome, plan=cut_plan, program=program, proof=proof, findings=(*outcome.findings, *found))


def known_before(machine: Machine, process: Process, row: Process, drawn: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return what is to be said of machine, process and drawings before any line of a program is looked at.

    The same for a program that is planned and for one that is there already. `row` is the chart's as it stands there,
    `drawn` what was found in the drawings.
    """
    return (*machine_findings(machine), *process_notes(process), *far_from_chart(process, row), *drawn)


def left_to_drill(feature: Feature, process: Process) -> Finding | None:
    """Return what is said of a hole that a job leaves to the drill, None for any feature that no job leaves out."""
    width = feature.diameter
    if width is None:
        return None
    found = small_hole_finding(feature, width, process, SmallHoles.DRILL)
    return found if found is not None and found.severity is Severity.WARNING else None


def _written(
    cut_plan: CutPlan, contours: tuple[tuple[Contour, ...], tuple[Contour, ...]], job: Job, watch: Watch, memo: Memo
) -> tuple[Program, Proof]:
    """Return the program of a plan and its proof against closed contours and slits."""
    control = control_of(cut_plan.machine)
    watch("writing", 0.0)
    program = write(cut_plan, control, watch, memo)
    drawn, slits = contours
    # The memory goes with the memo, but only the proof puts anything into it.
    memory = memo.result("proof memory", (), (), ProofMemory) if memo.holds else None
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
        memory=memory,
        watch=watch,
    )
    return program, proof


def _middle(feature: Feature) -> tuple[float, float]:
    x0, y0, x1, y1 = feature.contour.path.bounds()
    return (x0 + x1) / 2, (y0 + y1) / 2


def _place(job: Job, looked: Sequence[Inspection], machine: Machine, process: Process) -> Placed:
    """Return the parts on the plate; where they don't fit, a doubt about the unit of a drawing is told with it."""
    try:
        return place(job, [look.parts for look in looked], machine, process)
    except KerfproofError as error:
        doubts = [unended(f.problem) for look in looked for f in look.findings if f.rule == "units-doubtful"]
        if not doubts:
            raise
        what = say("{what}. {doubt}", what=error.problem, doubt=doubts[0])
        raise UnitDoubtful(what, advice=say("give the right unit with {units}", units=option("units"))) from error


def drawn_contours(parts: Parts, left_out: Sequence[Feature]) -> tuple[tuple[Contour, ...], tuple[Contour, ...]]:
    """Return the closed contours and the slits that the cut must produce, in plate coordinates."""
    gone = {f.number for f in left_out}
    features = [f for f in parts.features if f.number not in gone]
    closed = tuple(f.contour for f in features if f.kind in (FeatureKind.OUTLINE, FeatureKind.HOLE))
    return closed, tuple(f.contour for f in features if f.kind is FeatureKind.SLIT)


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


def timeline_of(trace: Trace, machine: Machine) -> Timeline:
    """Return a program's trace laid out over time: torch, line and height at any second."""
    return timeline(trace, machine, control_of(machine))
