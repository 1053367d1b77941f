"""The program of a plan and its proof, and the one way back: rests are put in where the proof shows the need."""

from __future__ import annotations

from dataclasses import dataclass

from kerfproof.cut_plan import CutPlan
from kerfproof.errors import Watch
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.writer.program import Program
from kerfproof.gcode.writer.rests import rested
from kerfproof.gcode.writer.writer import write
from kerfproof.job.job import Job
from kerfproof.memo import Memo
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.memory import ProofMemory
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove


@dataclass(frozen=True, slots=True, eq=False)
class Written:
    """A plan as it was written, its program and the proof of that."""

    plan: CutPlan
    program: Program
    proof: Proof


def write_and_prove(
    plan: CutPlan, drawn: tuple[Contour, ...], slits: tuple[Contour, ...], job: Job, memo: Memo, watch: Watch
) -> Written:
    """Return the program of a plan and its proof against closed contours and slits, with the rests that it needs."""
    control = control_of(plan.machine)
    # The memory goes with the memo, but only the proof puts anything into it.
    memory = memo.result("proof memory", (), (), ProofMemory) if memo.holds else None

    def proven(plan: CutPlan) -> Written:
        watch("writing", 0.0)
        program = write(plan, control, watch, memo)
        against = Against(
            control=control,
            machine=plan.machine,
            process=plan.process,
            drawn=drawn,
            slits=slits,
            plate=plan.plate,
            mode=job.mode.value,
            choices=job.rules,
            leave_out=job.leave_out,
            tabs=plan.tabs,
        )
        return Written(plan, program, prove(program.text, against, memory=memory, watch=watch))

    return rested(plan, control, job.rests, proven, lambda written: written.proof.trace)
