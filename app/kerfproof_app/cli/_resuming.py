"""From the words of ``resume`` and ``prove`` to the first program, what it was for, and where to go on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.errors import KerfproofError, Watch
from kerfproof.job import SUFFIX, Rests
from kerfproof.report.claims import read_claims
from kerfproof.resume.history import GoesOn, read_goes_on
from kerfproof.resume.wish import Wish
from kerfproof.units import LENGTH, parse_length, unit_of
from kerfproof_app import store
from kerfproof_app.cli._job import choice
from kerfproof_app.cli._proving import Proved, prove_file
from kerfproof_app.cli._shop import find_shop
from kerfproof_app.continuing import First, chained, first_of_outcome, first_of_proved, proved_after
from kerfproof_app.opening import Opening


def first_of(options: Mapping[str, Any], watch: Watch) -> First:
    """Return the first program of the options, written anew from a job or read from its file.

    Raises
    ------
    KerfproofError
        If it can't be read or planned.
    """
    path = Path(options["program"])
    made = _of_job(path, options, watch) if path.name.lower().endswith(SUFFIX) else _of_program(path, options, watch)
    if not options.get("rests"):
        return made
    return replace(made, setup=replace(made.setup, rests=choice("rests", options["rests"], Rests)))


def _of_job(path: Path, options: Mapping[str, Any], watch: Watch) -> First:
    version = Opening((path,)).run(watch)
    job = version.job
    shop = find_shop(options.get("machine") or job.machine, options.get("chart") or job.chart, [])
    return first_of_outcome(api.plan(job, version.sources, shop, None, watch), path.name)


def _of_program(path: Path, options: Mapping[str, Any], watch: Watch) -> First:
    proved = prove_file({**options, "at": None}, watch)
    made = first_of_proved(proved, path.name)
    goes_on = read_goes_on(read_claims(proved.text).resumed)
    return made if goes_on is None else chained(made, _before(goes_on, path, options, watch), goes_on)


def proved_together(proved: Proved, options: Mapping[str, Any], watch: Watch) -> Proved:
    """Return the proof of a resumed program with what was cut before it, of any other as it is.

    Raises
    ------
    KerfproofError
        If the program that was named as its first is another.
    """
    goes_on = read_goes_on(read_claims(proved.text).resumed)
    if goes_on is not None:
        return proved_after(proved, _before(goes_on, Path(options["program"]), options, watch), goes_on, watch)
    if options.get("first"):
        raise KerfproofError("this program does not go on with another", where="--first", advice="leave it out")
    return proved


def _before(goes_on: GoesOn, path: Path, options: Mapping[str, Any], watch: Watch) -> First | None:
    """Return the first program of a resumed one, which ``--first`` names or which lies beside it; None if neither.

    Raises
    ------
    KerfproofError
        If the one that was named is another.
    """
    beside = path.parent / Path(goes_on.name).name
    named = options.get("first")
    if not named and not _may_be(beside, goes_on):
        return None
    first = first_of({**options, "program": named or str(beside), "first": None, "rests": None}, watch)
    if first.setup.digest == goes_on.digest:
        return first
    if not named:
        return None
    advice = f"name {goes_on.name} as it was when this one was written"
    raise KerfproofError(f"{path.name} does not go on with this program", where=str(named), advice=advice)


def _may_be(beside: Path, goes_on: GoesOn) -> bool:
    """Return whether a file that nobody named may be the first program: a job, or a program with these very bytes."""
    if not beside.is_file():
        return False
    if beside.name.lower().endswith(SUFFIX):
        return True
    try:
        text = store.read_text(beside).replace("\r\n", "\n")
    except KerfproofError:
        return False
    return api.digest(text.encode("utf-8")) == goes_on.digest


def wish_of(options: Mapping[str, Any]) -> Wish:
    """Return where to go on.

    Raises
    ------
    KerfproofError
        If nothing was named, or a value can't be understood.
    """
    unlit = _numbers(options["unlit"]) if options.get("unlit") else ()
    at = parse_length(options["at"]) if options.get("at") else None
    near = _place(options["near"]) if options.get("near") else None
    if options.get("from_cut") is None and near is None and not unlit:
        raise KerfproofError("where to go on was not said", advice="--from-cut N, --near X,Y or --unlit N")
    return Wish(from_cut=options.get("from_cut"), at=at, near=near, unlit=unlit, new_tip=bool(options.get("new_tip")))


def _numbers(text: str) -> tuple[int, ...]:
    parts = [part.strip() for part in text.split(",")]
    if not all(re.fullmatch(r"\d{1,6}", part) for part in parts):
        raise KerfproofError(f"{text!r} is no list of cuts", where="--unlit", advice="write for example 17 or 17,18")
    return tuple(sorted({int(part) for part in parts}))


def _place(text: str) -> tuple[float, float]:
    parts = text.split(",")
    if len(parts) != 2:
        raise KerfproofError(f"{text!r} is no place", where="--near", advice='write for example "120,35 mm"')
    unit = unit_of(parts[1], LENGTH) or None
    if unit is None and re.fullmatch(r"[\d.]+", parts[1].strip()):
        advice = f'write "{text} mm" or "{text} in"'
        raise KerfproofError(f"{text!r} needs a unit", where="--near", advice=advice)
    return parse_length(parts[0], unit), parse_length(parts[1])
