"""Test pieces as programs: known by making them again, and by what they do otherwise."""

from __future__ import annotations

from dataclasses import replace

from kerfproof.coupon.likeness import not_made, unlike, unlike_elsewhere
from kerfproof.coupon.make_program import made_again
from kerfproof.coupon.piece import CouponKind, CouponRequest, kind_of
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.job.job import Job
from kerfproof.job.process import process_of
from kerfproof.proof.proof import Proof
from kerfproof.shop.chart import Process
from kerfproof.shop.shop import Shop

FEED_ROUNDED, KERF_ROUNDED = 1e-4, 6e-4
"""How far the heading of a test piece may round its feed (mm/min) and its kerf (mm)."""


def as_test_piece(
    text: str, shop: Shop, process: Process, proof: Proof, compared: bool
) -> tuple[CouponKind | None, tuple[Finding, ...]]:
    """Return the kind of test piece that a program is, if it does what that one does, and what it does otherwise."""
    job = Job(
        drawings=(), machine=shop.machine.name, chart=shop.chart.name, material=process.material,
        thickness=process.thickness, amps=process.amps,
    )  # fmt: skip
    try:
        row = process_of(job, shop.chart, shop.machine)
    except KerfproofError:
        row = process
    # A heading says both rounded: what it may mean by that is the chart's own value.
    feed = row.feed_mm_min if abs(row.feed_mm_min - process.feed_mm_min) <= FEED_ROUNDED else process.feed_mm_min
    kerf = row.kerf if abs(row.kerf - process.kerf) <= KERF_ROUNDED else process.kerf
    made_for = replace(process, feed_mm_min=feed, kerf=kerf)
    try:
        piece = made_again(
            text, CouponRequest(machine=shop.machine, process=made_for, control=control_of(shop.machine))
        )
    except KerfproofError as error:
        found: tuple[Finding, ...] = (not_made(str(error)),)
    else:
        if piece is None or proof.trace.stopped is not None:
            return None, ()
        found = unlike(proof, piece.proof, piece.kind)
        if not found and not piece.proof.runs:
            control = control_of(shop.machine)
            found = unlike_elsewhere(text, piece.program.text, shop.machine, control, piece.kind)
        if not found:
            return kind_of(piece.kind), ()
    # Where a drawing says what is to be cut, that is what counts.
    return None, tuple(replace(f, severity=Severity.WARNING) for f in found) if compared else found
