"""From the options of ``prove`` to the proof of a program."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.errors import Finding, KerfproofError, Severity, Watch, refusals
from kerfproof.job.job import Job
from kerfproof.programs.drawing_lookup import DrawingAtHand
from kerfproof.programs.prove_program import Advice, ProgramAtHand
from kerfproof.programs.proven_program import ProvenProgram
from kerfproof.programs.read_header import Claims, read_claims
from kerfproof.shop.profile import Machine
from kerfproof_app.cli.common.job_from_options import (
    current_of,
    drawing_choices,
    length_of,
    place_of,
    plate_of,
    reading_of,
    unit_scale,
)
from kerfproof_app.cli.common.shop_from_options import find_shop, split_changes
from kerfproof_app.shop import store
from kerfproof_app.work.program_files import drawings_in, known_machine, read_program

ADVICE = Advice(drawing="name it with --drawing", machine="name the machine it is for with --machine")
MACHINE_KEY = "machine."
JOB_KEYS = ("material", "thickness", "amps", "kerf", "units", "layers", "window", "join", "page")
"""Keys of a job that ``--set`` may name, as the options of the same name do."""


def prove_file(options: Mapping[str, Any], watch: Watch) -> ProvenProgram:
    """Return the proof of the program that the options of ``prove`` name, as if it stood alone.

    Raises
    ------
    KerfproofError
        If a file can't be read, or an option can't be understood.
    """
    program = program_of(options)
    with refusals(program.shop.machine.inches):
        return api.prove_program(program, watch=watch)


def program_of(options: Mapping[str, Any]) -> ProgramAtHand:
    """Return the program that the options of ``prove`` name, with its shop and its drawings.

    Raises
    ------
    KerfproofError
        If a file can't be read, or an option can't be understood.
    """
    path = Path(options["program"])
    text = read_program(path)
    claims = read_claims(text)
    options, changes = _set(options)
    rest: Claims = options.get("rest") or Claims()
    named = options.get("machine") or known_machine(claims) or known_machine(rest)
    shop = find_shop(named, options.get("chart"), changes)
    plate = {**options, "material": options.get("material") or claims.material or rest.material}
    known = claims.thickness or rest.thickness
    if options.get("thickness") is None and known is not None:
        plate["thickness"] = f"{known} mm"
    material, thickness, assumed = plate_of(plate)
    amps = current_of(options["amps"]) if options.get("amps") else _unsaid(claims.amps, rest.amps)
    kerf = length_of("kerf", options["kerf"]) if options.get("kerf") else _unsaid(claims.kerf, rest.kerf)
    scale = unit_scale(options["units"]) if options.get("units") else None
    files = [Path(name) for name in options.get("drawing") or ()]
    drawings = [DrawingAtHand(name=file.name, data=store.read_bytes(file), mm_per_unit=scale) for file in files]
    at = _zero(options, claims)
    reading = reading_of({**options, "units": None})
    return ProgramAtHand(
        text=text,
        name=str(path),
        shop=shop,
        material=material,
        thickness=thickness,
        amps=amps,
        kerf=kerf,
        drawings=tuple(drawings),
        find_drawing=drawings_in(path.parent),
        mm_per_unit=scale,
        choices=Job(
            drawings=(), machine="", chart="", material="", thickness=1.0, layers=reading.layers,
            window=reading.window, leave_out=bool(options.get("leave_out")), **drawing_choices(options),
        ),
        at=at,
        assumed=assumed,
        notes=() if named else (_machine_assumed(claims, shop.machine),),
        advice=ADVICE,
    )  # fmt: skip


def _set(options: Mapping[str, Any]) -> tuple[Mapping[str, Any], list[tuple[str, Any]]]:
    """Return the options with what ``--set`` says of the job, and the keys of the machine that it changes."""
    on_job: dict[str, Any] = {}
    on_machine = []
    for key, value in split_changes(options.get("sets") or []):
        plain = key.removeprefix("job.").replace("-", "_")
        if plain in JOB_KEYS:
            on_job[plain] = str(value)
        else:
            on_machine.append((key.removeprefix(MACHINE_KEY), value))
    return {**options, **on_job}, on_machine


def _zero(options: Mapping[str, Any], claims: Claims) -> tuple[float, float] | None:
    """Return where ``--at`` says that the drawing's zero lies, None without it.

    Raises
    ------
    KerfproofError
        If it can't be believed: the heading says so already, or no drawing was given.
    """
    if not options.get("at"):
        return None
    if claims.resumed:
        return None  # that is of its first program
    if claims.drawings:
        what = "the heading of this program says where its drawings lie"
        raise KerfproofError(what, where="--at", advice="leave it out")
    if not options.get("drawing"):
        raise KerfproofError("there is no drawing to lay there", where="--at", advice="name it with --drawing")
    return place_of(options["at"])


def _unsaid(own: float | None, rest: float | None) -> float | None:
    """Return what the program that goes on with this one says where it says nothing itself."""
    return rest if own is None else None


def _machine_assumed(claims: Claims, machine: Machine) -> Finding:
    """Return a note on which machine a program was judged that names none of those that are known."""
    why = "does not say its machine" if claims.machine is None else f"was written for machine {claims.machine}"
    unknown = "" if claims.machine is None else ", which is not known here"
    kind = machine.title or f"programs in {'inches' if machine.inches else 'mm'}"
    what = f"the program {why}{unknown}: it was judged on {machine.name} ({kind})"
    advice = "name another one with --machine; kerfproof machines list tells which there are"
    return Finding("machine-assumed", Severity.NOTE, what, advice)
