"""What a worker process does with one drawing: read, plan, prove, write, and tell what came of it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from importlib.metadata import version
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.errors import Finding, KerfproofError, Severity, no_watch
from kerfproof.job.job import Job
from kerfproof.job.reading import read_once
from kerfproof.memo import Memo
from kerfproof.outcome import Outcome
from kerfproof.report.data.job_report import finding_record, report, verdict
from kerfproof_app.batch.folder import shown
from kerfproof_app.batch.result import INTERRUPTED, Result, State
from kerfproof_app.batch.thumbnail import sketch, thumbnail
from kerfproof_app.shop import store

MOST_FINDINGS = 40
"""Findings kept of one drawing; how many more there were is kept too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One drawing to cut: paths and settings, nothing read yet. `program` is the path below `out`."""

    name: str
    source: Path
    out: Path
    program: str
    job: Job
    reading: api.ReadSettings
    shop: api.Shop
    assumed: str = ""
    notes: tuple[Finding, ...] = ()

    @property
    def target(self) -> Path:
        """Where the program goes."""
        return self.out / self.program


def kin_of(task: Task, data: bytes) -> str:
    """Return what stands for the drawing, the settings, the shop and the version, wherever the drawing lies."""
    told = (version("kerfproof"), task.job, task.reading, task.shop, task.assumed, task.notes)
    return hashlib.sha256(repr(told).encode("utf-8", "surrogatepass") + b"\0" + data).hexdigest()[:32]


def key_of(task: Task, kin: str) -> str:
    """Return what stands for all that the result depends on: its kin, and where drawing and program lie."""
    told = repr((kin, task.name, task.program))
    return hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def make(task: Task) -> Result:
    """Return what became of a drawing; its program is written if it is proven, else nothing is."""
    try:
        return _made(task)
    except Exception as error:  # one drawing must not stop the others
        return _stopped(task, State.FAILED, f"this should not have happened ({type(error).__name__}: {error})")


def _made(task: Task) -> Result:
    use, memo, drawing = task.job.drawings[0], Memo(), None
    try:
        data = store.read_bytes(task.source)
    except KerfproofError as error:
        return _stopped(task, State.UNREADABLE, _reason(error, task))
    key = key_of(task, kin_of(task, data))
    try:
        drawing = read_once(memo, data, use.name, api.reading(task.job, use, task.reading), no_watch)
        outcome = api.Bench(memo.sealed()).plan(task.job, {use.name: data}, task.shop, task.reading)
    except KerfproofError as error:
        if drawing is None:
            return _stopped(task, State.UNREADABLE, _reason(error, task), key)
        return replace(_stopped(task, State.REFUSED, _reason(error, task), key), picture=sketch(drawing))
    return _written(task, outcome, key)


def _written(task: Task, outcome: Outcome, key: str) -> Result:
    """Write the program if it is proven, and return the result."""
    findings = (*task.notes, *outcome.findings)
    bad = not outcome.ok or verdict(outcome) == "NOT PROVEN"
    values = _values(task, outcome, findings)
    if bad or outcome.program is None:
        reason = "" if any(f.severity is Severity.ERROR for f in findings) else "no program came out"
        return Result(name=task.name, state=State.REFUSED, code=1, key=key, reason=reason, **values)
    data = outcome.program.text.encode("ascii")
    problem = _put(task, data)
    if problem:
        return _stopped(task, State.FAILED, problem)
    warned = any(f.severity is Severity.WARNING for f in findings)
    return Result(
        name=task.name,
        state=State.WARNED if warned else State.PROVEN,
        code=0,
        key=key,
        program=task.program,
        digest=hashlib.sha256(data).hexdigest(),
        **values,
    )


def _put(task: Task, program: bytes) -> str:
    """Write the program; return why it can't be written, empty if it is."""
    try:
        task.target.parent.mkdir(parents=True, exist_ok=True)
        store.write_bytes(task.target, program)
    except KerfproofError as error:
        return _reason(error, task)
    except OSError as error:
        return f"the folder of {shown(task.program)} can't be made: {store.reason_of(error)}"
    return ""


def like(task: Task, kin: str, result: Result, first: Task) -> Result | None:
    """Return what becomes of a drawing that is of the same `kin` as that of the `first` task and lies elsewhere.

    None: that can't be told from the `result` of the other.
    """
    if not result.key or result.key != key_of(first, kin):
        return None
    own = replace(result, name=task.name, key=key_of(task, kin))
    if not result.program:
        return own
    try:
        program = store.read_bytes(first.target)
    except KerfproofError:
        return None
    if hashlib.sha256(program).hexdigest() != result.digest or _put(task, program):
        return None
    return replace(own, program=task.program)


def _values(task: Task, outcome: Outcome, findings: tuple[Finding, ...]) -> dict[str, Any]:
    data = report(outcome)
    program, size = data["program"], data["drawing"]["size_mm"]
    order = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    ranked = sorted(dict.fromkeys(findings), key=lambda f: order.index(f.severity))
    return {
        **_common(task),
        "material": outcome.process.material,
        "thickness": outcome.process.thickness,
        "parts": len(outcome.parts.parts),
        "holes": sum(len(part.holes) for part in outcome.parts.parts),
        "width": size[0] if size else None,
        "height": size[1] if size else None,
        "pierces": program["pierces"],
        "starts_per_tip": outcome.process.starts_per_tip,
        "cut_length": program["cut_length_mm"],
        "torch_on_s": program["torch_on_s"],
        "run_s": program["run_s"],
        "findings": tuple(
            {**finding_record(f), "sentence": f.sentence(outcome.machine.inches)} for f in ranked[:MOST_FINDINGS]
        ),
        "more_findings": max(0, len(ranked) - MOST_FINDINGS),
        "picture": thumbnail(outcome),
    }


def _common(task: Task) -> dict[str, Any]:
    return {"machine": task.shop.machine.name, "assumed": task.assumed, "count": task.job.drawings[0].count}


def _stopped(task: Task, state: State, reason: str, key: str = "") -> Result:
    return Result(
        name=task.name,
        state=state,
        code=2,
        reason=reason,
        key=key,
        material=task.job.material,
        thickness=task.job.thickness,
        **_common(task),
    )


def failed(task: Task, reason: str) -> Result:
    """Return the result of a drawing that no process could finish."""
    return _stopped(task, State.FAILED, reason)


def left_over(task: Task, program: bool) -> Result:
    """Return how a drawing stands that the run was stopped before; `program`: an older one of it lies there."""
    older = "; the program that lies there is an older one" if program else ""
    return replace(_stopped(task, State.LEFT, f"not done: the run was stopped before it{older}"), code=INTERRUPTED)


def _reason(error: KerfproofError, task: Task) -> str:
    """Return the sentence without the name of the drawing, which stands beside it."""
    where = error.where
    if where in (str(task.source), task.job.drawings[0].name, task.name):
        where = ""
    told = KerfproofError(error.problem, where=where, advice=error.remedy).told(task.shop.machine.inches)
    return shown(" ".join(told.split()))
