"""The process that a program is proven for: the plate its heading names, and what is said otherwise."""

from __future__ import annotations

from dataclasses import replace

from kerfproof.errors import KerfproofError
from kerfproof.job.job import Job
from kerfproof.job.process import process_of
from kerfproof.programs.contradictions import same_plate
from kerfproof.programs.read_header import Claims
from kerfproof.shop.shop import Shop


def job_of(
    claims: Claims,
    shop: Shop,
    material: str,
    thickness: float,
    *,
    amps: float | None = None,
    kerf: float | None = None,
) -> Job:
    """Return the process that a program is proven for as a job; `amps` and `kerf` overrule its heading.

    Another plate or current than the heading's takes neither kerf nor feed from it.
    """
    job = Job(
        drawings=(),
        machine=shop.machine.name,
        chart=shop.chart.name,
        material=material,
        thickness=thickness,
        amps=claims.amps if amps is None else amps,
        kerf=kerf,
    )
    if job.amps is not None and amps is None:
        try:  # a row estimated between two currents stands in the chart under neither
            process_of(job, shop.chart, shop.machine)
        except KerfproofError:
            job = replace(job, amps=None)
    if not _same_plate(claims, job, shop, amps):
        return job  # what the heading says of kerf and feed is of another plate
    return replace(
        job,
        kerf=claims.kerf if kerf is None else kerf,
        feed_mm_min=claims.feed_mm_min,
        pierce_delay_s=claims.pierce_delay_s,
    )


def _same_plate(claims: Claims, job: Job, shop: Shop, amps: float | None) -> bool:
    """Return whether a job is for the plate and the current (if one is said) that a heading names."""
    if amps is not None and claims.amps is not None and abs(amps - claims.amps) > 0.05:
        return False
    try:
        return same_plate(claims, process_of(job, shop.chart, shop.machine))
    except KerfproofError:
        return True  # told when the proof looks for the row
