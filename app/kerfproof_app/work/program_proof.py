"""The proof of a program that is there already: what its heading says, what is said otherwise, its drawings.

The same for the command line and the window. No Qt, no options.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.api import control_of
from kerfproof.coupon.likeness import not_made, unlike
from kerfproof.coupon.make_program import made_again, spared
from kerfproof.coupon.piece import Bench, CouponKind, kind_of
from kerfproof.errors import Finding, KerfproofError, Severity, Watch
from kerfproof.job.job import Job
from kerfproof.parts.model.contour import Contour
from kerfproof.programs.contradictions import contradictions, same_plate
from kerfproof.programs.read_header import Claims
from kerfproof.report.data.facts import both, counted
from kerfproof.report.data.figures import figures
from kerfproof.report.data.limits_9013 import class_line
from kerfproof.report.data.listing import piece_lines
from kerfproof.report.data.wear import Wear, wear
from kerfproof.sentence import Phrase
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine
from kerfproof.units import format_time
from kerfproof_app.shop import store
from kerfproof_app.work.expected_contours import Drawn

MOST_LINES = 1_000_000
"""Longer programs are refused: the proof keeps about 2 kB for each line."""
MODES = ("cut", "dry", "frame", "tour", "touch")
UNLIT = ("dry", "frame", "tour")
FEED_ROUNDED, KERF_ROUNDED = 1e-4, 6e-4
"""How far the heading of a test piece may round its feed (mm/min) and its kerf (mm)."""
_DXF = re.compile(r"\s*(999\n.*\n\s*)*0\s*\n\s*SECTION\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """What is told of a program."""

    verdict: str
    compared: bool
    against: str
    lines: tuple[tuple[str, Phrase], ...]
    findings: tuple[Finding, ...]
    drawn: tuple[Contour, ...]
    slits: tuple[Contour, ...]
    plate: tuple[float, float, float, float] | None
    text: str
    proof: Any
    """The proof itself, for `kerfproof.report.data.wear`."""
    whole: Any
    """The proof that answers for the parts: that one, or that of the program after what was cut before it."""
    machine: Machine
    process: Process
    drill: tuple[tuple[str, float, float], ...]
    """Label and middle of each feature that was left out on purpose."""
    mode: str = "cut"
    """What the program is for, as its heading says; all but ``cut`` light no torch."""
    shifts: tuple[tuple[str, tuple[float, float]], ...] = ()
    """Name and shift of each drawing whose place is known."""

    @property
    def inches(self) -> bool:
        """Whether the program's numbers are inches: by its first word for it, else by its machine."""
        words = self.proof.trace.changes.of("units")
        return bool(words[0].word == "G20" if words else self.machine.inches)

    def places_of(self, finding: Finding) -> tuple[tuple[float, float], ...]:
        """Return where a finding lies on the plate; one of a drawing lies on each of its copies."""
        if finding.x is None or finding.y is None:
            return ()
        if not finding.drawing:
            return ((finding.x, finding.y),)
        if self.proof.places:
            at = [place.matrix @ (finding.x, finding.y) + place.shift for place in self.proof.places]
            return tuple((float(x), float(y)) for x, y in at)
        return tuple((finding.x + x, finding.y + y) for name, (x, y) in self.shifts if name == finding.drawing)

    def wear(self) -> Wear:
        """Return what the program takes of the consumables."""
        return wear(self.proof, self.machine)


def read_program(path: Path) -> str:
    """Return the text of a program's file.

    Raises
    ------
    KerfproofError
        If it can't be read, is empty or no text.
    """
    text = store.read_text(path).replace("\r\n", "\n")
    if not text.strip():
        raise KerfproofError("the program is empty", where=str(path))
    if path.suffix.lower() == ".dxf" or _DXF.match(text):
        advice = "kerfproof inspect tells what it holds, kerfproof cut makes a program of it"
        raise KerfproofError("this is a drawing (DXF), not a program", where=str(path), advice=advice)
    if "\0" in text:
        raise KerfproofError("this is no text of a program", where=str(path), advice="open a drawing or a program")
    return text


