"""What a program does otherwise under a control that another job left in other modes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kerfproof.gcode.trace import StartState, Step, Trace
from kerfproof.geom.path import Bools
from kerfproof.proof.rule import Hit
from kerfproof.sentence import say
from kerfproof.shop.profile import Machine, TouchOff

_AT_TOP = "state units, modes and frame at the top"
_STATED = {
    "units": "G20 or G21",
    "distance": "G90",
    "plane": "G17",
    "system": "the work offset",
    "compensation": "G40",
    "feed_mode": "G94",
}
_MOVES = (Step.RAPID, Step.FEED, Step.ARC)


def place_of(trace: Trace, row: int) -> tuple[int, tuple[float, float]]:
    """Return line and program coordinates of the end of a row."""
    x, y = trace.end[row, :2] - np.array(trace.xy_origin)
    return int(trace.line[row]), (float(x), float(y))


def inherited(trace: Trace, start: StartState, clean: Trace, machine: Machine, mode: str) -> Iterator[Hit]:
    """Tell where motion under a stale control differs from motion under a fresh one (`clean`)."""
    fine = {unread.line for unread in clean.unread if unread.error}
    for unread in trace.unread:
        if unread.error and unread.line not in fine:
            advice = _advice(trace, unread.line)
            yield Hit(say("the control refuses this line: {reason}", reason=unread.told), advice, unread.line)
            return
    if start.compensation:
        shifted = _before(trace, "length", slice(2, 3)) if machine.touch_off is TouchOff.NONE else None
        if shifted is not None and not trace.text[shifted].startswith("G53"):
            line, at = place_of(trace, shifted)
            yield Hit("a tool length left on (G43) shifts this height", "state G49 at the top", line, at)
            return
        beside = _before(trace, "compensation", slice(0, 2))
        if beside is not None:
            line, at = place_of(trace, beside)
            yield Hit("the control still moves aside by a tool radius (G41)", "state G40 at the top", line, at)
            return
    first, clean_first = _first_own(trace), _first_own(clean)
    finds = mode in ("cut", "touch")
    if not finds or machine.touch_off is TouchOff.NONE:
        first = clean_first = 0
    n = min(len(trace) - first, len(clean) - clean_first)
    axes = slice(0, 3) if finds or machine.z_homed else slice(0, 2)
    rows, others = slice(first, first + n), slice(clean_first, clean_first + n)
    own = np.isin(trace.kind[rows], (*_MOVES, Step.PROBE))
    if not finds or machine.touch_off is TouchOff.NONE:
        own &= np.cumsum(own) > 1  # the very first move starts wherever the torch was parked
    apart = own & (np.abs(trace.end[rows, axes] - clean.end[others, axes]) > 1e-3).any(axis=1)
    apart &= ~_raised_alike(trace, clean, rows, others)
    if start.inverse_time:
        apart |= own & (np.abs(trace.feed[rows] - clean.feed[others]) > 1e-3 * clean.feed[others])
    apart |= trace.kind[rows] != clean.kind[others]
    wrong = np.flatnonzero(apart)
    if len(wrong) or len(trace) - first != len(clean) - clean_first:
        row = first + (int(wrong[0]) if len(wrong) else n - 1)
        line, at = place_of(trace, row)
        why = f": {trace.stopped.reason}" if trace.stopped is not None else ""
        yield Hit(f"the motion is another from here on{why}", _advice(trace, line), line, at)


def _raised_alike(trace: Trace, clean: Trace, rows: slice, others: slice) -> Bools:
    """Return which rows stand apart in Z alone, torch off, by where the torch was when the program set its own datum.

    That is no inherited state: it was parked elsewhere. What the height is used for later is judged by itself.
    """
    quiet = ~trace.torch[rows] & (trace.kind[rows] != Step.PROBE)
    alike = np.abs(trace.frame_z[rows, 1] - clean.frame_z[others, 1]) < 1e-6
    alike &= (trace.datum[rows] >= 0) & (trace.datum[rows] == clean.datum[others])
    there = np.abs(trace.end[rows, :2] - clean.end[others, :2]).max(axis=1, initial=0.0) <= 1e-3
    return np.asarray(quiet & alike & there)


def _first_own(trace: Trace) -> int:
    """Return the first row whose height the program has found itself: its first search."""
    rows = np.flatnonzero(trace.kind == Step.PROBE)
    return int(rows[0]) if len(rows) else len(trace)


def _before(trace: Trace, group: str, axes: slice) -> int | None:
    """Return the first move of some axes before any word of a modal group, None without one."""
    said = trace.changes.of(group)
    moved = np.isin(trace.kind, _MOVES) & (trace.start != trace.end)[:, axes].any(axis=1)
    rows = np.flatnonzero(moved & (trace.line < said[0].line if said else True))
    return int(rows[0]) if len(rows) else None


def _advice(trace: Trace, line: int) -> str:
    """Return advice that names what the program has not stated up to a line."""
    missing = [word for group, word in _STATED.items() if not any(c.line <= line for c in trace.changes.of(group))]
    return f"state {', '.join(missing)} at the top" if missing else _AT_TOP
