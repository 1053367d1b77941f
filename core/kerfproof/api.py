"""The verbs: read a drawing, plan its cut, prove a program, tell what came out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.settings import ReadSettings
from kerfproof.errors import Watch, no_watch
from kerfproof.gcode.machine_control import control_of as control_of
from kerfproof.gcode.machine_control import dialects as dialects
from kerfproof.gcode.machine_line_check import read_machine as read_machine
from kerfproof.gcode.reader.lexer import lines_of
from kerfproof.gcode.trace import Step, Trace
from kerfproof.gcode.writer.program import Block, Program
from kerfproof.job.inspect_drawing import (
    Inspection,
    inspect,
    joining,
    nothing_to_cut,
    part_name,
)
from kerfproof.job.job import Job
from kerfproof.job.placing import (
    CopyAt,
    in_drawing,
)
from kerfproof.job.process import process_of
from kerfproof.job.reading import read, reading, unit_question
from kerfproof.job.resolved_job import resolve
from kerfproof.job.write_header import digest
from kerfproof.memo import Memo
from kerfproof.outcome import Outcome
from kerfproof.parts.model.part import drawn_contours
from kerfproof.plan.build import prepare
from kerfproof.plan.lead_bench import LeadBench, LeadTry, Snap
from kerfproof.plan.leads.lead import lead_shapes as _shapes
from kerfproof.plan.order.order import broken_pairs
from kerfproof.planning.plan_job import plan_job
from kerfproof.programs.prove_program import as_earlier, prove_program
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import BY_RULES, verdict_of
from kerfproof.proof.prove import prove
from kerfproof.report.data.timeline import Moment, Timeline, timeline
from kerfproof.shop.profile import Machine
from kerfproof.shop.shop import Shop

__all__ = [
    "BY_RULES",
    "Against",
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
    "as_earlier",
    "digest",
    "drawn_contours",
    "in_drawing",
    "inspect",
    "joining",
    "lead_bench",
    "lead_shapes",
    "lines_of",
    "nothing_to_cut",
    "order_refusal",
    "part_name",
    "plan",
    "process_of",
    "prove",
    "prove_program",
    "read",
    "reading",
    "resolve",
    "timeline_of",
    "unit_question",
    "verdict_of",
]


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
        return plan_job(resolve(job, shop, settings), sources, self._memo, watch)


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
