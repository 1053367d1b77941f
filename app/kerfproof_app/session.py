"""What is open now: the job with its history, what it became, and what is looked at. No Qt, no threads of its own.

All changes are values: an edit puts a new `Job` on a stack. The work that an edit causes is a task, which anyone may
run (`Planning.run`, `Opening.run`) and bring back with `take` or `fail`; what was overtaken by a newer edit is dropped.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.errors import Cancelled, KerfproofError, UnitUnknown, Watch, no_watch
from kerfproof.job import Job
from kerfproof.jobfile import write_job
from kerfproof.outcome import Outcome
from kerfproof_app.handwork import without_drawing
from kerfproof_app.history import History
from kerfproof_app.memory import Memory, Unfinished
from kerfproof_app.opening import Opening, Version, new_job
from kerfproof_app.planning import Judged, Planning
from kerfproof_app.saving import Export, export, save_job, why_not
from kerfproof_app.view import Listener, Selection, View

Task = Opening | Planning


class Session(View):
    """One open piece of work. Listeners are told ``job``, ``outcome``, ``state``, ``selection``, ``moment``.

    Further words: ``question`` (a unit is asked for), ``notice`` (something to tell), ``units`` (mm or inch shown).
    `state` is ``empty`` with nothing open, ``checking`` while `outcome` is of an older job than `job` (or None),
    ``current`` when they match, ``failed`` when the job can't be planned (`problem` says why; `outcome` is then the
    last good one and must not be taken for the job's).
    """

    def __init__(self, memory: Memory | None = None) -> None:
        super().__init__(memory)
        self.version: Version | None = None
        self.state = "empty"
        self.problem: KerfproofError | None = None
        self.question: UnitUnknown | None = None
        self.opening: Opening | None = None
        self._asked: Opening | None = None
        self._saved: Version | None = None
        self.keep_later: Callable[[], None] | None = None
        """Asked to see to it that `keep` is called soon; None: it is called at once."""
        self._number = 0
        self._bench = api.Bench()
        self._history = History()

    # --- what is open -------------------------------------------------------------------------------------

    @property
    def job(self) -> Job | None:
        """The job as the person has it now; None with nothing open, and for a program opened by itself."""
        return None if self.version is None or self.version.program is not None else self.version.job

    @property
    def sources(self) -> Mapping[str, bytes]:
        """The drawings' bytes by the names the job uses."""
        return {} if self.version is None else self.version.sources

    @property
    def name(self) -> str:
        """What the work is called."""
        v = self.version
        if v is None:
            return ""
        if v.path is not None:
            return v.path.name
        return v.program_name or ", ".join(use.name for use in v.job.drawings)

    @property
    def unsaved(self) -> bool:
        """Whether the job differs from its file; a drawing just opened is nothing to save yet."""
        v, saved = self.version, self._saved
        if v is None or v.program is not None:
            return False
        if saved is None:  # recovered after a crash
            return True
        return (v.job != saved.job or v.path != saved.path) and (v.path is not None or bool(self._history.done))

    @property
    def drawings(self) -> tuple[api.Drawing, ...]:
        """The drawings as they were read; also where nothing could be planned from them."""
        job = self.job
        if self.outcome is not None or job is None or self.state != "failed":
            return () if self.outcome is None else self.outcome.drawings
        found = []
        for use in job.drawings:
            with suppress(KerfproofError):
                found.append(self._bench.read(self.sources[use.name], use.name, api.reading(job, use)))
        return tuple(found)

    @property
    def verdict(self) -> str:
        """``checking``, ``PROVEN``, ``PROVEN WITH WARNINGS``, ``NOT PROVEN``, the first two qualified, or empty."""
        if self.state != "current" or self.outcome is None:
            return self.state if self.state in ("checking", "failed") else ""
        if self.outcome.program is None:
            return "NOT PROVEN"
        compared = self.outcome.proved.compared if isinstance(self.outcome, Judged) else True
        return api.verdict_of(self.findings, compared)

    # --- editing ------------------------------------------------------------------------------------------

    def change(self, label: str, **values: Any) -> None:
        """Give fields of the job other values. `label` says in a few words what was done (``move a lead``)."""
        if self.job is not None:
            self.edit(replace(self.job, **values), label)

    def edit(self, job: Job, label: str) -> None:
        """Make `job` the job, as one step that can be undone."""
        if self.version is not None and job != self.job:
            self._step(replace(self.version, job=job), label)

    def judge_on(self, machine: str) -> None:
        """Judge the program that was opened by itself as one for another machine."""
        v = self.version
        if v is not None and v.program is not None and machine != v.job.machine:
            self._step(replace(v, job=replace(v.job, machine=machine)), f"judge it on {machine}")

    def remove_drawing(self, number: int) -> None:
        """Take a drawing and all that was chosen on it out of the job; the last one can't go."""
        if self.job is not None:
            left = without_drawing(self.job, number)
            self.edit(left, f"remove {self.job.drawings[number].name}" if left is not self.job else "")

    def _step(self, after: Version, label: str) -> None:
        before = self.version
        if before is not None:
            self._history.did(label, before, after)
        self._put(after)

    def _put(self, version: Version | None, *, plan: bool = True) -> None:
        old, self.version = self.version, version
        if version is None or old is None or version.sources.keys() != old.sources.keys():
            self.selection = Selection()
        if plan:
            self.plan_again()
        if self.keep_later is None:
            self.keep()
        else:
            self.keep_later()
        self.tell("job")

    def plan_again(self) -> None:
        """Ask for the work to be done anew, for instance after a machine file changed."""
        self._number += 1
        self.problem = None
        self.state = "empty" if self.version is None else "checking"
        self.tell("state")

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
        before = self._history.back(self.version)
        if before is not None:
            self._put(before)

    def redo(self) -> None:
        """Do the step last taken back again."""
        after = self._history.again(self.version)
        if after is not None:
            self._put(after)

    # --- work ---------------------------------------------------------------------------------------------

    def next_task(self) -> Task | None:
        """Return what there is to be computed: files to open first, else the job as it is now; None: nothing."""
        if self.opening is not None:
            return self.opening
        if self.state == "checking" and self.version is not None:
            return Planning(self._number, self.version, self._bench)
        return None

    def take(self, task: Task, result: Version | Outcome) -> None:
        """Take what a task made; what is older than the last edit is dropped."""
        if isinstance(task, Opening):
            if task is self.opening and isinstance(result, Version):
                self._opened(task, result)
        elif task.number == self._number and isinstance(result, Outcome):
            self.outcome, self.state, self.problem = result, "current", None
            line = self.timeline
            self.moment_s = 0.0 if line is None else min(self.moment_s, line.seconds)
            numbers = {f.number for f in result.parts.features}
            kept = tuple(n for n in self.selection.features if n in numbers)
            self.selection = Selection(kept)
            self.tell("outcome", "state")

    def fail(self, task: Task, error: KerfproofError) -> None:
        """Take why a task could not be done. A file that does not open leaves the work as it is."""
        if isinstance(task, Opening):
            if task is not self.opening:
                return
            self.opening = None
            if isinstance(error, UnitUnknown):
                self._asked, self.question = task, error
                self.tell("question", "state")
            elif not isinstance(error, Cancelled):
                self.say(str(error))
                self.tell("state")
        elif task.number == self._number:
            if isinstance(error, Cancelled):
                error = KerfproofError("the check was stopped", advice="press check again to go on")
            self.problem, self.state = error, "failed"
            self.tell("state")

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
            onto = self.version if add else None
            self.question, self._asked = None, None
            self.opening = Opening(tuple(paths)) if onto is None else Opening(tuple(paths), onto, bench=self._bench)
            self.tell("question", "state")

    def answer_unit(self, mm_per_unit: float | None) -> None:
        """Answer the question of a drawing's unit; None gives the drawing up."""
        if self._asked is not None and self.question is not None:
            asked, name = self._asked, self.question.where
            self.question, self._asked = None, None
            self.opening = None if mm_per_unit is None else asked.with_unit(name, mm_per_unit)
            self.tell("question", "state")

    def _opened(self, task: Opening, version: Version) -> None:
        self.opening, self._bench = None, task.bench
        for path in reversed(task.paths):
            self.memory.remember(path)
        self.say("")
        if task.onto is None:
            self.outcome, self.moment_s = None, 0.0
            self._saved = version
        did = "open" if task.onto is None else "add" if version.program is None else "compare with"
        label = f"{did} {', '.join(path.name for path in task.paths)}"
        if self.version is None:
            self._put(version)
        else:
            self._step(version, label)
        self.tell("outcome")

    def recover(self, work: Unfinished) -> None:
        """Go on with work that was not closed."""
        from kerfproof.jobfile import parse_job

        job = parse_job(work.text, work.name)
        self.outcome, self._saved, self._history = None, None, History()
        folder = work.path.parent if work.path else None
        self._put(Version(job=job, sources=work.sources, path=work.path, text=work.text, folder=folder))
        self.memory.forget(work.folder)
        self.tell("outcome")

    def close(self) -> None:
        """Put the work away; nothing is asked and nothing kept."""
        self.version = self.outcome = self.problem = self.question = self.opening = self._saved = None
        self._history, self.selection, self.moment_s, self.state = History(), Selection(), 0.0, "empty"
        self._number += 1
        self._bench = api.Bench()
        self.memory.forget()
        self.tell("job", "outcome", "state")

    # --- saving -------------------------------------------------------------------------------------------

    def keep(self) -> None:
        """Keep the work so that a crash loses nothing."""
        v = self.version
        if v is not None and v.program is None:
            self.memory.keep(self.name, write_job(v.job, None), v.sources, v.path)
        else:
            self.memory.forget()

    def save(self, path: Path | None = None) -> Path:
        """Save the job (to `path`, else to its own file) with its drawings beside it, and return where.

        Raises
        ------
        KerfproofError
            If it has no file yet, or can't be written.
        """
        v = self.version
        if v is None or v.program is not None:
            raise KerfproofError("there is no job to save")
        saved = save_job(v, path or v.path)
        assert saved.path is not None
        self.version = self._saved = saved
        self.memory.remember(saved.path)
        self.keep()
        self.tell("job")
        return saved.path

    def why_not(self) -> str:
        """Return why the program may not just be exported, in plain words; empty if it may."""
        return why_not(self.outcome, self.state)

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
        done = export(self.outcome, path, branded=bool(why))
        self.memory.put("export_folder", str(path.resolve().parent))
        return done


def fresh(memory: Memory | None = None) -> Session:
    """Return a session with nothing open."""
    return Session(memory)


__all__ = ["Listener", "Selection", "Session", "Task", "fresh", "new_job"]
