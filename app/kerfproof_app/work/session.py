"""What is open now: the job with its history, what it became, and what is looked at. No Qt, no threads of its own.

All changes are values: an edit puts a new `Job` on a stack. The work that an edit causes is a task, which anyone may
run (`Planning.run`, `Opening.run`) and bring back with `take` or `fail`; what was overtaken by a newer edit is dropped.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kerfproof.errors import Cancelled, KerfproofError, UnitUnknown, Watch, no_watch
from kerfproof.memo import Memo
from kerfproof.sentence import Phrase
from kerfproof_app.shop.preferences import Unfinished
from kerfproof_app.work.document_state import Editing
from kerfproof_app.work.documents import Document, JobDocument, ProgramDocument
from kerfproof_app.work.drawing_preview import DrawingPreview, PreviewTask
from kerfproof_app.work.opening import Opening
from kerfproof_app.work.planning import Planning
from kerfproof_app.work.saving import Export, export, save_job, why_not
from kerfproof_app.work.undo_history import History
from kerfproof_app.work.view_state import Change, Selection

if TYPE_CHECKING:  # planner and proof are loaded where they run, so that a drawing is seen before
    from kerfproof.outcome import Outcome

Task = Opening | PreviewTask | Planning


class Session(Editing):
    """One open piece of work. Listeners are told each `Change`. What it is about and how it is edited: `Editing`."""

    # --- work ---------------------------------------------------------------------------------------------

    def next_task(self) -> Task | None:
        """Return what there is to be computed: files to open first, else the job as it is now; None: nothing.

        Before there is any outcome the drawings are looked at by themselves, and again where they can't be planned.
        """
        if self.opening is not None:
            return self.opening
        if self._looks and isinstance(self.document, JobDocument):
            return PreviewTask(self._number, self.document, self._memo, self.problem)
        if self.state == "checking" and self.document is not None:
            return Planning(self._number, self.document, self._memo)
        return None

    def take(self, task: Task, result: Document | DrawingPreview | Outcome) -> None:
        """Take what a task made; what is older than the last edit is dropped."""
        if isinstance(task, Opening):
            if task is self.opening and isinstance(result, Document):
                self._opened(task, result)
        elif task.number != self._number:
            return
        elif isinstance(result, DrawingPreview):
            self.preview, self._looks = result, False
            self.tell(Change.PREVIEW)
        elif not isinstance(result, Document):
            self.selection = Selection(self._chosen_in(result))
            self.outcome, self.state, self.problem, self.preview = result, "current", None, None
            line = self.timeline
            self.moment_s = 0.0 if line is None else min(self.moment_s, line.seconds)
            self.tell(Change.OUTCOME, Change.STATE)

    def _chosen_in(self, outcome: Outcome) -> tuple[int, ...]:
        """Return the features that are looked at as they are numbered in another outcome."""
        chosen = self.selection.features
        if not chosen:
            return ()
        from kerfproof_app.work.feature_tracking import same_features

        return same_features(self.outcome, outcome, chosen)

    def fail(self, task: Task, error: KerfproofError) -> None:
        """Take why a task could not be done. A file that does not open leaves the work as it is."""
        if isinstance(task, Opening):
            if task is not self.opening:
                return
            self.opening = None
            if isinstance(error, UnitUnknown):
                self._asked, self.question = task, error
                self.tell(Change.QUESTION, Change.STATE)
            elif not isinstance(error, Cancelled):
                self.say(error.phrase())
                self.tell(Change.STATE)
        elif task.number == self._number:
            stopped = isinstance(error, Cancelled)
            if isinstance(task, PreviewTask) and not (stopped and self.state == "checking"):
                self._looks = False  # the planning says what is wrong, or has said it
                return
            if stopped:
                error = Cancelled("the check was stopped", advice="check again to go on")
            self.problem, self.state = error, "failed"
            self._looks = self.outcome is None and self.job is not None and not stopped
            self.tell(Change.STATE)

    def settle(self, watch: Watch = no_watch) -> None:
        """Run all tasks here and now."""
        while (task := self.next_task()) is not None:
            try:
                result = task.run(watch)
            except KerfproofError as error:
                self.fail(task, error)
            else:
                self.take(task, result)

    # --- opening ------------------------------------------------------------------------------------------

    def open(self, paths: list[Path] | tuple[Path, ...], *, add: bool = False) -> None:
        """Ask for files to be opened: in place of the work, or drawings added to it or compared with a program."""
        if paths:
            onto = self.document if add else None
            self.question, self._asked = None, None
            self.opening = Opening(tuple(paths)) if onto is None else Opening(tuple(paths), onto, memo=self._memo)
            self.tell(Change.QUESTION, Change.STATE)

    def answer_unit(self, mm_per_unit: float | None) -> None:
        """Answer the question of a drawing's unit; None gives the drawing up."""
        if self._asked is not None and self.question is not None:
            asked, name = self._asked, self.question.where
            self.question, self._asked = None, None
            self.opening = None if mm_per_unit is None else asked.with_unit(name, mm_per_unit)
            self.tell(Change.QUESTION, Change.STATE)

    def _opened(self, task: Opening, document: Document) -> None:
        self.opening, self._memo = None, task.memo
        for path in reversed(task.paths):
            self.memory.remember(path)
        self.say("")
        if task.onto is None:
            self.outcome, self.preview, self.moment_s = None, None, 0.0
            self._saved = document
        did = "open" if task.onto is None else "compare with" if isinstance(document, ProgramDocument) else "add"
        label = f"{did} {', '.join(path.name for path in task.paths)}"
        if self.document is None:
            self._put(document)
        else:
            self._step(document, label)
        self.tell(Change.OUTCOME)

    def recover(self, work: Unfinished) -> None:
        """Go on with work that was not closed."""
        from kerfproof.job.job_file import parse_job

        job = parse_job(work.text, work.name)
        self.outcome, self.preview, self._saved, self._history = None, None, None, History()
        folder = work.path.parent if work.path else None
        self._put(JobDocument(job=job, sources=work.sources, path=work.path, text=work.text, folder=folder))
        self.memory.forget(work.folder)
        self.tell(Change.OUTCOME)

    def close(self) -> None:
        """Put the work away; nothing is asked and nothing kept."""
        self.document = self.outcome = self.preview = self.problem = self.question = self.opening = self._saved = None
        self._looks = False
        self._history, self.selection, self.moment_s, self.state = History(), Selection(), 0.0, "empty"
        self._number += 1
        self._memo = Memo()
        self.memory.forget()
        self.tell(Change.JOB, Change.OUTCOME, Change.STATE)

    # --- saving -------------------------------------------------------------------------------------------

    def save(self, path: Path | None = None) -> Path:
        """Save the job (to `path`, else to its own file) with its drawings beside it, and return where.

        Raises
        ------
        KerfproofError
            If it has no file yet, or can't be written.
        """
        v = self.document
        if not isinstance(v, JobDocument):
            raise KerfproofError("there is no job to save")
        saved = save_job(v, path or v.path)
        assert saved.path is not None
        self.document = self._saved = saved
        self.memory.remember(saved.path)
        self.keep()
        self.tell(Change.JOB)
        return saved.path

    def why_not(self) -> Phrase:
        """Return why the program may not just be exported, in plain words; empty if it may."""
        return why_not(self.outcome, "stopped" if self.stopped else self.state)

    def export(self, path: Path, *, anyway: bool = False) -> Export:
        """Write the program, keeping the file before as a backup.

        Raises
        ------
        KerfproofError
            If it is not proven and not wanted `anyway`, of an older job, or can't be written.
        """
        if self.outcome is None or self.outcome.program is None or self.state != "current":
            raise KerfproofError(self.why_not() or "there is no program")
        why = self.why_not()
        if why and not anyway:
            raise KerfproofError(why)
        done = export(self.outcome, path, self.outcome.machine.extension, branded=bool(why))
        self.memory.put("export_folder", str(path.resolve().parent))
        return done
