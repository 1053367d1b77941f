"""A dialect, and programs read with it, for tests of the interpreter and of what builds on it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from kerfproof.gcode.dialect import Dialect, Guard, ProbeMiss
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.trace import Step, Trace

PUBLISHED = Dialect(
    name="published",
    title="RS-274/NGC as published",
    probe_word="G38.2",
    probe_miss=ProbeMiss.STOPS,
    expressions=True,
    trip_parameter=5063,
    guard=Guard.SQRT,
)
SKIP_MACRO = replace(
    PUBLISHED,
    name="skip_macro",
    probe_word="G31",
    probe_miss=ProbeMiss.SILENT,
    guard=Guard.COMPARE,
    guard_below="IF [{value} LT {limit}] THEN #3000=1 (touch-off too low)",
    guard_above="IF [{value} GT {limit}] THEN #3000=1 (touch-off too high)",
)


def read(*lines: str, control: Dialect = PUBLISHED, **more: Any) -> Trace:
    """Return the trace of a program given line by line."""
    return interpret("\n".join(lines) + "\n", control, **more)


def kinds(trace: Trace) -> list[Step]:
    """Return the kinds of all rows."""
    return [Step(k) for k in trace.kind]


def errors(trace: Trace) -> list[tuple[int, str]]:
    """Return line and reason of all that a control would refuse."""
    return [(u.line, u.reason) for u in trace.unread if u.error]