def prove_text(
    text: str,
    where: str,
    claims: Claims,
    shop: api.Shop,
    job: Job,
    drawn: Drawn,
    watch: Watch,
    *,
    assumed: str = "",
    notes: tuple[Finding, ...] = (),
    advice: str = "name the machine it is for with --machine",
) -> Proved:
    """Return the proof of a program's text, made for a job's process on a shop's machine, against what was drawn.

    `assumed` says what nobody said of the plate, `notes` what else was taken for granted; `advice` what to do if the
    program lights no torch.

    Raises
    ------
    KerfproofError
        If the chart has no such row, the program is too long, or it says nothing and never lights the torch of this
        machine.
    """
    count = len(api.lines_of(text))
    if count > MOST_LINES:
        raise KerfproofError(
            f"the program has {count} lines, more than {MOST_LINES} can't be proven at once",
            where=where,
            advice="prove it in pieces",
        )
    process = api.process_of(job, shop.chart, shop.machine)
    mode = claims.mode if claims.mode in MODES else "cut"
    proof = api.prove(
        text,
        control_of(shop.machine),
        shop.machine,
        process,
        drawn.contours,
        slits=drawn.slits,
        plate=claims.plate,
        mode=mode,
        placed=drawn.placed,
        counts=drawn.counts,
        choices=claims.rules,
        tabs=claims.tabs,
        watch=watch,
    )
    if not proof.runs and claims.mode == "cut" and claims.machine is None and proof.trace.stopped is None:
        raise KerfproofError(f"no torch is lit in it by {shop.machine.torch_on}", where=where, advice=advice)
    row = _row(job, shop)
    piece, otherwise = _piece(text, shop, process, proof, bool(drawn.contours))
    found = proof.findings if piece is None else spared(proof.findings, piece.meant)
    if any(f.rule == "drawing-missing" for f in drawn.findings):  # that tells why nothing was compared
        found = tuple(f for f in found if f.rule != "not-compared")
    findings = (
        *notes,
        *_stale(claims, shop),
        *api.known_before(shop.machine, process, row, drawn.looked),
        *contradictions(claims if piece is None else _as_tried(claims), proof, shop.machine, process, row),
        *drawn.findings,
        *found,
        *otherwise,
    )
    compared = bool(drawn.contours)
    lines: list[tuple[str, Phrase]] = [("machine", shop.machine.title or shop.machine.name)]
    kerf = "" if mode in UNLIT else f", kerf {both(process.kerf)}"
    lines.append(("made for", f"{process.material} {both(process.thickness)}{kerf}"))
    if assumed:
        lines.append(("assumed", assumed))
    if claims.left_names:
        lines.append(("left out", f"{counted(len(claims.left_names), 'feature')} of the drawing, as the heading says"))
    lines += [*_figures(proof, shop.machine), ("holds for", proof.holds_for)]
    known = drawn.placed or len(drawn.counts) == 1
    tolerance = class_line(proof, drawn.contours or (), process) if known else ""
    if tolerance:
        lines.append(("ISO 9013", tolerance))
    return Proved(
        verdict=api.verdict_of(findings, compared),
        compared=compared,
        against=" and ".join(dict.fromkeys(drawn.names)),
        lines=tuple(lines),
        findings=findings,
        drawn=drawn.contours or (),
        slits=drawn.slits,
        plate=claims.plate,
        text=text,
        proof=proof,
        whole=proof,
        machine=shop.machine,
        process=process,
        drill=tuple((label, x, y) for label, (x, y) in zip(claims.left_names, claims.left_out, strict=True)),
        mode=mode,
        shifts=drawn.shifts,
    )


