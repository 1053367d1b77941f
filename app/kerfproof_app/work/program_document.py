"""A program opened by itself: the proof of its text, and what that is taken for in place of a plan."""

from __future__ import annotations

from pathlib import Path

from kerfproof import api
from kerfproof.api import Block, Program
from kerfproof.errors import Cancelled, Finding, KerfproofError, Severity, Watch
from kerfproof.parts.model.part import Parts
from kerfproof.programs.drawing_lookup import DrawingAtHand
from kerfproof.programs.earlier_program import EarlierMissing, EarlierProgram, earlier_of_outcome
from kerfproof.programs.prove_program import Advice, FindEarlier, ProgramAtHand
from kerfproof.programs.read_header import Claims, read_claims
from kerfproof.resume.earlier_programs import GoesOn
from kerfproof_app.shop.load_shop import shop_for
from kerfproof_app.work.opening import Opening, Version, kind_of
from kerfproof_app.work.program_files import drawings_in
from kerfproof_app.work.program_outcome import Judged

ADVICE = Advice(drawing="drop it on the window to compare them", machine="choose the machine it is for in the menu Cut")
MISSING = EarlierMissing("put it into the folder of this one, as it was")


def judged(version: Version, watch: Watch) -> Judged:
    """Return the proof of a program that was opened by itself, against its drawing if that is at hand.

    One that goes on with another is judged after what that one cut, if it lies beside it.

    Raises
    ------
    KerfproofError
        If it lights no torch of this machine, or its drawing can't be read.
    """
    find = earlier_in(version.folder, watch)

    def told(goes_on: GoesOn) -> EarlierProgram | EarlierMissing:
        try:
            return find(goes_on)
        except Cancelled:
            raise
        except KerfproofError as error:
            return EarlierMissing(str(error))

    proven = api.prove_program(program_of(version), told, watch)
    blocks = (Block(r.number, r.light_line, r.light_line, r.off_line) for r in proven.proof.runs)
    return Judged(
        job=version.job,
        machine=proven.machine,
        process=proven.process,
        drawings=(),
        contours=(),
        parts=Parts(()),
        program=Program(proven.text, tuple(blocks)),
        proof=proven.proof,
        findings=proven.findings,
        proved=proven,
    )


def program_of(version: Version) -> ProgramAtHand:
    """Return an open program with its drawings: those it is compared with, else those that lie beside it."""
    text, job = version.program or "", version.job
    claims = read_claims(text)
    return ProgramAtHand(
        text=text,
        name=version.program_name,
        shop=shop_for(job.machine, job.chart),
        material=claims.material or job.material,
        thickness=claims.thickness or job.thickness,
        drawings=tuple(
            DrawingAtHand(name=use.name, data=version.sources[use.name], mm_per_unit=use.mm_per_unit)
            for use in job.drawings
        ),
        find_drawing=drawings_in(version.folder),
        choices=job,
        notes=_assumed(claims, claims.material or job.material, job.thickness),
        advice=ADVICE,
    )


def earlier_in(folder: Path | None, watch: Watch) -> FindEarlier:
    """Return what looks in a folder for the program or the job that another program goes on with.

    What it finds none of is missing, and so is a file that can't be opened or that is another by now. It raises
    KerfproofError if what it finds can't be planned or judged, or goes on with still another that is missing.
    """

    def find(goes_on: GoesOn) -> EarlierProgram | EarlierMissing:
        beside = None if folder is None else folder / Path(goes_on.name).name
        if beside is None or not beside.is_file() or kind_of(beside) not in ("job", "program"):
            return MISSING
        try:
            version = Opening((beside,)).run(watch)
        except Cancelled:
            raise
        except KerfproofError:
            return MISSING
        if version.program is None:
            job = version.job
            made = api.plan(job, version.sources, shop_for(job.machine, job.chart), watch=watch)
            first = earlier_of_outcome(made, beside.name)
            return first if first.setup.digest == goes_on.digest else MISSING
        if api.digest(version.program.encode("utf-8")) != goes_on.digest:
            return MISSING
        return api.as_earlier(program_of(version), find, beside.name, watch=watch)

    return find


def _assumed(claims: Claims, material: str, thickness: float) -> tuple[Finding, ...]:
    """Return a note if the program does not say from what it is cut."""
    if claims.thickness is not None:
        return ()
    message = f"the program does not say what it cuts; it was judged as for {thickness:g} mm {material}"
    return (Finding("plate-assumed", Severity.NOTE, message, "see that this is what lies on the table"),)
