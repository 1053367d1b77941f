"""From a program and what its heading says to its proof."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.errors import Finding, KerfproofError, Severity, Watch
from kerfproof.job import DrawingUse, Job
from kerfproof.machine.control import control_of
from kerfproof.parts.contour import Contour, Role
from kerfproof.parts.joining import JoinSettings
from kerfproof.parts.part import Feature, Parts
from kerfproof.placing import turn_matrix
from kerfproof.report.claims import Claims, DrawingClaim, read_claims
from kerfproof.report.picture import counted
from kerfproof.units import format_length, parse_current
from kerfproof_app import store
from kerfproof_app.cli._job import length_of, place_of, plate_of, unit_scale
from kerfproof_app.cli._shop import find_shop, split_changes

MACHINE_KEY = "machine."
SAME_PLACE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """What is told of a program."""

    verdict: str
    compared: bool
    against: str
    lines: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The contours that a program must leave, and what to say of where they came from."""

    contours: tuple[Contour, ...] | None
    slits: tuple[Contour, ...]
    names: tuple[str, ...]
    findings: tuple[Finding, ...]


def prove_file(options: Mapping[str, Any], watch: Watch) -> Proved:
    """Return the proof of the program that the options of ``prove`` name.

    Raises
    ------
    KerfproofError
        If a file can't be read, or an option can't be understood.
    """
    path = Path(options["program"])
    text = store.read_text(path).replace("\r\n", "\n")
    if not text.strip():
        raise KerfproofError("the program is empty", where=str(path))
    claims = read_claims(text)
    changes = split_changes(options.get("set") or [])
    shop = find_shop(
        options.get("machine") or _known_machine(claims),
        options.get("chart"),
        [(key.removeprefix(MACHINE_KEY), value) for key, value in changes],
    )
    job, assumed = _job(options, claims, shop)
    process = api.process_of(job, shop.chart, shop.machine)
    drawn = _drawn(options, claims, path.parent)
    proof = api.prove(
        text,
        control_of(shop.machine),
        shop.machine,
        process,
        drawn.contours,
        slits=drawn.slits,
        plate=claims.plate,
        mode=claims.mode if claims.mode in ("cut", "dry", "frame") else "cut",
        watch=watch,
    )
    if not proof.runs and claims.mode == "cut":
        advice = "name the machine it is for with --machine" if claims.machine is None else ""
        raise KerfproofError(f"no torch is lit in it by {shop.machine.torch_on}", where=str(path), advice=advice)
    findings = (*_stale(claims, shop), *drawn.findings, *proof.findings)
    compared = bool(drawn.contours)
    lines = [("machine", shop.machine.title or shop.machine.name)]
    lines.append(
        ("made for", f"{process.material} {format_length(process.thickness)}, kerf {format_length(process.kerf)}")
    )
    if assumed:
        lines.append(("assumed", assumed))
    lines += [("cuts", counted(len(proof.runs), "pierce")), ("holds for", proof.holds_for.removeprefix("for "))]
    return Proved(
        verdict=_verdict(findings, compared),
        compared=compared,
        against=" and ".join(dict.fromkeys(drawn.names)),
        lines=tuple(lines),
        findings=findings,
    )


def _verdict(findings: Sequence[Finding], compared: bool) -> str:
    severities = {finding.severity for finding in findings}
    if Severity.ERROR in severities:
        return "NOT PROVEN"
    if not compared:
        return "NO RULE BROKEN"
    return "PROVEN WITH WARNINGS" if Severity.WARNING in severities else "PROVEN"


def _known_machine(claims: Claims) -> str | None:
    names = {file.name for file in store.shop_files("machines")}
    return claims.machine if claims.machine in names else None


def _job(options: Mapping[str, Any], claims: Claims, shop: api.Shop) -> tuple[Job, str]:
    """Return the process as a job: options before heading before the usual defaults."""
    said = {**options}
    said["material"] = options.get("material") or claims.material
    if options.get("thickness") is None and claims.thickness is not None:
        said["thickness"] = f"{claims.thickness} mm"
    material, thickness, assumed = plate_of(said)
    amps = parse_current(options["amps"], "A") if options.get("amps") else claims.amps
    kerf = length_of("kerf", options["kerf"]) if options.get("kerf") else claims.kerf
    job = Job(
        drawings=(),
        machine=shop.machine.name,
        chart=shop.chart.name,
        material=material,
        thickness=thickness,
        amps=amps,
        kerf=kerf,
    )
    return job, assumed


