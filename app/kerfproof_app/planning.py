"""The work that a job causes: planned and proven, or for a program opened by itself the proof of its text."""

from __future__ import annotations

from dataclasses import dataclass

from kerfproof import api
from kerfproof.api import Block, Program
from kerfproof.errors import KerfproofError, Watch
from kerfproof.job import Job
from kerfproof.machine.control import control_of
from kerfproof.outcome import Outcome
from kerfproof.parts.part import Parts
from kerfproof.report.claims import Claims, read_claims
from kerfproof_app import store
from kerfproof_app.opening import Version
from kerfproof_app.shopping import shop_for


@dataclass(frozen=True, slots=True, eq=False)
class Planning:
    """A state of the work to be planned; `number` counts the edits."""

    number: int
    version: Version

    def run(self, watch: Watch) -> Outcome:
        """Return what the work becomes.

        Raises
        ------
        KerfproofError
            If it can't be planned, or the watch stops it.
        """
        if self.version.program is not None:
            return judged(self.version, watch)
        job = self.version.job
        return api.plan(job, self.version.sources, shop_for(job.machine, job.chart), watch=watch)


def judged(version: Version, watch: Watch) -> Outcome:
    """Return the proof of a program by its text alone, as an outcome without drawings and plan."""
    text = version.program or ""
    claims = read_claims(text)
    job = _claimed(version.job, claims)
    shop = shop_for(job.machine, job.chart)
    process = api.process_of(job, shop.chart, shop.machine)
    proof = api.prove(
        text,
        control_of(shop.machine),
        shop.machine,
        process,
        None,
        plate=claims.plate,
        mode=claims.mode if claims.mode in ("cut", "dry", "frame") else "cut",
        tabs=claims.tabs,
        watch=watch,
    )
    if not proof.runs and claims.mode == "cut":
        raise KerfproofError(
            f"no torch is lit in it by {shop.machine.torch_on}",
            where=version.program_name,
            advice="choose the machine it is for",
        )
    blocks = tuple(Block(run.number, run.light_line, run.light_line, run.off_line) for run in proof.runs)
    return Outcome(
        job=job,
        machine=shop.machine,
        process=process,
        drawings=(),
        contours=(),
        parts=Parts(()),
        program=Program(text, blocks),
        proof=proof,
        findings=proof.findings,
    )


def _claimed(job: Job, claims: Claims) -> Job:
    known = {file.name for file in store.shop_files("machines")}
    return Job(
        drawings=(),
        machine=claims.machine if claims.machine in known else job.machine,
        chart=job.chart,
        material=claims.material or job.material,
        thickness=claims.thickness or job.thickness,
        amps=claims.amps or job.amps,
        kerf=claims.kerf or job.kerf,
    )
