"""Going on with a program that stopped: the place is where the scrubber stands, or where the plate was clicked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from kerfproof.errors import KerfproofError, Severity, Watch
from kerfproof.programs.earlier_program import EarlierProgram, chained, earlier_of_outcome, earlier_of_proven, link_of
from kerfproof.report.data.program_lines import ranges
from kerfproof.resume.first_program import first_program
from kerfproof.resume.rest_program import Resumed, resume
from kerfproof.resume.resume_point import Wish, far_along
from kerfproof.sentence import named, say
from kerfproof.units import format_length
from kerfproof_app.window.files.job_files import JobFiles
from kerfproof_app.window.files.program_export import ProgramExport, written_words
from kerfproof_app.window.widgets.background_work import BackgroundWork
from kerfproof_app.window.widgets.file_dialogs import ask_where
from kerfproof_app.window.widgets.shell import Shell
from kerfproof_app.window.widgets.words import plural, tr
from kerfproof_app.work.program_document import earlier_in
from kerfproof_app.work.program_outcome import ProgramOutcome
from kerfproof_app.work.saving import write_program


class ResumeExport:
    """Asks how to go on, makes the program off the window's thread, and writes it only if it is proven."""

    def __init__(self, shell: Shell, program: ProgramExport, files: JobFiles, background: BackgroundWork) -> None:
        self.shell, self.session, self.program = shell, shell.session, program
        self.files, self.background = files, background
        self.made: Resumed | None = None
        self._number = 0
        """Of the work that `made` goes on with."""
        self.name = ""

    def ask(self) -> None:
        """Ask how to go on from where the scrubber stands."""
        first = self._first()
        moment = self.session.moment
        if first is None or moment is None:
            return
        assert self.session.outcome is not None and self.session.outcome.proof is not None
        runs = self.session.outcome.proof.runs
        run = next((r for r in runs if moment.row <= r.last_row), runs[-1])
        number, inches = run.number + 1, self.session.shown_inches
        lit = run.first_row <= moment.row and moment.torch
        self.session.go_to(moment.seconds)
        cut, at = self._called(number), 0.0
        answers: list[tuple[str, Any]] = [
            (tr("From the start of cut {n}").format(n=number), lambda: self._make(first, Wish(from_cut=number)))
        ]
        if lit:
            answers.insert(0, (tr("In the middle, from here"), lambda: self._make(first, Wish(from_cut=number, at=at))))
            answers.append(
                (tr("Only cut {n}: it did not light").format(n=number),
                 lambda: self._make(first, Wish(unlit=(number,))))
            )  # fmt: skip
            try:
                program = first_program(first.trace, first.setup.process)
            except KerfproofError as error:
                self.session.say(error.phrase())
                return
            at = far_along(program, run.number, moment.row, (moment.x, moment.y))
            far = format_length(at, inches, 1 + inches)
            text = tr("Did the arc go out here, in {cut}, {far} from its pierce? How shall another program go on?")
            text = text.format(cut=cut, far=far)
        else:
            text = tr("Did the program stop before {cut}? How shall another program go on?").format(cut=cut)
        self.shell.tell(text, [*answers, (tr("Not at all"), lambda: None)])

    def ask_unlit(self) -> None:
        """Ask about the selected cuts: they ran without an arc."""
        first = self._first()
        outcome, chosen = self.session.outcome, self.session.selection.features
        if first is None or outcome is None:
            return
        cuts = outcome.plan.cuts if outcome.plan is not None else ()
        cold = tuple(k for k, cut in enumerate(cuts, 1) if cut.feature in chosen)
        if not cold:
            self.session.say(tr("Select the cuts that did not light, on the plate or in the list."))
            return
        text = plural(len(cold), tr("Did cut {cuts} not light?"), tr("Did the cuts {cuts} not light?"))
        self.shell.tell(
            text.format(cuts=ranges(cold) or "–"),
            [
                (tr("Cut them after all"), lambda: self._make(first, Wish(unlit=cold))),
                (tr("No"), lambda: None),
            ],
        )

    def _first(self) -> EarlierProgram | None:
        session = self.session
        if not self.program.is_all_taken():
            return None
        if session.state != "current" or session.outcome is None:
            session.say(session.why_not() or tr("There is no program yet."))
            return None
        outcome, name = session.outcome, self._first_name()
        if outcome.proof is None or not outcome.proof.runs or outcome.program is None:
            session.say(tr("The program cuts nothing, so there is nothing to go on with."))
            return None
        with session.saying_why_not():
            if not isinstance(outcome, ProgramOutcome):
                return earlier_of_outcome(outcome, name)
            link_of(outcome.program.text)
            return earlier_of_proven(outcome.proved, name, outcome.job.chart)
        return None

    def _first_name(self) -> str:
        session = self.session
        return session.name if session.job is None else self.program.export_name or session.name

    def _called(self, number: int) -> str:
        """Return a cut by its number, with what it is where the plan is at hand."""
        plan = self.session.outcome.plan if self.session.outcome else None
        name = tr("cut {n}").format(n=number)
        if plan is None or number > len(plan.cuts):
            return name
        return f"{name} ({self.session.said(named(plan.cuts[number - 1].label))})"

    # --- making it --------------------------------------------------------------------------------------------

    def _make(self, first: EarlierProgram, wish: Wish) -> None:
        """Make the rest; where the tip's starts matter, ask which tip is in the torch."""
        outcome, lasts = self.session.outcome, first.setup.process.starts_per_tip
        starts = len(outcome.proof.runs) if outcome is not None and outcome.proof is not None else 0
        if not (first.setup.machine.tip_changes or 0 < lasts < starts):
            self._start(first, wish)
            return
        self.shell.tell(
            tr("Is there a new tip in the torch now? Its starts are counted from there."),
            [
                (tr("Yes, a new one"), lambda: self._start(first, replace(wish, new_tip=True))),
                (tr("No, the same"), lambda: self._start(first, wish)),
            ],
        )

    def _start(self, first: EarlierProgram, wish: Wish) -> None:
        self.name, number, document = first.setup.name, self.session.number, self.session.document
        folder = document.folder if document is not None else None

        def work(watch: Watch) -> tuple[EarlierProgram, Resumed]:
            goes_on, whole = link_of(first.text), first
            if goes_on is not None:
                whole = chained(first, earlier_in(folder, watch)(goes_on), goes_on)
            return whole, resume(whole.text, whole.trace, wish, whole.setup, watch)

        self.background.do(
            work, lambda made: self._show(made[0], made[1], number), lambda e: self.session.say(e.phrase())
        )

    def _show(self, first: EarlierProgram, made: Resumed, number: int) -> None:
        self.made, self._number = made, number
        if self._is_of_another_job():
            return
        findings = (*first.findings, *made.findings)
        told = [f for f in findings if f.severity is not Severity.NOTE]
        errors = [f for f in findings if f.severity is Severity.ERROR]
        what = tr("done {done}; to cut {wanted}").format(
            done=ranges(made.done) or "–", wanted=ranges(made.wanted) or "–"
        )
        if not made.ok:
            refused = tr("Not proven, so not written ({what}): {why}.")
            self.shell.tell(say(refused, what=what, why=errors[0].problem), weight="error")
            return
        text = tr("Proven together with what was cut before: {what}.").format(what=what)
        if first.setup.drawn is None:
            text = tr("No rule broken; no drawing at hand to compare with: {what}.").format(what=what)
        if told:
            text += " " + plural(len(told), tr("1 warning:"), tr("{n} warnings, first:"))
            text += f" {told[0].message}."
        answers = [(tr("Save it ..."), self.save_as), (tr("Drop it"), lambda: None)]
        self.shell.tell(text, answers, weight="warning" if told else "")

    def _is_of_another_job(self) -> bool:
        if self._number == self.session.number:
            return False
        self.session.say(tr("The job was changed meanwhile, so the program that goes on is not written. Ask again."))
        return True

    def save_as(self) -> None:
        """Ask where the program that goes on is to be written."""
        if self.made is None or not self.program.is_all_taken() or self._is_of_another_job():
            return
        first = Path(self.name)
        start = self.program.export_folder / f"{first.stem}-rest{first.suffix}"
        ask_where(
            self.shell.widget, tr("Export the rest of the program"), start, lambda path, _kind: self.save_to(path)
        )

    def save_to(self, path: Path) -> None:
        """Write the program that goes on."""
        made, session = self.made, self.session
        if made is None or not made.ok or self._is_of_another_job():
            return
        with session.saying_why_not():
            done = write_program(made.program.text, path, Path(self.name).suffix)
            self.shell.question.ask(
                written_words(done),
                [(tr("Open it"), lambda: self.files.open([done.path])), (tr("Stay here"), lambda: None)],
            )
