"""What a worker process does with one drawing: read, plan, prove, write, and tell what came of it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from importlib.metadata import version
from pathlib import Path
from typing import Any

from kerfproof import api
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.job import Job
from kerfproof.outcome import Outcome
from kerfproof.report.data import finding_record, report, verdict
from kerfproof.wording import said
from kerfproof_app import store
from kerfproof_app.batch.folder import shown
from kerfproof_app.batch.result import INTERRUPTED, Result, State
from kerfproof_app.batch.thumbnail import thumbnail

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


def key_of(task: Task, data: bytes) -> str:
    """Return what stands for all that the result depends on: the drawing, the settings, the shop, the version."""
    said = (version("kerfproof"), task.name, task.program, task.job, task.reading, task.shop, task.assumed, task.notes)
    return hashlib.sha256(repr(said).encode("utf-8", "surrogatepass") + b"\0" + data).hexdigest()[:32]


def make(task: Task) -> Result:
    """Return what became of a drawing; its program is written if it is proven, else nothing is."""
    try:
        data = store.read_bytes(task.source)
    except KerfproofError as error:
        return _stopped(task, State.UNREADABLE, _reason(error, task))
    key = key_of(task, data)
    try:
        outcome = api.plan(task.job, {task.job.drawings[0].name: data}, task.shop, task.reading)
    except KerfproofError as error:
        return _stopped(task, _state_of(error, task, data), _reason(error, task), key)
    except Exception as error:  # one drawing must not stop the others
        return _stopped(task, State.FAILED, f"this should not have happened ({type(error).__name__}: {error})")
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
    try:
        task.target.parent.mkdir(parents=True, exist_ok=True)
        store.write_bytes(task.target, data)
    except KerfproofError as error:
        return _stopped(task, State.FAILED, _reason(error, task))
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        return _stopped(task, State.FAILED, f"the folder of {shown(task.program)} can't be made: {reason}")
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
            {**finding_record(f), "sentence": said(f.sentence(), outcome.machine.inches)}
            for f in ranked[:MOST_FINDINGS]
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


def _state_of(error: KerfproofError, task: Task, data: bytes) -> State:
    """Return whether the drawing can't be read at all, or was read and can't be cut as asked."""
    try:
        api.read(data, task.job.drawings[0].name, task.reading)
    except KerfproofError:
        return State.UNREADABLE
    return State.REFUSED


def _reason(error: KerfproofError, task: Task) -> str:
    """Return the sentence without the name of the drawing, which stands beside it."""
    where = error.where
    if where in (str(task.source), task.job.drawings[0].name, task.name):
        where = ""
    text = f"{where}: {error.what}" if where else error.what
    told = said(f"{text} ({error.advice})" if error.advice else text, task.shop.machine.inches)
    return shown(" ".join(told.split()))
