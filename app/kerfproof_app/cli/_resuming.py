"""From the words of ``resume`` to the first program, what it was for, and where to go on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.errors import Finding, KerfproofError, Severity, Watch
from kerfproof.job import Mode
from kerfproof.jobfile import SUFFIX
from kerfproof.machine.control import control_of
from kerfproof.report.claims import read_claims
from kerfproof.resume.going_on import Setup
from kerfproof.resume.wish import Wish
from kerfproof.units import LENGTH, parse_length, unit_of
from kerfproof_app.cli._proving import prove_file
from kerfproof_app.cli._shop import find_shop
from kerfproof_app.opening import Opening


@dataclass(frozen=True, slots=True)
class First:
    """The first program: its text and trace, what it was for, and what is to be said of it."""

    text: str
    trace: Any
    setup: Setup
    findings: tuple[Finding, ...] = ()


def first_of(options: Mapping[str, Any], watch: Watch) -> First:
    """Return the first program of the options, written anew from a job or read from its file.

    Raises
    ------
    KerfproofError
        If it can't be read or planned.
    """
    path = Path(options["program"])
    return _of_job(path, options, watch) if path.name.lower().endswith(SUFFIX) else _of_program(path, options, watch)


def _of_job(path: Path, options: Mapping[str, Any], watch: Watch) -> First:
    version = Opening((path,)).run(watch)
    job = version.job
    shop = find_shop(options.get("machine") or job.machine, options.get("chart") or job.chart, [])
    outcome = api.plan(job, version.sources, shop, None, watch)
    if outcome.program is None or outcome.plan is None or outcome.proof is None:
        raise KerfproofError("the job has no program to go on with", where=str(path), advice="see kerfproof cut")
    if job.mode is not Mode.CUT:
        raise KerfproofError(f"the job is a {job.mode.value}, it cuts nothing", where=str(path))
    drawn, slits = api.drawn_contours(outcome.parts, outcome.left_out)
    setup = Setup(
        machine=outcome.machine,
        process=outcome.process,
        control=control_of(outcome.machine),
        drawn=drawn,
        slits=slits,
        plate=outcome.plan.plate,
        name=path.name,
        digest=api.digest(outcome.program.text.encode("ascii")),
        choices=job.rules,
        tabs=outcome.plan.tabs,
    )
    return First(outcome.program.text, outcome.proof.trace, setup)


def _of_program(path: Path, options: Mapping[str, Any], watch: Watch) -> First:
    proved = prove_file({**options, "at": None}, watch)
    places = proved.proof.places
    drawn = tuple(c for place in places for c in place.moved(proved.drawn)) if places else proved.drawn
    slits = tuple(c for place in places for c in place.moved(proved.slits)) if places else proved.slits
    setup = Setup(
        machine=proved.machine,
        process=proved.process,
        control=control_of(proved.machine),
        drawn=drawn or None,
        slits=slits,
        plate=proved.plate,
        name=path.name,
        digest=api.digest(proved.text.encode("utf-8")),
        choices=read_claims(proved.text).rules,
        tabs=read_claims(proved.text).tabs,
    )
    missing = [f for f in proved.findings if f.rule in ("drawing-missing", "drawing-changed", "other-machine")]
    errors = [f for f in proved.findings if f.severity is Severity.ERROR]
    if errors:
        what = f"the first program is not proven itself: {errors[0].message}"
        missing.append(Finding("first-not-proven", Severity.WARNING, what, "kerfproof prove tells all of it"))
    return First(proved.text, proved.proof.trace, setup, tuple(missing))


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
    return Wish(from_cut=options.get("from_cut"), at=at, near=near, unlit=unlit)


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
    return parse_length(parts[0], unit), parse_length(parts[1])
