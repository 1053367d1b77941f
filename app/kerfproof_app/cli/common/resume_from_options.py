"""From the words of ``resume`` and ``prove`` to the first program, what it was for, and where to go on."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.errors import KerfproofError, Watch, refusals
from kerfproof.job.job import SUFFIX, Rests
from kerfproof.programs.earlier_program import (
    ASSUMED,
    EarlierMissing,
    EarlierProgram,
    earlier_of_outcome,
    link_of,
)
from kerfproof.programs.prove_program import FindEarlier
from kerfproof.programs.proven_program import ProvenProgram
from kerfproof.programs.read_header import read_claims
from kerfproof.resume.earlier_programs import GoesOn
from kerfproof.resume.resume_point import Wish
from kerfproof.units import LENGTH, parse_length, unit_of
from kerfproof_app.cli.common.job_from_options import choice, given
from kerfproof_app.cli.common.proof_from_options import program_of
from kerfproof_app.cli.common.shop_from_options import find_shop
from kerfproof_app.work.documents import JobDocument
from kerfproof_app.work.opening import Opening
from kerfproof_app.work.program_files import read_program

MISSING = EarlierMissing("name it with --first, as it was when this one was written")


def earlier_of(options: Mapping[str, Any], watch: Watch) -> EarlierProgram:
    """Return the first program of the options, written anew from a job or read from its file.

    Raises
    ------
    KerfproofError
        If it can't be read or planned, or goes on with another that is not at hand.
    """
    path = Path(options["program"])
    if options.get("first") and (_is_job(path) or link_of(read_program(path)) is None):
        raise _no_link(options)
    made = _of_job(path, options, watch) if _is_job(path) else _of_program(path, options, watch)
    if not options.get("rests"):
        return made
    return replace(made, setup=replace(made.setup, rests=choice("rests", options["rests"], Rests)))


def _of_job(path: Path, options: Mapping[str, Any], watch: Watch) -> EarlierProgram:
    document = Opening((path,)).run(watch)
    assert isinstance(document, JobDocument)
    job = document.job
    shop = find_shop(options.get("machine") or job.machine, options.get("chart") or job.chart, [])
    return earlier_of_outcome(api.plan(job, document.sources, shop, None, watch), path.name)


def _of_program(path: Path, options: Mapping[str, Any], watch: Watch) -> EarlierProgram:
    program = program_of({**options, "at": None if link_of(read_program(path)) else options.get("zero")})
    said = tuple(key for key in ASSUMED if options.get(key))
    with refusals(program.shop.machine.inches):
        return api.as_earlier(program, _finder(path, options, watch), path.name, said, watch)


def prove_whole(options: Mapping[str, Any], watch: Watch) -> ProvenProgram:
    """Return the proof of the program that the options of ``prove`` name, after all that it goes on with.

    Raises
    ------
    KerfproofError
        If the program that was named as its first is another.
    """
    program = program_of(options)
    said = {**options, "zero": options.get("at"), "rest": read_claims(program.text)}
    with refusals(program.shop.machine.inches):
        proven = api.prove_program(program, _finder(Path(options["program"]), said, watch), watch)
    if options.get("first") and link_of(program.text) is None:
        raise KerfproofError("this program does not go on with another", where="--first", advice="leave it out")
    return proven


def _finder(path: Path, options: Mapping[str, Any], watch: Watch) -> FindEarlier:
    """Return what looks for the first program of one at `path`: what ``--first`` names, else what lies beside it.

    One that goes on with still another asks for that in turn, which may be named, too. What it does not say of machine
    and plate is what the program says that goes on with it. It raises KerfproofError if none of those that were named
    is the one, and none lies beside it.
    """

    def find(goes_on: GoesOn) -> EarlierProgram | EarlierMissing:
        named = list(options.get("first") or ())
        folders = dict.fromkeys([path.parent, *options.get("folders", ())])
        beside = [folder / Path(goes_on.name).name for folder in folders]
        for file in [*map(Path, named), *beside]:
            if str(file) not in named and not _may_be(file, goes_on):
                continue
            if str(file) in named and not _is_job(file) and _digest(file) != goes_on.digest:
                continue
            said = {**options, "program": str(file), "rests": None, "folders": tuple(folders)}
            said["first"] = [other for other in named if other != str(file)]
            said["asked"] = options.get("asked", path.name)
            said["drawing"] = [*(options.get("drawing") or ()), *_drawings(file, options, folders)]
            first = earlier_of(said, watch)
            if first.setup.digest == goes_on.digest:
                return first
        if named:
            raise _no_link({"asked": path.name, **options}, goes_on)
        return MISSING

    return find


def _no_link(options: Mapping[str, Any], goes_on: GoesOn | None = None) -> KerfproofError:
    """Return the refusal of what was named with ``--first`` and is no link of the chain."""
    asked = options.get("asked") or Path(options["program"]).name
    advice = "leave it out" if goes_on is None else f"name {goes_on.name} as it was when {asked} was written"
    named = options["first"][0]
    if goes_on is not None and Path(named).name == Path(goes_on.name).name:
        return KerfproofError(f"it was changed since {asked} was written", where=named, advice=advice)
    return KerfproofError(f"{asked} does not go on with this program", where=named, advice=advice)


def _drawings(program: Path, options: Mapping[str, Any], folders: Iterable[Path]) -> list[str]:
    """Return the drawings of a program that do not lie beside it, but beside one that goes on with it."""
    if options.get("drawing") or _is_job(program):
        return []
    claims = read_claims(read_program(program))
    names = dict.fromkeys(Path(claim.name).name for claim in claims.drawings)
    missing = [name for name in names if not (program.parent / name).is_file()]
    found = (next((f / name for f in folders if (f / name).is_file()), None) for name in missing)
    return [str(file) for file in found if file is not None]


def _is_job(path: Path) -> bool:
    return path.name.lower().endswith(SUFFIX)


def _digest(path: Path) -> str:
    return api.digest(read_program(path).encode("utf-8"))


def _may_be(beside: Path, goes_on: GoesOn) -> bool:
    """Return whether a file that nobody named may be the first program: a job, or a program with these very bytes."""
    if not beside.is_file():
        return False
    if _is_job(beside):
        return True
    try:
        return _digest(beside) == goes_on.digest
    except KerfproofError:
        return False


def wish_of(options: Mapping[str, Any]) -> Wish:
    """Return where to go on.

    Raises
    ------
    KerfproofError
        If nothing was named, or a value can't be understood.
    """
    unlit = _numbers(options["unlit"]) if options.get("unlit") else ()
    at = given(options, "at", parse_length)
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
