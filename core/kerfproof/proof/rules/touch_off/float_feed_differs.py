"""A datum from a touch at another feed than the float was measured at.

Finds: on a floating head, a datum from a search at more than twice or less than half the feed at which the float was
measured: the last one before it, or, where the program goes back to the trip of an earlier one, that.

Matters: the float holds for one feed: how far the carriage runs on, and when the control notices the switch, go with
it.

Bad::

    Program: search
    G38.2 Z-84 F150 -> G38.2 Z-84 F1000
    G1 Z#5063 F60
    G4 P0.2
    G92 Z-19.05
    G4 P0.1
    G1 Z-1 F1000
    M3

Good::

    Given: touched
    M3

Do: make the last touch at the feed of the measurement, or measure the float again.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, mm_min, say
from kerfproof.shop.profile import TouchOff

SAME = 1e-3
"""Places in Z nearer than this are one: programs are rounded to a tenth of it."""


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.machine.touch_off is not TouchOff.FLOAT:
        return
    told: set[int] = set()
    measured = e.machine.float_feed_mm_min
    last, shifts = e.searches_before(e.lights), e.shifts_before(e.lights)
    known = np.flatnonzero((last >= 0) & (shifts >= 0))
    last, shifts = last[known], shifts[known]
    trips = np.array([search.probed.trip[2] for search in e.searches])[last]
    feeds = e.trace.feed[e.search_rows[last]]
    usual = (np.abs(e.trace.end[shifts, 2] - trips) < SAME) & (measured / 2 <= feeds) & (feeds <= measured * 2)
    for k in np.flatnonzero(~usual).tolist():
        shift = int(shifts[k])
        search = _returned_to(e, int(last[k]), shift)
        probe = int(e.search_rows[search])
        feed = float(e.trace.feed[probe])
        if probe < shift and probe not in told and not measured / 2 <= feed <= measured * 2:
            told.add(probe)
            at, off = mm_min(measured, ""), e.machine.read_late(feed)
            message = say(
                "this datum comes from a touch at {feed}, the float was measured at {at}", feed=mm_min(feed, ""), at=at
            )
            if _at_trip(e, search, shift):
                message += say(
                    ": read late, it lies up to {off} too {which}",
                    off=mm(abs(off), ".2f"),
                    which="low" if off > 0 else "high",
                )
            yield at_row(e, probe, message, "go back to the trip of a second, slow touch")


def _at_trip(e: Evidence, search: int, shift: int) -> bool:
    """Return whether Z stands where a search tripped while the datum is set."""
    return abs(float(e.trace.end[shift, 2]) - e.searches[search].probed.trip[2]) < SAME


def _returned_to(e: Evidence, last: int, shift: int) -> int:
    """Return the search of the last one's place to whose trip the program went back, else the last one."""
    earlier = last
    while not _at_trip(e, earlier, shift):
        earlier -= 1
        if earlier < 0 or e.searches[earlier].pierce != e.searches[last].pierce:
            return last
    return earlier


RULE = Rule("float-feed-differs", Severity.WARNING, _judge)
