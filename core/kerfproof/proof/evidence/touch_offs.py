"""Which touch-off each light-up relies on, and how many starts rely on it or on one like it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.gcode.dialect import Guard
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.simulated_table import reads_trip
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


def guarded(e: Evidence) -> bool:
    """Return whether programs for this control can stop themselves at a trip that is out of the plate band."""
    return reads_trip(e.control) and e.control.guard is not Guard.NONE


def touch_offs(e: Evidence) -> TouchOffs:
    """Return how the plate was found for each light-up of a program."""
    lights, last = e.lights, e.searches_before(e.lights)
    n = len(lights)
    places = np.array([search.probed.rest[:2] for search in e.searches], dtype=np.float64).reshape(-1, 2)
    before = np.append(-1, lights[:-1]) if n else lights
    rows = np.append(e.search_rows, -1)[last]
    own = (last >= 0) & (rows > before)
    apart, since, counts = np.full(n, np.inf), np.full(n, np.inf), np.zeros(n, dtype=np.int64)
    halted, after, left_out = np.zeros(n, dtype=np.bool_), np.zeros(n, dtype=np.bool_), np.zeros(n, dtype=np.int64)
    stops = e.rows(Step.STOP, Step.OPTIONAL_STOP)
    for k in range(n):
        number = int(last[k])
        if number >= 0:
            apart[k] = np.hypot(*(places[number] - e.trace.end[lights[k], :2]))
            first = number
            while first and e.searches[first - 1].pierce == e.searches[number].pierce:
                first -= 1
            counts[k] = number - first + 1
            if first:
                since[k] = np.hypot(*(places[number] - places[first - 1]))
        until = int(e.search_rows[number - counts[k] + 1]) if own[k] else int(lights[k])
        halted[k] = np.searchsorted(stops, before[k]) < np.searchsorted(stops, until)
        if own[k]:
            mine = stops[slice(*np.searchsorted(stops, (rows[k], int(lights[k]))))]
            away = np.hypot(*(e.trace.end[mine, :2] - places[number]).T) > SHIFTED_TOUCH
            after[k] = bool((away | ~(e.height[mine, 1] <= AT_HAND)).any())
        left_out[k] = 0 if own[k] else 1 + (left_out[k - 1] if k else 0)
    return TouchOffs(last, counts, own, apart, since, halted, after, left_out)
