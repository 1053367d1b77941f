"""From the options of ``prove`` to the proof of a program."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.errors import Watch
from kerfproof.job import Job
from kerfproof.report.claims import read_claims
from kerfproof.wording import refusals
from kerfproof_app import store
from kerfproof_app.cli._job import (
    current_of,
    drawing_choices,
    length_of,
    place_of,
    plate_of,
    reading_of,
    unit_scale,
)
from kerfproof_app.cli._shop import find_shop, split_changes
from kerfproof_app.drawn import drawn_for, with_choices
from kerfproof_app.given import Given
from kerfproof_app.proving import Proved, job_of, known_machine, prove_text, read_program

MACHINE_KEY = "machine."


def prove_file(options: Mapping[str, Any], watch: Watch) -> Proved:
    """Return the proof of the program that the options of ``prove`` name.

    Raises
    ------
    KerfproofError
        If a file can't be read, or an option can't be understood.
    """
    path = Path(options["program"])
    text = read_program(path)
    claims = read_claims(text)
    changes = split_changes(options.get("set") or [])
    shop = find_shop(
        options.get("machine") or known_machine(claims),
        options.get("chart"),
        [(key.removeprefix(MACHINE_KEY), value) for key, value in changes],
    )
    plate = {**options, "material": options.get("material") or claims.material}
    if options.get("thickness") is None and claims.thickness is not None:
        plate["thickness"] = f"{claims.thickness} mm"
    material, thickness, assumed = plate_of(plate)
    job = job_of(
        claims,
        shop,
        material,
        thickness,
        amps=current_of(options["amps"]) if options.get("amps") else None,
        kerf=length_of("kerf", options["kerf"]) if options.get("kerf") else None,
    )
    scale = unit_scale(options["units"]) if options.get("units") else None
    if scale is not None:
        claims = replace(claims, drawings=tuple(replace(claim, mm_per_unit=scale) for claim in claims.drawings))
    files = [Path(name) for name in options.get("drawing") or ()]
    given = [Given(name=file.name, data=store.read_bytes(file), mm_per_unit=scale) for file in files]
    at = place_of(options["at"]) if options.get("at") else None
    reading = reading_of({**options, "units": None})
    said = Job(
        drawings=(), machine="", chart="", material="", thickness=1.0, layers=reading.layers, window=reading.window,
        **drawing_choices(options),
    )  # fmt: skip
    with refusals(shop.machine.inches):
        process = api.process_of(job, shop.chart, shop.machine)
        drawn = drawn_for(with_choices(claims, said), given, path.parent, at, process=process)
        return prove_text(text, str(path), claims, shop, job, drawn, watch, assumed=assumed)


__all__ = ["Proved", "prove_file"]
