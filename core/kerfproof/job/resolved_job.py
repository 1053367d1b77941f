"""A job with all that it names found in the shop: looked up once, the same for every stage."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kerfproof.drawing.settings import ReadSettings
from kerfproof.errors import Finding
from kerfproof.job.job import Job
from kerfproof.job.process import as_set, check_values, far_from_chart, process_notes
from kerfproof.job.reading import reading
from kerfproof.shop.chart import Process
from kerfproof.shop.machine_findings import machine_findings
from kerfproof.shop.profile import Machine
from kerfproof.shop.select_process import select_process
from kerfproof.shop.shop import Shop


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ResolvedJob:
    """A job, the shop it is for, and what both come to.

    `row` is the chart's as it stands there, `process` that row with what the person set otherwise, `reading` how the
    drawings are read.
    """

    job: Job
    shop: Shop
    row: Process
    process: Process
    reading: ReadSettings

    @property
    def machine(self) -> Machine:
        """The machine of the shop."""
        return self.shop.machine

    def check(self) -> None:
        """Raise KerfproofError if a value of the person is one that no table can cut with."""
        check_values(self.job, self.row, self.process, self.machine)

    def known_before(self, drawn: Iterable[Finding]) -> tuple[Finding, ...]:
        """Return what is to be said of machine, process and drawings before any line of a program is looked at.

        The same for a program that is planned and for one that is there already. `drawn` was found in the drawings.
        """
        process = self.process
        return (
            *machine_findings(self.machine), *process_notes(process), *far_from_chart(process, self.row), *drawn
        )  # fmt: skip


def resolve(job: Job, shop: Shop, settings: ReadSettings | None = None) -> ResolvedJob:
    """Return a job with its row of the chart; what `settings` say of reading its drawings wins over the job.

    Raises
    ------
    KerfproofError
        If the chart has no row for its plate.
    """
    row = select_process(shop.chart, job.material, job.thickness, job.amps, shop.machine)
    return ResolvedJob(job=job, shop=shop, row=row, process=as_set(job, row), reading=reading(job, settings=settings))
