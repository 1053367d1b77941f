"""A program opened by itself: the proof of its text, and what that is taken for in place of a plan."""

from __future__ import annotations

from pathlib import Path

from kerfproof import api
from kerfproof.api import Block, Program
from kerfproof.errors import Cancelled, Finding, KerfproofError, Severity, Watch
from kerfproof.job.job import Job
from kerfproof.parts.model.part import Parts
from kerfproof.programs.read_header import Claims, read_claims
from kerfproof.resume.earlier_programs import GoesOn
from kerfproof.sentence import mm, say
from kerfproof_app.shop.load_shop import shop_for
from kerfproof_app.work.drawing_lookup import Given
from kerfproof_app.work.expected_contours import drawn_for, with_choices
from kerfproof_app.work.opening import Opening, Version, kind_of
from kerfproof_app.work.program_outcome import Judged
from kerfproof_app.work.program_proof import Proved, job_of, prove_text
from kerfproof_app.work.resumed_proof import First, chained, first_of_outcome, first_of_proved, link_of, proved_after

BESIDE = "put it into the folder of this one, as it was"
"""What to do if the first program is not at hand, in the window."""


def judged(version: Version, watch: Watch) -> Judged:
    """Return the proof of a program that was opened by itself, against its drawing if that is at hand.

    One that goes on with another is judged after what that one cut, if it lies beside it.

    Raises
    ------
    KerfproofError
        If it lights no torch of this machine, or its drawing can't be read.
    """
    claims, made_for, proved = _alone(version, watch)
    goes_on = link_of(version.program or "")
    if goes_on is not None:
        before, advice = None, BESIDE
        try:
            before = before_of(goes_on, version.folder, watch)
        except Cancelled:
            raise
        except KerfproofError as error:
            advice = str(error)
        proved = proved_after(proved, before, goes_on, watch, advice=advice)
    text = proved.text
    return Judged(
        job=made_for,
        machine=proved.machine,
        process=proved.process,
        drawings=(),
        contours=(),
        parts=Parts(()),
        program=Program(
            text, tuple(Block(r.number, r.light_line, r.light_line, r.off_line) for r in proved.proof.runs)
        ),
        proof=proved.proof,
        findings=(*_assumed(claims, made_for), *proved.findings),
        proved=proved,
    )


def _alone(version: Version, watch: Watch) -> tuple[Claims, Job, Proved]:
    """Return what a program says, what it was made for, and the proof of it alone."""
    text, job = version.program or "", version.job
    claims = read_claims(text)
    shop = shop_for(job.machine, job.chart)
    made_for = job_of(claims, shop, claims.material or job.material, claims.thickness or job.thickness)
    given = [Given(name=use.name, data=version.sources[use.name], mm_per_unit=use.mm_per_unit) for use in job.drawings]
    process = api.process_of(made_for, shop.chart, shop.machine)
    chosen = with_choices(claims, job)
    advice = "drop it on the window to compare them"
    drawn = drawn_for(chosen, given, version.folder, advice=advice, process=process)
    advice = "choose the machine it is for in the menu Cut"
    proved = prove_text(text, version.program_name, claims, shop, made_for, drawn, watch, advice=advice)
    return claims, made_for, proved


def before_of(goes_on: GoesOn, folder: Path | None, watch: Watch) -> First | None:
    """Return the first program of a resumed one that lies in its folder; None if it does not, or is another by now.

    Raises
    ------
    KerfproofError
        If that one goes on with still another, which is not at hand.
    """
    beside = None if folder is None else folder / Path(goes_on.name).name
    if beside is None or not beside.is_file() or kind_of(beside) not in ("job", "program"):
        return None
    try:
        version = Opening((beside,)).run(watch)
    except Cancelled:
        raise
    except KerfproofError:
        return None
    if version.program is None:
        job = version.job
        made = api.plan(job, version.sources, shop_for(job.machine, job.chart), watch=watch)
        first = first_of_outcome(made, beside.name)
        return first if first.setup.digest == goes_on.digest else None
    if api.digest(version.program.encode("utf-8")) != goes_on.digest:
        return None
    _claims, job, proved = _alone(version, watch)
    first, earlier = first_of_proved(proved, beside.name, job.chart), link_of(version.program)
    return first if earlier is None else chained(first, before_of(earlier, folder, watch), earlier, BESIDE)


def _assumed(claims: Claims, job: Job) -> tuple[Finding, ...]:
    """Return a note if the program does not say from what it is cut."""
    if claims.thickness is not None:
        return ()
    message = say(
        "the program does not say what it cuts; it was judged as for {thickness} {material}",
        thickness=mm(job.thickness, "g"),
        material=job.material,
    )
    return (Finding("plate-assumed", Severity.NOTE, message, "see that this is what lies on the table"),)
