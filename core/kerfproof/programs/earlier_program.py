"""Programs that go on with others: what the earlier one was for, and the proof of both."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from kerfproof.errors import Finding, KerfproofError, Severity, Watch
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.trace import Trace
from kerfproof.job.job import Mode
from kerfproof.job.write_header import digest
from kerfproof.outcome import Outcome
from kerfproof.parts.model.part import drawn_contours
from kerfproof.programs.proven_program import UNLIT, ProvenProgram
from kerfproof.programs.read_header import Claims, read_claims
from kerfproof.resume.combined_proof import Setup, continued
from kerfproof.resume.earlier_programs import GoesOn, cut_before, read_goes_on
from kerfproof.resume.first_program import first_program
from kerfproof.sentence import Phrase, joined_phrases, mm, option, say

OF_THE_FIRST = ("drawing-missing", "drawing-changed", "other-machine")
"""What is found on the first program that matters for the rest, too."""
LEFT_OUT = ("hole-to-drill", "mark-not-cut")
"""What is told of features that are left out on purpose."""
ASSUMED = ("machine", "chart", "material", "thickness", "kerf")
"""What a program may not say of the shop; it is taken from options, the person's defaults or the built-in ones then."""


@dataclass(frozen=True, slots=True)
class EarlierProgram:
    """A program that another goes on with: its text and trace, what it was for, and what is to be said of it."""

    text: str
    trace: Trace
    setup: Setup
    findings: tuple[Finding, ...] = ()
    against: str = ""
    """The drawings it is compared with."""


@dataclass(frozen=True, slots=True)
class EarlierMissing:
    """The program that another goes on with is not at hand, or is another by now; what to do about it."""

    advice: str


def earlier_of_outcome(outcome: Outcome, name: str) -> EarlierProgram:
    """Return the program of a job as one to go on with; `name` is that of its file.

    Raises
    ------
    KerfproofError
        If the job has no program, or one that cuts nothing.
    """
    if outcome.program is None or outcome.plan is None or outcome.proof is None:
        raise KerfproofError("the job has no program to go on with", where=name, advice="see kerfproof cut")
    job = outcome.job
    if job.mode is not Mode.CUT:
        raise KerfproofError(f"the job is a {job.mode.value}, it cuts nothing", where=name)
    drawn, slits = drawn_contours(outcome.parts, outcome.left_out)
    setup = Setup(
        machine=outcome.machine,
        process=outcome.process,
        control=control_of(outcome.machine),
        drawn=drawn,
        slits=slits,
        plate=outcome.plan.plate,
        name=name,
        digest=digest(outcome.program.text.encode("ascii")),
        choices=job.rules,
        tabs=outcome.plan.tabs,
        rests=job.rests,
    )
    names = " and ".join(dict.fromkeys(use.name for use in job.drawings))
    told = tuple(f for f in outcome.findings if _of_the_drawing(f))
    return EarlierProgram(outcome.program.text, outcome.proof.trace, setup, told, names)


def _of_the_drawing(finding: Finding) -> bool:
    """Return whether a finding says what of the drawing is not cut: that holds for the rest of a program, too."""
    return finding.severity is not Severity.ERROR and bool(finding.drawing or finding.rule in LEFT_OUT)


def earlier_of_proven(proven: ProvenProgram, name: str, chart: str = "", said: Collection[str] = ()) -> EarlierProgram:
    """Return a program that was read and proven as one to go on with; `name` is that of its file.

    `chart` is the name of the chart that its process is from, `said` what the person named of `ASSUMED`.

    Raises
    ------
    KerfproofError
        If it is written in another unit than the machine's.
    """
    claims = read_claims(proven.text)
    _same_unit(proven, name)
    places = proven.proof.places
    lost = proven.compared and not (claims.drawings or places or claims.resumed)
    drawn = tuple(c for place in places for c in place.moved(proven.drawn)) if places else proven.drawn
    slits = tuple(c for place in places for c in place.moved(proven.slits)) if places else proven.slits
    setup = Setup(
        machine=proven.machine,
        process=proven.process,
        control=control_of(proven.machine),
        drawn=None if lost else drawn or None,
        slits=() if lost else slits,
        plate=proven.plate,
        name=name,
        digest=digest(proven.text.encode("utf-8")),
        choices=claims.rules,
        tabs=claims.tabs,
        rests=claims.rests,
    )
    carried = (f for f in proven.findings if f.rule in OF_THE_FIRST or _of_the_drawing(f))
    found = [*_assumed(proven, claims, chart, said), *carried]
    if lost:
        what = f"{proven.against} was not found in what {name} cuts, so nothing is compared with it"
        found.append(Finding("drawing-not-found", Severity.WARNING, what, "is it the drawing, and is the kerf right?"))
    errors = [f for f in proven.findings if f.severity is Severity.ERROR]
    if errors:
        why = say("the first program is not proven itself: {why}", why=errors[0].problem)
        found.append(Finding("first-not-proven", Severity.WARNING, why, "kerfproof prove tells all of it"))
    return EarlierProgram(proven.text, proven.proof.trace, setup, tuple(found), proven.against)


