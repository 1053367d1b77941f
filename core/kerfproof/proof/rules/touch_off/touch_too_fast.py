"""A touch so fast that the head overruns.

Finds: searches whose overrun is more than the rest of the float's stroke (error) or half of it (warning), and a last
search before the datum whose overrun differs from that of the measured float by more than a tenth of the cut
height, where the program does not go back to the trip.

Matters: the head bottoms out with motor force, or the cut height is off by the overrun.

Bad::

    Machine: contact-float z_acceleration_mm_s2=100
    Given: head
    G0 X10 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-84 F3000

Good::

    Given: touched
    M3

Do: touch fast to find the plate, then slowly at the feed at which the float was measured.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, mm_min, say
from kerfproof.shop.profile import TouchOff

SHARE = 0.1


def _judge(e: Evidence) -> Iterator[Hit]:
    m, feeds = e.machine, e.trace.feed[e.search_rows]
    runs_on = {feed: m.overrun(feed) for feed in np.unique(feeds).tolist()}
    if m.touch_off is TouchOff.FLOAT:
        spare = m.float_stroke - m.float_travel
        fast = [feed for feed, over in runs_on.items() if over > spare / 2 + 1e-6]
        for row in e.search_rows[np.isin(feeds, fast)].tolist():
            over = runs_on[float(e.trace.feed[row])]
            message = say(
                "a touch at {feed} runs on by {over}, the float has {spare}",
                feed=mm_min(e.trace.feed[row]),
                over=mm(over, ".1f"),
                spare=mm(spare, ".1f"),
            )
            yield at_row(e, row, message, "touch slower", None if over > spare else Severity.WARNING)
    if e.process is None:
        return
    measured = m.overrun(m.float_feed_mm_min) if m.touch_off is TouchOff.FLOAT else 0.0
    far = [feed for feed, over in runs_on.items() if abs(over - measured) > SHARE * e.process.cut_height]
    searches, shifts = e.searches_before(e.lights), e.shifts_before(e.lights)
    told = searches >= 0
    told[told] = (e.search_rows[searches[told]] < shifts[told]) & np.isin(feeds[searches[told]], far)
    for search, shift in zip(searches[told].tolist(), shifts[told].tolist(), strict=True):
        probe = int(e.search_rows[search])
        off = runs_on[float(e.trace.feed[probe])] - measured
        if abs(float(e.trace.end[shift, 2]) - e.searches[search].probed.trip[2]) >= 1e-3:
            message = say(
                "the datum is set after a touch at {feed}: {off} off",
                feed=mm_min(e.trace.feed[probe]),
                off=mm(off, "+.2f"),
            )
            yield at_row(e, probe, message, "touch at the feed at which the float was measured", Severity.WARNING)


RULE = Rule("touch-too-fast", Severity.ERROR, _judge)
