"""One thing to do about a finding. No Qt."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from kerfproof.errors import Finding
from kerfproof.job.job import Job
from kerfproof.outcome import Outcome


@dataclass(frozen=True, slots=True)
class Fix:
    """One thing to do: the words of its button, the words of the history, and the job it leads to.

    Where the cure lies in the machine's file, `job` is None and `field` is the key path to look at.
    """

    label: str
    change: str
    job: Job | None = None
    field: str = ""


def lower(label: str) -> str:
    """Return the words of a button for the history, as they stand after a colon."""
    return f"{label[:1].lower()}{label[1:]}"


def offer(job: Job, label: str, change: str = "", **values: Any) -> Fix:
    """Return a fix that gives fields of the job other values; `change` are the words of the history if others."""
    return Fix(label, change or lower(label), replace(job, **values))


FixMaker = Callable[[Finding, Job, Outcome | None], Iterator[Fix]]
