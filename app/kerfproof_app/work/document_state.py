"""The job that is open, with its history: every change is a value on a stack, taken back and done again. No Qt."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from kerfproof.errors import Cancelled, KerfproofError, UnitUnknown
from kerfproof.job.job import Job
from kerfproof.memo import Memo
from kerfproof_app.shop.preferences import Memory
from kerfproof_app.work.documents import Document, JobDocument, ProgramDocument
from kerfproof_app.work.drawing_preview import DrawingPreview
from kerfproof_app.work.opening import Opening
from kerfproof_app.work.undo_history import History
from kerfproof_app.work.view_state import Change, Selection, View

if TYPE_CHECKING:
    from kerfproof.job.reading import Drawing


class Editing(View):
    """What is open, and its edits. Each asks for work to be done (`plan_again`), which is none of this.

    `state` is ``empty`` with nothing open, ``checking`` while `outcome` is of an older job than `job` (or None),
    ``current`` when they match, ``failed`` when the job can't be planned, or was `stopped` (`problem` says why;
    `outcome` is then the last good one and must not be taken for the job's).
    """

    def __init__(self, memory: Memory | None = None) -> None:
        super().__init__(memory)
        self.document: Document | None = None
        self.state = "empty"
        self.problem: KerfproofError | None = None
        self.question: UnitUnknown | None = None
        self.opening: Opening | None = None
        self._asked: Opening | None = None
        self._saved: Document | None = None
        self.keep_later: Callable[[], None] | None = None
        """Asked to see to it that `keep` is called soon; None: it is called at once."""
        self.preview: DrawingPreview | None = None
        """What is drawn, as long as there is no outcome."""
        self._looks = False
        """Whether the drawings are to be looked at before anything else is done."""
        self._number = 0
        self._memo = Memo()
        self._history = History()

    @property
    def number(self) -> int:
        """Counts what the work has been: each edit, undo and check of it has another."""
        return self._number

    @property
    def stopped(self) -> bool:
        """Whether the job was not planned because the person stopped it: nothing is wrong with it."""
        return self.state == "failed" and isinstance(self.problem, Cancelled)

    # --- what is open -------------------------------------------------------------------------------------

    @property
    def job(self) -> Job | None:
        """The job as the person has it now; None with nothing open, and for a program opened by itself."""
        return self.document.job if isinstance(self.document, JobDocument) else None

    @property
    def machine_name(self) -> str:
        """The machine that the job is for, or on which a program by itself is judged; empty with nothing open."""
        if self.document is None:
            return ""
        return self.document.machine if isinstance(self.document, ProgramDocument) else self.document.job.machine

    @property
    def sources(self) -> Mapping[str, bytes]:
        """The drawings' bytes by the names the job uses."""
        return {} if self.document is None else self.document.sources

    @property
    def name(self) -> str:
        """What the work is called."""
        return "" if self.document is None else self.document.name

    @property
    def unsaved(self) -> bool:
        """Whether the job differs from its file; a drawing just opened is nothing to save yet."""
        v, saved = self.document, self._saved
        if not isinstance(v, JobDocument):
            return False
        if not isinstance(saved, JobDocument):  # recovered after a crash
            return True
        return (v.job != saved.job or v.path != saved.path) and (v.path is not None or bool(self._history.done))

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """The drawings as they were read; also where nothing could be planned from them, or is not yet."""
        if self.outcome is not None:
            return self.outcome.drawings
        return () if self.preview is None else self.preview.drawings

    @property
    def verdict(self) -> str:
        """``checking``, ``PROVEN``, ``PROVEN WITH WARNINGS``, ``NOT PROVEN``, the first two qualified, or empty."""
        if self.state != "current" or self.outcome is None:
            return self.state if self.state in ("checking", "failed") else ""
        if self.outcome.program is None:
            return "NOT PROVEN"
        from kerfproof.api import verdict_of
        from kerfproof_app.work.program_outcome import ProgramOutcome

        compared = self.outcome.proved.compared if isinstance(self.outcome, ProgramOutcome) else True
        return verdict_of(self.findings, compared)

    # --- editing ------------------------------------------------------------------------------------------

    def change(self, label: str, **values: Any) -> None:
        """Give fields of the job other values. `label` says in a few words what was done (``move a lead``)."""
        if self.job is not None:
            self.edit(replace(self.job, **values), label)

    def edit(self, job: Job, label: str) -> None:
        """Make `job` the job, as one step that can be undone."""
        if isinstance(self.document, JobDocument) and job != self.job:
            self._step(replace(self.document, job=job), label)

    def judge_on(self, machine: str) -> None:
        """Judge the program that was opened by itself as one for another machine."""
        v = self.document
        if isinstance(v, ProgramDocument) and machine != v.machine:
            self._step(replace(v, machine=machine), f"judge it on {machine}")

    def remove_drawing(self, number: int) -> None:
        """Take a drawing and all that was chosen on it out of the job; the last one can't go."""
        from kerfproof_app.work.job_edits import without_drawing

        if self.job is not None:
            left = without_drawing(self.job, number)
            self.edit(left, f"remove {self.job.drawings[number].name}" if left is not self.job else "")

    def _step(self, after: Document, label: str) -> None:
        before = self.document
        if before is not None:
            self._history.did(label, before, after)
        self._put(after)

    def _put(self, document: Document | None, *, plan: bool = True) -> None:
        old, self.document = self.document, document
        if document is None or old is None or document.sources.keys() != old.sources.keys():
            self.selection, self.preview = Selection(), None
        if plan:
            self.plan_again()
        if self.keep_later is None:
            self.keep()
        else:
            self.keep_later()
        self.tell(Change.JOB)

    def plan_again(self) -> None:
        """Ask for the work to be done anew, for instance after a machine file changed."""
        self._number += 1
        self.problem = None
        self.state = "empty" if self.document is None else "checking"
        self._looks = self.outcome is None and self.job is not None
        self.tell(Change.STATE)

    @property
    def undo_label(self) -> str:
        """What undo would take back; empty for nothing."""
        return self._history.done[-1].label if self._history.done else ""

    @property
    def redo_label(self) -> str:
        """What redo would do again; empty for nothing."""
        return self._history.undone[-1].label if self._history.undone else ""

    def undo(self) -> None:
        """Take the last step back."""
        before = self._history.back(self.document)
        if before is not None:
            self._put(before)

    def redo(self) -> None:
        """Do the step last taken back again."""
        after = self._history.again(self.document)
        if after is not None:
            self._put(after)

    def keep(self) -> None:
        """Keep the work so that a crash loses nothing."""
        v = self.document
        if isinstance(v, JobDocument):
            from kerfproof.job.job_file import write_job

            self.memory.keep(self.name, write_job(v.job, None), v.sources, v.path)
        else:
            self.memory.forget()
