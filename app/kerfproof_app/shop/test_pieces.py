"""Test pieces: for what they are made, and what their readings come to. No Qt, no options."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kerfproof import api
from kerfproof.api import control_of
from kerfproof.coupon.facts import read_facts
from kerfproof.coupon.piece import CouponKind, CouponRequest, CouponResult, kind_of
from kerfproof.coupon.readings import Asked, parse_readings
from kerfproof.errors import KerfproofError
from kerfproof.job.job import Job
from kerfproof.programs.read_header import read_claims
from kerfproof.shop.select_process import select_process
from kerfproof.units import LENGTH, parse_length, unit_of
from kerfproof_app.shop import defaults, save_measurements
from kerfproof_app.shop.load_shop import DEFAULT_MACHINE, machine_named, shop_for, usual_chart


def bench_of(job: Job, shop: api.Shop, sizes: Sequence[float], count: int | None, vary: Sequence[str]) -> CouponRequest:
    """Return what a piece is made for: the shop and the chart row that a job uses.

    Raises
    ------
    KerfproofError
        If the chart has no such row.
    """
    return CouponRequest(
        machine=shop.machine,
        process=api.process_of(job, shop.chart, shop.machine),
        control=control_of(shop.machine),
        sizes=tuple(sizes),
        count=count,
        vary=tuple(vary),
    )


def sizes_of(text: str, unit: str | None = None) -> tuple[float, ...]:
    """Return sizes in mm from ``20,30,40 mm``; a unit behind the last holds for all, else `unit`.

    Raises
    ------
    KerfproofError
        If they can't be read, or are not above zero.
    """
    parts = [part for part in text.split(",") if part.strip()]
    behind = unit_of(parts[-1], LENGTH) or unit if parts else None
    values = tuple(parse_length(part, behind) for part in parts)
    if not values or min(values) <= 0:
        raise KerfproofError(f"{text!r} are no sizes", advice='write for example "20,30,40 mm"')
    return values


@dataclass(frozen=True, slots=True, eq=False)
class CutPiece:
    """A piece as its program says: its kind, and what must be known to read it."""

    kind: CouponKind
    facts: Mapping[str, Any]
    program: str

    @property
    def asks(self) -> tuple[Asked, ...]:
        """What may be read off it."""
        return self.kind.asks(self.facts)


def piece_in(program: str, where: str) -> CutPiece:
    """Return the piece that a program cuts.

    Raises
    ------
    KerfproofError
        If it is no test piece, or its heading was spoiled.
    """
    facts = read_facts(program)
    if facts is None:
        raise KerfproofError("this program is no test piece", where=where)
    kind = kind_of(facts["kind"])
    try:
        kind.asks(facts)
    except _SPOILED:
        raise _spoiled(where) from None
    return CutPiece(kind, facts, program)


def solved(piece: CutPiece, readings: str, where: str, of: str) -> CouponResult:
    """Return what the readings of a piece come to; `where` names them, `of` its program.

    Raises
    ------
    KerfproofError
        If a reading can't be understood.
    """
    try:
        return piece.kind.solve(piece.facts, parse_readings(readings, piece.asks, where))
    except _SPOILED:
        raise _spoiled(of) from None


_SPOILED = (KeyError, TypeError, AttributeError, IndexError, ZeroDivisionError)


def _spoiled(where: str) -> KerfproofError:
    return KerfproofError("its heading was changed by hand and can't be read", where=where)


def save(
    piece: CutPiece, result: CouponResult, today: str, machine: str | None = None, chart: str | None = None
) -> tuple[save_measurements.Saved, ...]:
    """Write what was found into the person's own files: those named, else those of the program and the defaults.

    Nothing is written where a reading can't be right. `today` is the date (ISO).

    Raises
    ------
    KerfproofError
        If a file is a built-in one or can't be written.
    """
    if not result.ok or not result.changes:
        return ()
    own, facts = defaults.settings(), piece.facts
    machine_name = machine or read_claims(piece.program).machine or own.machine or DEFAULT_MACHINE
    chart_name = chart or usual_chart(machine_named(machine_name))
    out: tuple[save_measurements.Saved, ...] = ()
    for_chart = [c for c in result.changes if c.file == "chart"]
    for_machine = [c for c in result.changes if c.file == "machine"]
    if for_chart:
        shop = shop_for(machine or own.machine or DEFAULT_MACHINE, chart_name)
        row = select_process(shop.chart, facts["material"], facts["thickness"], facts["amps"], shop.machine)
        out += save_measurements.save_to_chart(chart_name, row, for_chart, piece.kind.name, result.note, today)
    if for_machine:
        out += save_measurements.save_to_machine(machine_name, for_machine, piece.kind.name, result.note, today)
    return out
