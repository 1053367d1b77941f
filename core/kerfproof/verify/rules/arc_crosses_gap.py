"""A contact-start arc crosses an open kerf or runs off the plate.

Finds: torch-on path that crosses a kerf cut before, leaves the plate or turns back in its own kerf, before the last
stretch of its run (over-burn and lead-out). An error for a contact torch, a warning where it only grazes the kerf; a
note for a pilot arc.

Matters: a contact torch can't light again in the air: the arc goes out and the rest is run cold.

Bad::

    Given: burning at 10 50
    G1 X60 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X30 Y20
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    G4 P0.2
    G92 Z-19.05
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 Y80 F2200
    M5

Good::

    Given: burning at 10 50
    G1 X60 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X80 Y20
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    G4 P0.2
    G92 Z-19.05
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 Y80 F2200
    M5

Do: keep leads clear of other kerfs and order the cuts so that none is crossed.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.distance import nearest, pair_distances
from kerfproof.geom.path import Bools, Ints, Segments
from kerfproof.machine.profile import StartKind
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.limits import LAST_STRETCH
from kerfproof.verify.rule import Hit, Rule, at_row

DEEP = 0.5
"""The arc is in the gap where its centre comes this near to an earlier path, as a share of half the kerf: farther
beside a kerf there is still metal to burn."""
CROSSES = 1e-3
"""Nearer than this the paths cross; between the two the arc may survive."""


REJOIN = 3.0
"""A cut taken up again runs over so much of the open end of the one that stopped, mm; its walls still hold the arc
(common practice, no source)."""

STRAIGHT_BACK = -0.99
"""Cosine of the turn from which on a path goes back the way it came."""

GOES_ON = "watch that it goes on; if not, begin a little further on"


def _judge(e: Evidence) -> Iterator[Hit]:
    contact = e.machine.start is StartKind.CONTACT
    last = LAST_STRETCH
    if e.process is not None:
        last = max(last, e.process.over_burn_outline + e.process.lead_out + 2 * e.process.kerf)
    told: set[int] = set()
    crossing, grazing, joining = _meeting(e, last)
    far, near = _turning_back(e, last)
    early = "before the cut is done"
    first, back, off = "cut this first", "go on without a turn in the kerf", "move the job onto the plate"
    for segments, message, advice, severity in (
        (crossing, f"crosses an open kerf {early}", first, None),
        (far, f"turns back in its own kerf {early}", back, None),
        (_leaving(e, last), f"runs off the plate {early}", off, None),
        (joining, "takes up the open end of an earlier cut", GOES_ON, Severity.WARNING),
        (grazing, f"grazes an open kerf {early}", first, Severity.WARNING),
        (near, f"turns back in its own kerf {early}", back, Severity.WARNING),
    ):
        for segment in np.unique(segments).tolist():
            run = int(e.path.segments.owner[segment])
            if run not in told:
                told.add(run)
                row = int(e.path.segments.index[segment])
                yield at_row(e, row, f"the arc {message}", advice, severity if contact else Severity.NOTE)


def _meeting(e: Evidence, last: float) -> tuple[Ints, Ints, Ints]:
    """Return the segments that cross an open kerf, that graze one, and that take up an open end.

    More than `last` of their run is to come.
    """
    s, remaining, half = e.path.segments, e.path.remaining, e.path.half_kerf
    earlier, later, gap = e.stock.earlier, e.stock.later, e.stock.gap.copy()
    length = s.lengths()[later]
    partly = np.flatnonzero((remaining[later] <= last) & (remaining[later] + length > last + 1e-6))
    which = later[partly]
    share = np.clip((remaining[which] + length[partly] - last) / length[partly], 1e-6, 1.0)
    heads = Segments.between(s.p0[which], s.points(which, share), np.tan(s.sweep[which] * share / 4))
    gap[partly] = pair_distances(heads, np.arange(len(which)), s, earlier[partly])
    early = remaining[later] + length > last + 1e-6
    ends = early & _open_ends(e, earlier, later)
    early &= ~ends
    deep = gap < DEEP * half[earlier]
    return later[early & (gap < CROSSES)], later[early & deep], later[ends & deep]


def _open_ends(e: Evidence, earlier: Ints, later: Ints) -> Bools:
    """Return which pairs meet only within `REJOIN` of the end of an earlier run that closes nowhere (k,)."""
    s, remaining = e.path.segments, e.path.remaining
    is_open = ~np.isin(s.owner[earlier], e.path.ring_run)
    out = is_open & (remaining[earlier] < REJOIN - 1e-6) & (s.owner[earlier] != s.owner[later])
    for k in np.flatnonzero(out & (remaining[earlier] + s.lengths()[earlier] > REJOIN)).tolist():
        one = earlier[k : k + 1]
        share = np.array([1.0 - (REJOIN - remaining[one[0]]) / s.lengths()[one[0]]])
        body = Segments.between(s.p0[one], s.points(one, share), np.tan(s.sweep[one] * share / 4))
        beyond = pair_distances(body, np.zeros(1, dtype=np.int64), s, later[k : k + 1])[0]
        out[k] = beyond >= DEEP * e.path.half_kerf[one[0]]
    return np.asarray(out)


def _turning_back(e: Evidence, last: float) -> tuple[Ints, Ints]:
    """Return the segments that run back along the one before them by more than `REJOIN`, or by a kerf at least.

    More than `last` of their run is to come.
    """
    s = e.path.segments
    before = np.flatnonzero((s.owner[1:] == s.owner[:-1]) & (e.path.remaining[:-1] > last))
    lengths = s.lengths()
    along = np.minimum(lengths[before], lengths[before + 1])
    long = along > 2 * e.path.half_kerf[before]
    before, along = before[long], along[long]
    after = before + 1
    turn = (s.tangents(before, np.ones(len(before))) * s.tangents(after, np.zeros(len(after)))).sum(axis=1)
    share = along / lengths[after]
    back = np.flatnonzero(turn < STRAIGHT_BACK)
    away = np.array(
        [nearest(s.points(after[k : k + 1], share[k : k + 1]), s.take(before[k : k + 1]), np.inf)[0][0] for k in back]
    )
    held = back[away < DEEP * e.path.half_kerf[before[back]]] if len(back) else back
    return after[held[along[held] > REJOIN]], after[held[along[held] <= REJOIN]]


def _leaving(e: Evidence, last: float) -> Ints:
    """Return the segments that leave the plate in the middle of a run."""
    if e.plate is None:
        return np.empty(0, dtype=np.int64)
    x0, y0, x1, y1 = e.plate
    boxes = e.path.index.boxes
    out = (boxes[:, 0] < x0) | (boxes[:, 1] < y0) | (boxes[:, 2] > x1) | (boxes[:, 3] > y1)
    return np.flatnonzero(out & (e.path.along > 0) & (e.path.remaining > last)).astype(np.int64)


RULE = Rule("arc-crosses-gap", Severity.ERROR, _judge)
