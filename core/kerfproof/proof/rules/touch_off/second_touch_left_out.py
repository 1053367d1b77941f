"""One touch finds the plate where it takes two.

Finds: a start whose plate was searched once (told once where the program does so at every start), unless repeated
touches at this feed differed by 0.1 mm at most (float_spread in the machine file, at float_measured_at), the program
can stop itself at a trip out of the plate band, and this is neither the first start nor one after an operator's stop,
the last start with two touches lies less than ten back, and the last touch-off lies within 300 mm.

Matters: the second, slow touch tells a false trip by noise from the plate, and a head that has begun to stick from one
that is right.

Bad::

    Given: head
    G0 X10 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-84 F150
    #101=#5063
    G1 Z[#101+2] F600
    G4 P0.1
    G38.2 Z[#101-1.5] F150
    #102=SQRT[0.3-ABS[#5063-#101]]
    G1 Z#5063 F60
    G4 P0.2
    G92 Z-19.05
    G4 P0.1
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 X20 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X30 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    #101=#5063
    #102=SQRT[4-ABS[#101+44.05]]
    G1 Z#5063 F60
    G4 P0.2
    G92 Z-19.05
    G4 P0.1
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 X40 F2200
    M5
    G4 P0.3
    G0 Z25

Good::

    Machine: contact-float float_spread=0.08
    Program: bad

Do: touch twice here, or measure the head with the float test piece.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.touch_offs import guarded
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import Phrase, mm, mm_min, say
from kerfproof.shop.touch_limits import STEADY, TWICE_BEYOND, TWICE_EVERY, one_touch_feed

SAME_FEED = 0.05
"""The feed may differ by this share from the one that was measured: inches are rounded."""
ROUNDED = 0.01
"""Places in a program are rounded, mm."""


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches or not len(e.lights):
        return
    t, feed = e.found, one_touch_feed(e.machine, guarded(e.control))
    once = t.own & (t.searches <= 1)
    if not once.any():
        return
    if feed is None and not (t.searches > 1).any():  # its way everywhere: told once
        first = int(e.lights[np.flatnonzero(once)[0]])
        what = say(
            "the plate is searched once at every start, and no spread of {most} or less was measured",
            most=mm(STEADY, "g"),
        )
        yield at_row(e, first, what, "touch twice, or measure the head with the float test piece")
        return
    twice = -1
    for k, row in enumerate(e.lights.tolist()):
        if not t.own[k]:
            continue
        if t.searches[k] > 1:
            twice = k
        elif (why := _why_not(e, k, twice, feed)) is not None:
            message = say("the plate was searched once for this start: {why}", why=why)
            yield at_row(e, row, message, "touch twice here, or measure the head with the float test piece")


def _why_not(e: Evidence, k: int, twice: int, feed: float | None) -> Phrase | str | None:
    """Return why one touch does not do at a light-up, None where it does; `twice` is the last one with two before."""
    if feed is None:
        return say("no spread of {most} or less was measured on this head", most=mm(STEADY, "g"))
    t = e.found
    at = float(e.trace.feed[e.search_rows[t.search[k]]])
    if abs(at - feed) > SAME_FEED * feed:
        return say("the spread was measured at {feed}, not at {at}", feed=mm_min(feed), at=mm_min(at))
    if twice < 0:
        return "no start before it had two touches"
    if t.halted[k]:
        return "the program stopped before it, and the tip may be another"
    if k - twice >= TWICE_EVERY:
        return f"{k - twice} starts since the last one with two touches, of {TWICE_EVERY} one must have them"
    if t.since_before[k] > TWICE_BEYOND + ROUNDED:
        return say("the last touch-off lies {away} away", away=mm(t.since_before[k], ".0f"))
    return None


RULE = Rule("second-touch-left-out", Severity.WARNING, _judge)