def _same_unit(proven: ProvenProgram, name: str) -> None:
    words, machine = proven.proof.trace.changes.of("units"), proven.machine
    if words and (words[0].word == "G20") is not machine.inches:
        units = ("millimetres", "inches")
        raise KerfproofError(
            f"the program is in {units[words[0].word == 'G20']} ({words[0].word}, line {words[0].line}), the machine "
            f"{machine.name} in {units[machine.inches]}",
            where=name,
            advice=say("name the machine it is for with {machine}", machine=option("machine")),
        )


def _assumed(proven: ProvenProgram, claims: Claims, chart: str, said: Collection[str]) -> list[Finding]:
    """Return a warning that names what nobody said of machine and plate, and as what it is taken."""
    machine, process = proven.machine, proven.process
    known = {
        "machine": claims.machine == machine.name,
        "material": claims.material is not None,
        "thickness": claims.thickness is not None,
        "kerf": claims.kerf is not None,
    }
    missing = [what for what in ASSUMED if what not in said and not known.get(what, all(known.values()))]
    if not missing:
        return []
    taken: dict[str, Phrase] = {
        "machine": f"machine {machine.name}",
        "chart": f"chart {chart or 'as chosen'}",
        "material": process.material,
        "thickness": say("{thickness} thick", thickness=mm(process.thickness, "g")),
        "kerf": say("kerf {kerf}", kerf=mm(process.kerf, ".2f")),
    }
    if not proven.proof.trace.changes.of("units"):
        taken["machine"] += f" in {'inches' if machine.inches else 'millimetres'}"
    what = say(
        "the program does not say its {missing}; taken are {taken}",
        missing=" and ".join([", ".join(missing[:-1]), missing[-1]][len(missing) < 2 :]),
        taken=joined_phrases(taken[key] for key in missing),
    )
    advice = f"if that is not so, say {', '.join('--' + key for key in missing)}"
    return [Finding("shop-assumed", Severity.WARNING, what, advice)]


def link_of(text: str) -> GoesOn | None:
    """Return what a program goes on with; None if it stands alone.

    Raises
    ------
    KerfproofError
        If it says so and that can't be read.
    """
    said = read_claims(text).resumed
    found = read_goes_on(said)
    if said and found is None:
        raise KerfproofError(
            "the heading can't be read where it says what the program goes on with",
            advice="write the resumed program again",
        )
    return found


def chained(program: EarlierProgram, before: EarlierProgram | EarlierMissing, goes_on: GoesOn) -> EarlierProgram:
    """Return a program that goes on with another itself, with what was cut `before` it and the drawing of that one.

    Raises
    ------
    KerfproofError
        If the other one is not at hand: a new pierce could lie in a kerf that nobody knows of.
    """
    own = program.setup
    if isinstance(before, EarlierMissing):
        raise KerfproofError(_unknown(goes_on), where=own.name, advice=before.advice)
    setup = replace(_after(before, goes_on), name=own.name, digest=own.digest, rests=own.rests)
    findings = tuple(dict.fromkeys((*program.findings, *before.findings)))
    return EarlierProgram(program.text, program.trace, setup, findings, before.against)


def proven_after(
    proven: ProvenProgram, before: EarlierProgram | EarlierMissing, goes_on: GoesOn, watch: Watch
) -> ProvenProgram:
    """Return the proof of a resumed program together with what was cut `before` it.

    One whose heading says that it lights no torch is judged as that alone.
    """
    if proven.mode in UNLIT:
        return proven
    if isinstance(before, EarlierMissing):
        told = (f for f in proven.findings if f.rule != "not-compared")  # the first program tells what was drawn
        missing = Finding("first-missing", Severity.ERROR, _unknown(goes_on), before.advice)
        return replace(proven, findings=(*told, missing))
    setup = _after(before, goes_on)
    judged = continued(proven.text, setup, watch)
    own = tuple(f for f in proven.findings if f not in proven.proof.findings)
    return replace(
        proven,
        findings=tuple(dict.fromkeys((*own, *before.findings, *judged.findings))),
        compared=setup.drawn is not None,
        against=f"{before.against} after what {goes_on.name} cut",
        drawn=setup.drawn or (),
        slits=setup.slits,
        whole=judged.together,
    )


def _unknown(goes_on: GoesOn) -> str:
    """Return what is not known without the earlier program: a pierce may lie in an open kerf."""
    return f"it goes on with {goes_on.name}, which is not at hand as it was: where kerfs are open is not known"


def _after(before: EarlierProgram, goes_on: GoesOn) -> Setup:
    """Return the setup of an earlier program with all that was cut until a resumed one goes on."""
    program = first_program(before.trace, before.setup.process)
    return replace(before.setup, before=(*before.setup.before, *cut_before(program, goes_on)))
