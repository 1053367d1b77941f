"""What one drawing of the batch became, as plain values that travel between processes and into files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields
from enum import StrEnum
from typing import Any

FORMAT = 1
"""Version of the state file's and the report's layout."""


INTERRUPTED = 130
"""Exit code of a run that the person stopped."""


class State(StrEnum):
    """How it ended, worst first."""

    FAILED = "failed"
    """No fault of the drawing: the process died or ran too long, or nothing could be written."""
    UNREADABLE = "unreadable"
    REFUSED = "refused"
    """Read, but no program: errors were found, or it can't be cut as asked."""
    LEFT = "left"
    """Not done: the person stopped the run before it."""
    WARNED = "proven with warnings"
    PROVEN = "proven"


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """One drawing. Lengths mm, times s; None or empty where it did not get so far.

    `name` and `program` are paths below the two folders. `code` is the exit code that cutting this drawing alone
    would have given, or `INTERRUPTED`. `key` stands for all that the result depends on, `digest` for the program's
    bytes.
    """

    name: str
    state: State
    code: int
    reason: str = ""
    program: str = ""
    key: str = ""
    digest: str = ""
    machine: str = ""
    material: str = ""
    thickness: float | None = None
    assumed: str = ""
    count: int = 1
    parts: int | None = None
    holes: int | None = None
    width: float | None = None
    height: float | None = None
    pierces: int | None = None
    starts_per_tip: int = 0
    cut_length: float | None = None
    torch_on_s: float | None = None
    run_s: float | None = None
    findings: tuple[dict[str, Any], ...] = ()
    more_findings: int = 0
    picture: str = ""
    """A small picture for a page: SVG, or a PNG as data address where the SVG would be long."""

    def worst(self) -> str:
        """Return the sentence that tells most: why there is no program, or the first error or warning."""
        if self.reason:
            return self.reason
        told = [f["sentence"] for f in self.findings if f["severity"] in ("error", "warning")]
        return told[0] if told else ""

    def count_of(self, severity: str) -> int:
        """Return how many of the findings weigh so much."""
        return sum(f["severity"] == severity for f in self.findings)

    def record(self) -> dict[str, Any]:
        """Return all as plain data."""
        return {**asdict(self), "state": str(self.state), "findings": list(self.findings)}


def result_of(record: Mapping[str, Any]) -> Result:
    """Return a result from its record.

    Raises
    ------
    ValueError, KeyError, TypeError
        If this is no record of a result.
    """
    known = {field.name for field in fields(Result)}
    values = {key: value for key, value in record.items() if key in known}
    return Result(**{**values, "state": State(record["state"]), "findings": tuple(record["findings"])})


def counts(results: Iterable[Result]) -> dict[State, int]:
    """Return how many ended how, best first; ways that never came are there with 0."""
    found = Counter(result.state for result in results)
    return {state: found[state] for state in reversed(State)}


def exit_code(results: Iterable[Result]) -> int:
    """Return the highest code that any drawing alone would have given."""
    return max((result.code for result in results), default=0)