def _stale(claims: Claims, shop: api.Shop) -> tuple[Finding, ...]:
    """Return a warning if the machine is not the one the program was made for."""
    if not claims.machine_digest or claims.machine_digest == api.digest(repr(shop.machine).encode()):
        return ()
    message = (
        f"the program was made for machine {claims.machine} as it was then, not for {shop.machine.name} as it is now"
    )
    return (Finding("other-machine", Severity.WARNING, message, "write it again with kerfproof cut"),)


def _drawn(options: Mapping[str, Any], claims: Claims, folder: Path) -> _Drawn:
    """Return the drawn contours in program coordinates; none if no drawing is at hand."""
    given = [Path(name) for name in options.get("drawing") or ()]
    wanted = list(claims.drawings)
    if given and not wanted:  # a program that says nothing: the drawing's own coordinates
        at = place_of(options["at"]) if options.get("at") else (0.0, 0.0)
        wanted = [DrawingClaim(name=path.name, digest="", shift=at) for path in given]
    contours: list[Contour] = []
    slits: list[Contour] = []
    names: list[str] = []
    findings: list[Finding] = []
    for number, claim in enumerate(wanted):
        path = _file_of(claim, given, number, folder)
        if path is None:
            message = f"the drawing {claim.name} is not at hand, so nothing was compared with it"
            findings.append(Finding("drawing-missing", Severity.WARNING, message, "name it with --drawing"))
            return _Drawn(None, (), (), tuple(findings))
        data = store.read_bytes(path)
        if claim.digest and claim.digest != api.digest(data):
            message = f"{path.name} is not the drawing as it was when the program was written"
            findings.append(Finding("drawing-changed", Severity.WARNING, message, "write the program again"))
        closed, open_ones = _contours(data, path.name, claim, claims, options)
        contours += closed
        slits += open_ones
        names.append(path.name)
    return _Drawn(tuple(contours) or None, tuple(slits), tuple(names), tuple(findings))


def _file_of(claim: DrawingClaim, given: Sequence[Path], number: int, folder: Path) -> Path | None:
    """Return the file of a drawing: the one of its name, else the one in its place, else the one beside the program."""
    for path in given:
        if path.name == claim.name:
            return path
    if given:
        return given[min(number, len(given) - 1)]
    beside = folder / Path(claim.name).name
    return beside if beside.is_file() else None


def _contours(
    data: bytes, name: str, claim: DrawingClaim, claims: Claims, options: Mapping[str, Any]
) -> tuple[tuple[Contour, ...], tuple[Contour, ...]]:
    scale = unit_scale(options["units"]) if options.get("units") else claim.mm_per_unit
    rules = tuple((layer, Role(role)) for role, layer in claims.roles if role in set(Role))
    join = JoinSettings(rules=rules) if claims.join is None else JoinSettings(tolerance=claims.join, rules=rules)
    found = api.inspect(data, name, api.ReadSettings(scale, claims.layers, claims.window), join)
    if found.drawing.units.mm_per_unit is None:
        raise api.unit_question(found.drawing)
    parts = _turned(found.parts, DrawingUse(name=name, turn_deg=claim.turn_deg, mirror=claim.mirror)).moved(
        *claim.shift
    )
    left = [feature for feature in parts.features if _is_left_out(feature, claims)]
    return api.drawn_contours(parts, left)


def _turned(parts: Parts, use: DrawingUse) -> Parts:
    """Return the parts mirrored and turned as `cut` does with a drawing."""
    if not use.mirror and use.turn_deg % 360 == 0:
        return parts
    matrix = turn_matrix(use)

    def feature(f: Feature) -> Feature:
        samples = None if f.contour.samples is None else f.contour.samples @ matrix.T
        return replace(f, contour=replace(f.contour, path=f.contour.path.transformed(matrix), samples=samples))

    return Parts(
        tuple(
            replace(
                part,
                outline=feature(part.outline),
                holes=tuple(map(feature, part.holes)),
                slits=tuple(map(feature, part.slits)),
                marks=tuple(map(feature, part.marks)),
            )
            for part in parts.parts
        ),
        parts.findings,
    )


def _is_left_out(feature: Feature, claims: Claims) -> bool:
    x0, y0, x1, y1 = feature.contour.path.bounds()
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    return any(math.dist(middle, place) <= SAME_PLACE for place in claims.left_out)
