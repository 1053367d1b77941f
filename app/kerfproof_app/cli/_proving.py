"""From a program and what its heading says to its proof."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.coupon.making import meant_by, spared
from kerfproof.errors import Finding, KerfproofError, Severity, Watch
from kerfproof.job import DrawingUse, Job
from kerfproof.machine.chart import Process
from kerfproof.machine.control import control_of
from kerfproof.machine.profile import Machine
from kerfproof.parts.contour import Contour
from kerfproof.parts.part import Feature
from kerfproof.report.claims import Claims, DrawingClaim, read_claims
from kerfproof.report.contradictions import contradictions
from kerfproof.report.figures import figures
from kerfproof.report.listing import piece_lines
from kerfproof.report.picture import counted
from kerfproof.report.wear import Wear, wear
from kerfproof.units import format_length, format_time, parse_current
from kerfproof_app import store
from kerfproof_app.cli._job import length_of, place_of, plate_of, unit_scale
from kerfproof_app.cli._shop import find_shop, split_changes

MACHINE_KEY = "machine."
SAME_PLACE = 0.05
MODES = ("cut", "dry", "frame", "tour", "touch")


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """What is told of a program."""

    verdict: str
    compared: bool
    against: str
    lines: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]
    drawn: tuple[Contour, ...]
    slits: tuple[Contour, ...]
    plate: tuple[float, float, float, float] | None
    text: str
    proof: Any
    """The proof itself, for `kerfproof.report.wear`."""
    machine: Machine
    process: Process
    drill: tuple[tuple[str, float, float], ...]
    """Label and middle of each feature that was left out on purpose."""

    def wear(self) -> Wear:
        """Return what the program takes of the consumables."""
        return wear(self.proof, self.machine)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The contours that a program must leave, and what to say of where they came from."""

    contours: tuple[Contour, ...] | None
    slits: tuple[Contour, ...]
    names: tuple[str, ...]
    findings: tuple[Finding, ...]
    placed: bool = True
    """Whether it is known where they lie in the program."""


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
        mode=claims.mode if claims.mode in MODES else "cut",
        placed=drawn.placed,
        choices=claims.rules,
        tabs=claims.tabs,
        watch=watch,
    )
    if not proof.runs and claims.mode == "cut" and claims.machine is None and proof.trace.stopped is None:
        advice = "name the machine it is for with --machine"
        raise KerfproofError(f"no torch is lit in it by {shop.machine.torch_on}", where=str(path), advice=advice)
    findings = (
        *_stale(claims, shop),
        *contradictions(claims, proof, shop.machine, process),
        *drawn.findings,
        *spared(proof.findings, meant_by(text)),
    )
    compared = bool(drawn.contours)
    lines = [("machine", shop.machine.title or shop.machine.name)]
    lines.append(
        ("made for", f"{process.material} {format_length(process.thickness)}, kerf {format_length(process.kerf)}")
    )
    if assumed:
        lines.append(("assumed", assumed))
    lines += [*_figures(proof, shop.machine), ("holds for", proof.holds_for.removeprefix("for "))]
    return Proved(
        verdict=_verdict(findings, compared),
        compared=compared,
        against=" and ".join(dict.fromkeys(drawn.names)),
        lines=tuple(lines),
        findings=findings,
        drawn=drawn.contours or (),
        slits=drawn.slits,
        plate=claims.plate,
        text=text,
        proof=proof,
        machine=shop.machine,
        process=process,
        drill=tuple((label, x, y) for label, (x, y) in zip(claims.left_names, claims.left_out, strict=True)),
    )


def _figures(proof: Any, machine: Machine) -> list[tuple[str, str]]:
    """Return what the program comes to, and without a drawing the pieces that come free."""
    f = figures(proof, machine)
    told = [("cuts", f"{counted(f.pierces, 'pierce')}, {f.cut_length / 1000:.2f} m of cut")]
    told.append(("time", f"torch on {format_time(round(f.torch_on_s))} of {format_time(round(f.run_s))}"))
    if f.cut_length and f.slow_length > 0.05 * f.cut_length:
        told.append(("slow", f"{f.slow_length / f.cut_length:.0%} of the cut runs at less than half its feed"))
    return told + [("comes free", text) for text in piece_lines(proof.pieces)]


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
        feed_mm_min=claims.feed_mm_min,
        pierce_delay_s=claims.pierce_delay_s,
    )
    if amps is not None and not options.get("amps"):
        try:  # a row estimated between two currents stands in the chart under neither
            api.process_of(job, shop.chart, shop.machine)
        except KerfproofError:
            job = replace(job, amps=None)
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
    if given and not wanted:  # a program that says nothing: the proof finds where the drawing lies
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
    placed = bool(claims.drawings or options.get("at"))
    return _Drawn(tuple(contours) or None, tuple(slits), tuple(names), tuple(findings), placed)


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
    use = DrawingUse(name=claim.name, turn_deg=claim.turn_deg, mirror=claim.mirror)
    said = Job(
        drawings=(use,), machine="", chart="", material="", thickness=1.0, roles=claims.roles,
        contour_roles=claims.contour_roles, drill_marks=claims.drill_marks, drill_below=claims.drill_below,
        page=claims.page,
    )  # fmt: skip
    join = api.joining(said if claims.join is None else replace(said, join_tolerance=claims.join), use)
    found = api.inspect(data, name, api.ReadSettings(scale, claims.layers, claims.window), join, use=use)
    if found.drawing.units.mm_per_unit is None:
        raise api.unit_question(found.drawing)
    parts = found.parts.moved(*claim.shift)
    left = [feature for feature in parts.features if _is_left_out(feature, claims)]
    return api.drawn_contours(parts, left)


def _is_left_out(feature: Feature, claims: Claims) -> bool:
    x0, y0, x1, y1 = feature.contour.path.bounds()
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    return any(math.dist(middle, place) <= SAME_PLACE for place in claims.left_out)