def _figures(proof: Any, machine: Machine) -> list[tuple[str, Phrase]]:
    """Return what the program comes to, and without a drawing the pieces that come free."""
    f = figures(proof, machine)
    told: list[tuple[str, Phrase]] = [("cuts", f"{counted(f.pierces, 'pierce')}, {f.cut_length / 1000:.2f} m of cut")]
    told.append(("time", f"torch on {format_time(round(f.torch_on_s))} of {format_time(round(f.run_s))}"))
    if f.cut_length and f.slow_length > 0.05 * f.cut_length:
        told.append(("slow", f"{f.slow_length / f.cut_length:.0%} of the cut runs at less than half its feed"))
    return told + [("comes free", text) for text in piece_lines(proof.pieces)]


def known_machine(claims: Claims) -> str | None:
    """Return the machine that a program names, if there is one of that name."""
    names = {file.name for file in store.shop_files("machines")}
    return claims.machine if claims.machine in names else None


def job_of(
    claims: Claims,
    shop: api.Shop,
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
            api.process_of(job, shop.chart, shop.machine)
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


def _same_plate(claims: Claims, job: Job, shop: api.Shop, amps: float | None) -> bool:
    """Return whether a job is for the plate and the current (if one is said) that a heading names."""
    if amps is not None and claims.amps is not None and abs(amps - claims.amps) > 0.05:
        return False
    try:
        return same_plate(claims, api.process_of(job, shop.chart, shop.machine))
    except KerfproofError:
        return True  # told when the proof looks for the row


def _as_tried(claims: Claims) -> Claims:
    """Return the claims of a test piece as it is made, without the feed: it may try others."""
    return replace(claims, feed_mm_min=None)


def _piece(
    text: str, shop: api.Shop, process: Process, proof: Any, compared: bool
) -> tuple[CouponKind | None, tuple[Finding, ...]]:
    """Return the kind of test piece that a program is, if it does what that one does, and what it does otherwise."""
    job = Job(
        drawings=(), machine=shop.machine.name, chart=shop.chart.name, material=process.material,
        thickness=process.thickness, amps=process.amps,
    )  # fmt: skip
    try:
        row = api.process_of(job, shop.chart, shop.machine)
    except KerfproofError:
        row = process
    # A heading says both rounded: what it may mean by that is the chart's own value.
    feed = row.feed_mm_min if abs(row.feed_mm_min - process.feed_mm_min) <= FEED_ROUNDED else process.feed_mm_min
    kerf = row.kerf if abs(row.kerf - process.kerf) <= KERF_ROUNDED else process.kerf
    made_for = replace(process, feed_mm_min=feed, kerf=kerf)
    try:
        piece = made_again(text, Bench(machine=shop.machine, process=made_for, control=control_of(shop.machine)))
    except KerfproofError as error:
        found: tuple[Finding, ...] = (not_made(str(error)),)
    else:
        if piece is None or proof.trace.stopped is not None:
            return None, ()
        found = unlike(proof, piece.proof, piece.kind)
        if not found:
            return kind_of(piece.kind), ()
    # Where a drawing says what is to be cut, that is what counts.
    return None, tuple(replace(f, severity=Severity.WARNING) for f in found) if compared else found


def _row(job: Job, shop: api.Shop) -> Process:
    """Return the chart's row of a job as it stands there."""
    plain = replace(job, kerf=None, feed_mm_min=None, pierce_delay_s=None)
    return api.process_of(plain, shop.chart, shop.machine)


def _stale(claims: Claims, shop: api.Shop) -> tuple[Finding, ...]:
    """Return a warning if the machine is not the one the program was made for."""
    if not claims.machine_digest or claims.machine_digest == api.digest(repr(shop.machine).encode()):
        return ()
    message = (
        f"the program was made for machine {claims.machine} as it was then, not for {shop.machine.name} as it is now"
    )
    return (Finding("other-machine", Severity.WARNING, message, "write it again with kerfproof cut"),)
