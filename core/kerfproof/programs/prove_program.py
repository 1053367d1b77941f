"""The proof of a program that is there already: what its heading says, what is said otherwise, its drawings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from kerfproof.coupon.make_program import spared
from kerfproof.errors import Finding, KerfproofError, Severity, Watch, no_watch
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.reader.lexer import lines_of
from kerfproof.job.job import Job
from kerfproof.job.resolved_job import ResolvedJob, resolve
from kerfproof.job.write_header import digest
from kerfproof.programs.contradictions import contradictions
from kerfproof.programs.drawing_lookup import DrawingAtHand, FindDrawing, no_drawing
from kerfproof.programs.earlier_program import (
    EarlierMissing,
    EarlierProgram,
    chained,
    earlier_of_proven,
    link_of,
    proven_after,
)
from kerfproof.programs.expected_contours import ExpectedContours, expected_contours, with_choices
from kerfproof.programs.heading_job import job_of
from kerfproof.programs.proven_program import UNLIT, ProvenProgram
from kerfproof.programs.read_header import Claims, read_claims
from kerfproof.programs.test_piece import as_test_piece
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.prove import prove
from kerfproof.proof.rule_choices import left_out
from kerfproof.resume.earlier_programs import GoesOn
from kerfproof.shop.shop import Shop

MOST_LINES = 1_000_000
"""Longer programs are refused: the proof keeps about 2 kB for each line."""
MODES = ("cut", *UNLIT, "touch")

FindEarlier = Callable[[GoesOn], EarlierProgram | EarlierMissing]
"""Looks for the program that another one goes on with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What a person at hand can do: about a drawing that is missing, and about a machine that is not the program's."""

    drawing: str = "name its drawing"
    machine: str = "name the machine it is for"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ProgramAtHand:
    """A program that is there already, and all that is at hand to judge it by, found and read.

    `material` and `thickness` are of the plate; `amps`, `kerf`, `mm_per_unit` (of its drawings) and what the job
    `choices` says of reading them overrule the heading. Drawings that it names and that were not given are looked for
    by `find_drawing`. `at` is where the drawing's zero lies in a program that does not say it.
    """

    text: str
    name: str
    """What messages call it."""
    shop: Shop
    material: str
    thickness: float
    amps: float | None = None
    kerf: float | None = None
    drawings: tuple[DrawingAtHand, ...] = ()
    find_drawing: FindDrawing = no_drawing
    mm_per_unit: float | None = None
    choices: Job | None = None
    at: tuple[float, float] | None = None
    assumed: str = ""
    """What nobody said of the plate."""
    notes: tuple[Finding, ...] = ()
    """What else was taken for granted."""
    advice: Advice = Advice()

    @property
    def leave_out(self) -> bool:
        """Whether the person says that what is not cut may stay."""
        return self.choices is not None and self.choices.leave_out


def prove_program(
    program: ProgramAtHand, find_earlier: FindEarlier | None = None, watch: Watch = no_watch
) -> ProvenProgram:
    """Return the proof of a program by its text, its heading and its drawings.

    One that goes on with another is judged after what that one cut; without `find_earlier` as if it stood alone.

    Raises
    ------
    KerfproofError
        If the chart has no such row, a drawing can't be read, the program is too long, or it says nothing and never
        lights the torch of this machine.
    """
    claims = _claims(program)
    job = job_of(
        claims, program.shop, program.material, program.thickness, amps=program.amps, kerf=program.kerf
    )  # fmt: skip
    resolved = resolve(job, program.shop)
    expected = expected_contours(
        claims if program.choices is None else with_choices(claims, program.choices),
        program.drawings,
        program.find_drawing,
        at=program.at,
        advice=program.advice.drawing,
        process=resolved.process,
    )
    alone = _alone(program, claims, resolved, expected, watch)
    goes_on = None if find_earlier is None else link_of(program.text)
    if goes_on is None or find_earlier is None:
        return alone
    return proven_after(alone, find_earlier(goes_on), goes_on, watch)


