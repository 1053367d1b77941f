"""From a job and the bytes of its drawings to everything it becomes, stage by stage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kerfproof.cut_plan import CutPlan, Pause
from kerfproof.errors import Finding, KerfproofError, UnitDoubtful, Watch
from kerfproof.job.inspect_drawing import Inspection, part_name, seen
from kerfproof.job.job import Mode, Pin
from kerfproof.job.placing import Near, Placed, copies_of, match_pins, match_tabs, match_turns, place
from kerfproof.job.resolved_job import ResolvedJob
from kerfproof.job.write_header import heading_of, tab_words
from kerfproof.memo import Memo
from kerfproof.outcome import Outcome, told_once
from kerfproof.parts.model.part import Feature, drawn_contours
from kerfproof.plan.build import Planned, plan_cuts, prepare
from kerfproof.plan.order.pauses import planned_pauses
from kerfproof.planning.write_and_prove import Written, write_and_prove
from kerfproof.proof.rule_choices import left_out
from kerfproof.sentence import option, say, unended


@dataclass(frozen=True, slots=True, eq=False)
class _Laid:
    """The drawings looked at and their parts on the plate, with where the person's choices lie there."""

    looked: Sequence[Inspection]
    placed: Placed
    near: tuple[Near, ...]
    pins: Mapping[int, Pin]
    lost_pins: Sequence[Finding]


def plan_job(resolved: ResolvedJob, sources: Mapping[str, bytes], memo: Memo, watch: Watch) -> Outcome:
    """Return everything a job becomes; see `kerfproof.api.plan`."""
    resolved.check()
    job, machine, process = resolved.job, resolved.machine, resolved.process
    laid = _laid_down(resolved, sources, memo, watch)
    placed = laid.placed
    copies = copies_of(placed, tuple(look.parts for look in laid.looked))
    wanted, lost_turns = match_turns(job, copies, laid.near)
    led = replace(job, pins=(), sequence=())
    turned_round = {number for number, pin in laid.pins.items() if pin.reverse}
    setting = memo.result(
        "prepare",
        (placed,),
        (led, machine, process, turned_round),
        lambda: prepare(placed.parts, placed.plate, machine, process, job, watch, laid.pins, memo),
    )
    tab_places, lost_tabs = match_tabs(job, placed, laid.near)
    planned = plan_cuts(
        placed.parts, placed.plate, machine, process, job, laid.pins, watch, wanted, setting, tab_places, memo
    )  # fmt: skip
    left = tuple(f for f in placed.parts.features if f.number in set(planned.left_out))
    pauses, unpaused = _pauses(resolved, planned, placed) if planned.cuts else ((), ())
    written: Written | None = None
    found: Sequence[Finding] = ()
    if planned.cuts:
        cut_plan = _cut_plan(resolved, laid, planned, left, pauses, sources)
        drawn, slits = drawn_contours(placed.parts, left)
        written = write_and_prove(cut_plan, drawn, slits, job, memo, watch)
        cut = {cut.feature for cut in planned.cuts}
        found = told_once(written.proof.findings, planned.findings, placed.parts.features, cut)
    return Outcome(
        job=job,
        machine=machine,
        process=process,
        drawings=tuple(look.drawing for look in laid.looked),
        contours=tuple(look.contours for look in laid.looked),
        parts=placed.parts,
        shift=(float(placed.shifts[0, 0]), float(placed.shifts[0, 1])),
        left_out=left,
        drilled=tuple(f for f in left if f.number in set(planned.drilled)),
        plan=written.plan if written is not None else None,
        program=written.program if written is not None else None,
        proof=written.proof if written is not None else None,
        findings=(
            *left_out(resolved.known_before(f for look in laid.looked for f in look.findings), job.leave_out),
            *laid.lost_pins,
            *lost_turns,
            *lost_tabs,
            *left_out(planned.findings, job.leave_out),
            *unpaused,
            *found,
        ),
        copies=copies,
        pinned=tuple(laid.pins.items()),
    )


def _laid_down(resolved: ResolvedJob, sources: Mapping[str, bytes], memo: Memo, watch: Watch) -> _Laid:
    job, machine, process = resolved.job, resolved.machine, resolved.process
    looked = [seen(memo, k, use, job, sources, resolved.reading, watch) for k, use in enumerate(job.drawings)]
    made = tuple(look.parts for look in looked)
    led = replace(job, pins=(), sequence=())
    placed = memo.result("place", made, (led, machine, process), lambda: _place(resolved, looked))
    near = memo.result("near", made, (), lambda: tuple(map(Near, made)))
    pins, lost_pins = match_pins(job, placed, near)
    return _Laid(looked, placed, near, pins, lost_pins)


def _place(resolved: ResolvedJob, looked: Sequence[Inspection]) -> Placed:
    """Return the parts on the plate; where they don't fit, a doubt about the unit of a drawing is told with it."""
    try:
        return place(resolved.job, [look.parts for look in looked], resolved.machine, resolved.process)
    except KerfproofError as error:
        doubts = [unended(f.problem) for look in looked for f in look.findings if f.rule == "units-doubtful"]
        if not doubts:
            raise
        what = say("{what}. {doubt}", what=error.problem, doubt=doubts[0])
        raise UnitDoubtful(what, advice=say("give the right unit with {units}", units=option("units"))) from error


def _pauses(resolved: ResolvedJob, planned: Planned, placed: Placed) -> tuple[tuple[Pause, ...], Sequence[Finding]]:
    """Return the pauses between the cuts; a dry run, a frame and a tour have none."""
    if resolved.job.mode is not Mode.CUT:
        return (), ()
    owner = {feature.number: feature.part for feature in placed.parts.features}
    owners = [owner[cut.feature] for cut in planned.cuts]
    used = round(resolved.shop.tip_used * resolved.process.starts_per_tip)
    return planned_pauses(planned.cuts, owners, resolved.machine, resolved.process, used)


def _cut_plan(
    resolved: ResolvedJob,
    laid: _Laid,
    planned: Planned,
    left: Sequence[Feature],
    pauses: tuple[Pause, ...],
    sources: Mapping[str, bytes],
) -> CutPlan:
    job = resolved.job
    drawings = [look.drawing for look in laid.looked]
    return CutPlan(
        name=part_name(job.drawings[0].name),
        cuts=planned.cuts,
        plate=laid.placed.plate,
        machine=resolved.machine,
        process=resolved.process,
        mode=job.mode,
        drill=tuple((f.label, _middle(f)) for f in left if f.number in set(planned.drilled)),
        heading=(
            *heading_of(resolved, drawings, laid.placed, left, sources),
            *(("tab", tab_words(tab)) for tab in planned.tabs),
        ),
        tabs=planned.tabs,
        pauses=pauses,
    )


def _middle(feature: Feature) -> tuple[float, float]:
    x0, y0, x1, y1 = feature.contour.path.bounds()
    return (x0 + x1) / 2, (y0 + y1) / 2
