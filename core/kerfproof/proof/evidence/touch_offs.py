"""Which touch-off each light-up relies on, and how many starts rely on it or on one like it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.gcode.dialect import Dialect, Guard
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.proof.evidence.simulated_table import Search, reads_trip
from kerfproof.proof.limits import SHIFTED_TOUCH

AT_HAND = 6.0
"""At a stop so low (mm) over the plate it touched nobody changes a tip."""


@dataclass(frozen=True, slots=True, eq=False)
class TouchOffs:
    """How the plate was found for each light-up (k,).

    `search` is the last one before it, -1 without any; `searches` how many were made at that place; `own` whether it
    was made since the light-up before; `apart` how far (mm) it lies from the light-up; `since_before` how far from the
    touch-off before it; `halted` whether the operator may have been at the torch between the cut before and this
    touch-off, or this light-up where it has none; `halted_after` whether they may have been there, with the torch away
    from where it touched, between its own touch-off and this light-up; `left_out` how many light-ups up to this one
    have none of their own.
    """

    search: Ints
    searches: Ints
    own: Bools
    apart: Floats
    since_before: Floats
    halted: Bools
    halted_after: Bools
    left_out: Ints


def guarded(control: Dialect) -> bool:
    """Return whether programs for a control can stop themselves at a trip that is out of the plate band."""
    return reads_trip(control) and control.guard is not Guard.NONE


def touch_offs(trace: Trace, height: Floats, lights: Ints, searches: Sequence[Search], search_rows: Ints) -> TouchOffs:
    """Return how the plate was found for each light-up of a program; its arguments as in `Evidence`."""
    n, last = len(lights), np.searchsorted(search_rows, lights) - 1
    before = np.append(-1, lights[:-1])[:n]
    apart, since, counts = np.full(n, np.inf), np.full(n, np.inf), np.zeros(n, dtype=np.int64)
    own, since_stop, after = np.zeros(n, dtype=np.bool_), lights.copy(), np.zeros(n, dtype=np.bool_)
    stops = np.flatnonzero(np.isin(trace.kind, (Step.STOP, Step.OPTIONAL_STOP)))
    found = np.flatnonzero(last >= 0)
    if len(found):
        at, number = lights[found], last[found]
        places = np.array([search.probed.rest[:2] for search in searches])
        pierces = np.array([search.pierce for search in searches])
        first = np.searchsorted(pierces, pierces[number])  # of those made at the same place
        apart[found] = np.hypot(*(places[number] - trace.end[at, :2]).T)
        counts[found] = number - first + 1
        since[found] = np.where(first > 0, np.hypot(*(places[number] - places[first - 1]).T), np.inf)
        own[found] = search_rows[number] > before[found]
        since_stop[found] = np.where(own[found], search_rows[first], at)
        low, high = np.searchsorted(stops, search_rows[number]), np.searchsorted(stops, at)
        for k in np.flatnonzero(own[found] & (high > low)).tolist():
            mine = stops[low[k] : high[k]]
            away = np.hypot(*(trace.end[mine, :2] - places[number[k]]).T) > SHIFTED_TOUCH
            after[found[k]] = bool((away | ~(height[mine, 1] <= AT_HAND)).any())
    halted = np.searchsorted(stops, before) < np.searchsorted(stops, since_stop)
    count = np.arange(n)
    left_out = count - np.maximum.accumulate(np.where(own, count, -1)) if n else count
    return TouchOffs(last, counts, own, apart, since, halted, after, left_out)
