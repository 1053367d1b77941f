"""A program opened by itself: the proof of its text, and what that is taken for in place of a plan."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from kerfproof import api
from kerfproof.api import Block, Program
from kerfproof.errors import Cancelled, Finding, KerfproofError, Severity, Watch
from kerfproof.parts.model.part import Parts
from kerfproof.programs.earlier_program import EarlierMissing, EarlierProgram, earlier_of_outcome
from kerfproof.programs.prove_program import Advice, FindEarlier, ProgramAtHand
from kerfproof.programs.read_header import Claims, read_claims
from kerfproof.resume.earlier_programs import GoesOn
from kerfproof.sentence import mm, say
from kerfproof_app.shop.load_shop import shop_for
from kerfproof_app.work.documents import JobDocument, ProgramDocument
from kerfproof_app.work.opening import Opening, kind_of, new_job
from kerfproof_app.work.program_files import drawings_in
from kerfproof_app.work.program_outcome import ProgramOutcome

ADVICE = Advice(drawing="drop it on the window to compare them", machine="choose the machine it is for in the menu Cut")
MISSING = EarlierMissing("put it into the folder of this one, as it was")


def judged(document: ProgramDocument, watch: Watch) -> ProgramOutcome:
    """Return the proof of a program that was opened by itself, against its drawing if that is at hand.

    One that goes on with another is judged after what that one cut, if it lies beside it.

    Raises
    ------
    KerfproofError
        If it lights no torch of this machine, or its drawing can't be read.
    """
    find = earlier_in(document.folder, watch)

    def told(goes_on: GoesOn) -> EarlierProgram | EarlierMissing:
        try:
            return find(goes_on)
        except Cancelled:
            raise
        except KerfproofError as error:
            return EarlierMissing(str(error))

    proven = api.prove_program(program_of(document), told, watch)
    blocks = (Block(r.number, r.light_line, r.light_line, r.off_line) for r in proven.proof.runs)
    return ProgramOutcome(
        job=replace(
            new_job(), machine=document.machine, chart=document.chart, material=proven.process.material,
            thickness=proven.process.thickness,
        ),
        machine=proven.machine,
        process=proven.process,
        drawings=(),
        contours=(),
        parts=Parts(()),
        program=Program(proven.text, tuple(blocks)),
        proof=proven.proof,
        findings=proven.findings,
        proved=proven,
    )  # fmt: skip


def program_of(document: ProgramDocument) -> ProgramAtHand:
    """Return an open program with its drawings: those it is compared with, else those that lie beside it."""
    claims = read_claims(document.text)
    material = claims.material or document.material
    return ProgramAtHand(
        text=document.text,
        name=document.name,
        shop=shop_for(document.machine, document.chart),
        material=material,
        thickness=claims.thickness or document.thickness,
        drawings=document.drawings,
        find_drawing=drawings_in(document.folder),
        notes=_assumed(claims, material, document.thickness),
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
            found = Opening((beside,)).run(watch)
        except Cancelled:
            raise
        except KerfproofError:
            return MISSING
        if isinstance(found, JobDocument):
            job = found.job
            made = api.plan(job, found.sources, shop_for(job.machine, job.chart), watch=watch)
            first = earlier_of_outcome(made, beside.name)
            return first if first.setup.digest == goes_on.digest else MISSING
        if api.digest(found.text.encode("utf-8")) != goes_on.digest:
            return MISSING
        return api.as_earlier(program_of(found), find, beside.name, watch=watch)

    return find


def _assumed(claims: Claims, material: str, thickness: float) -> tuple[Finding, ...]:
    """Return a note if the program does not say from what it is cut."""
    if claims.thickness is not None:
        return ()
    message = say(
        "the program does not say what it cuts; it was judged as for {thickness} {material}",
        thickness=mm(thickness, "g"),
        material=material,
    )
    return (Finding("plate-assumed", Severity.NOTE, message, "see that this is what lies on the table"),)
