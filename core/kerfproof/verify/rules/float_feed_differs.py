"""A datum from a touch at another feed than the float was measured at.

Finds: on a floating head, a last search before the datum at more than twice or less than half the feed at which the
float was measured.

Matters: the float holds for one feed: how far the carriage runs on, and when the control notices the switch, go with
it.

Bad::

    Given: head
    G0 X10 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-84 F1000
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

from kerfproof.errors import Severity
from kerfproof.machine.profile import TouchOff
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.machine.touch_off is not TouchOff.FLOAT:
        return
    told: set[int] = set()
    for row in e.lights.tolist():
        search, shift = e.last_search(row), e.last_shift(row)
        if search is None or shift is None:
            continue
        probe = int(e.search_rows[search])
        feed, measured = float(e.trace.feed[probe]), e.machine.float_feed_mm_min
        if probe < shift and probe not in told and not measured / 2 <= feed <= measured * 2:
            told.add(probe)
            message = f"this datum comes from a touch at {feed:.0f} mm/min, the float was measured at {measured:.0f}"
            yield at_row(e, probe, message, "touch a second time, slowly")


RULE = Rule("float-feed-differs", Severity.WARNING, _judge)