def as_earlier(
    program: ProgramAtHand,
    find_earlier: FindEarlier,
    file_name: str,
    said: tuple[str, ...] = (),
    watch: Watch = no_watch,
) -> EarlierProgram:
    """Return a program as one to go on with, after all that it goes on with itself; see `earlier_of_proven`.

    Raises
    ------
    KerfproofError
        If it can't be judged, or goes on with another that is not at hand.
    """
    goes_on = link_of(program.text)
    made = earlier_of_proven(prove_program(program, watch=watch), file_name, program.shop.chart.name, said)
    return made if goes_on is None else chained(made, find_earlier(goes_on), goes_on)


def _claims(program: ProgramAtHand) -> Claims:
    claims = read_claims(program.text)
    if program.mm_per_unit is None:
        return claims
    unit = program.mm_per_unit
    drawings = (replace(claim, mm_per_unit=unit, unit_given=True) for claim in claims.drawings)
    return replace(claims, drawings=tuple(drawings))


def _alone(
    program: ProgramAtHand, claims: Claims, resolved: ResolvedJob, expected: ExpectedContours, watch: Watch
) -> ProvenProgram:
    """Return the proof of a program's text, made for a job's process, against what was drawn."""
    text, shop, process = program.text, program.shop, resolved.process
    count = len(lines_of(text))
    if count > MOST_LINES:
        raise KerfproofError(
            f"the program has {count} lines, more than {MOST_LINES} can't be proven at once",
            where=program.name,
            advice="prove it in pieces",
        )
    mode = claims.mode if claims.mode in MODES else "cut"
    proof = prove(
        text,
        Against(
            control=control_of(shop.machine),
            machine=shop.machine,
            process=process,
            drawn=expected.contours,
            slits=expected.slits,
            plate=claims.plate,
            mode=mode,
            placed=expected.placed,
            counts=expected.counts,
            choices=claims.rules,
            tabs=claims.tabs,
            leave_out=program.leave_out,
        ),
        watch=watch,
    )
    if not proof.runs and claims.mode == "cut" and claims.machine is None and proof.trace.stopped is None:
        what = f"no torch is lit in it by {shop.machine.torch_on}"
        raise KerfproofError(what, where=program.name, advice=program.advice.machine)
    piece, otherwise = as_test_piece(text, shop, process, proof, bool(expected.contours))
    found = proof.findings if piece is None else spared(proof.findings, piece.meant)
    if any(f.rule == "drawing-missing" for f in expected.findings):  # that tells why nothing was compared
        found = tuple(f for f in found if f.rule != "not-compared")
    # A test piece may try other feeds.
    tried = claims if piece is None else replace(claims, feed_mm_min=None)
    findings = (
        *program.notes,
        *_stale(claims, shop),
        *left_out(resolved.known_before(expected.looked), program.leave_out),
        *contradictions(tried, proof, shop.machine, process, resolved.row),
        *expected.findings,
        *found,
        *otherwise,
    )
    return ProvenProgram(
        text=text,
        machine=shop.machine,
        process=process,
        proof=proof,
        whole=proof,
        expected=expected,
        findings=findings,
        compared=bool(expected.contours) and not (mode in UNLIT and any(f.rule == "not-compared" for f in found)),
        against=" and ".join(dict.fromkeys(expected.names)),
        drawn=expected.contours or (),
        slits=expected.slits,
        plate=claims.plate,
        assumed=program.assumed,
        drill=tuple((label, x, y) for label, (x, y) in zip(claims.left_names, claims.left_out, strict=True)),
        mode=mode,
    )


def _stale(claims: Claims, shop: Shop) -> tuple[Finding, ...]:
    """Return a warning if the machine is not the one the program was made for."""
    if not claims.machine_digest or claims.machine_digest == digest(repr(shop.machine).encode()):
        return ()
    message = (
        f"the program was made for machine {claims.machine} as it was then, not for {shop.machine.name} as it is now"
    )
    return (Finding("other-machine", Severity.WARNING, message, "write it again with kerfproof cut"),)
