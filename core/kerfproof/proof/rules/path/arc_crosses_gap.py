"""A contact-start arc crosses an open kerf or runs off the plate.

Finds: torch-on path that crosses a kerf cut before, leaves the plate or turns back in its own kerf, before the last
stretch of its run (over-burn and lead-out; of a closed cut what follows where it closes). An error for a contact
torch, a warning where it only grazes the kerf or crosses the open end of a cut; a note for a pilot arc, and where the
path runs along the open end and so goes on with a cut that stopped.

Matters: a contact torch can't light again in the air: the arc goes out and the rest is run cold.

Bad::

    Program: long line
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

    Program: bad
    G0 X30 Y20 -> G0 X80 Y20

Do: keep leads clear of other kerfs and order the cuts so that none is crossed.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.along import stretches_near
from kerfproof.geom.distance import nearest, pair_distances
from kerfproof.geom.index import point_boxes
from kerfproof.geom.path import Bools, Floats, Ints, Segments
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import DEVIATION_ERROR, LAST_STRETCH, REJOIN
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.shop.profile import StartKind

DEEP = 0.5
"""The arc is in the gap where its centre comes this near to an earlier path, as a share of half the kerf: farther
beside a kerf there is still metal to burn."""
CROSSES = 1e-3
"""Nearer than this the paths cross; between the two the arc may survive."""


SAME = 0.05
"""Paths nearer than this are the same."""

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
    goes_on = np.isin(e.path.segments.owner[joining], _going_on(e))
    far, near = _turning_back(e, last)
    early = "before the cut is done"
    first, back, off = "cut this first", "go on without a turn in the kerf", "move the job onto the plate"
    for segments, message, advice, severity in (
        (crossing, f"crosses an open kerf {early}", first, None),
        (far, f"turns back in its own kerf {early}", back, None),
        (_leaving(e, last), f"runs off the plate {early}", off, None),
        (joining[~goes_on], "takes up the open end of an earlier cut", GOES_ON, Severity.WARNING),
        (joining[goes_on], "takes up the open end of an earlier cut", GOES_ON, Severity.NOTE),
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
    late = _last_stretches(e, last)[s.owner[later]]
    late[s.owner[earlier] == s.owner[later]] = last  # where a cut closes it meets its own start
    partly = np.flatnonzero((remaining[later] <= late) & (remaining[later] + length > late + 1e-6))
    which = later[partly]
    share = np.clip((remaining[which] + length[partly] - late[partly]) / length[partly], 1e-6, 1.0)
    heads = Segments.between(s.p0[which], s.points(which, share), np.tan(s.sweep[which] * share / 4))
    gap[partly] = pair_distances(heads, np.arange(len(which)), s, earlier[partly])
    early = remaining[later] + length > late + 1e-6
    ends = early & _open_ends(e, earlier, later)
    early &= ~ends
    deep = gap < DEEP * half[earlier]
    return later[early & (gap < CROSSES)], later[early & deep], later[ends & deep]


def _going_on(e: Evidence) -> Ints:
    """Return the runs that run along the open end of an earlier one, by more than a kerf."""
    s, stock, path = e.path.segments, e.stock, e.path
    near = (stock.gap <= SAME) & (s.owner[stock.earlier] != s.owner[stock.later])
    near &= ~np.isin(s.owner[stock.earlier], path.ring_run) & (path.remaining[stock.earlier] < REJOIN)
    if not near.any():
        return np.empty(0, dtype=np.int64)
    found = stretches_near(s, s, SAME, (stock.later[near], stock.earlier[near]))
    length = np.bincount(s.owner[found.which], found.lengths(s) * found.near, minlength=len(e.runs))
    return np.flatnonzero(length > 2 * float(path.half_kerf.max(initial=0.0)))


def _last_stretches(e: Evidence, last: float) -> Floats:
    """Return how much of the end of each run may cross other kerfs (r,): what follows its last closed cut, if any.

    An arc that goes out before the cut is closed leaves the piece hanging.
    """
    out = np.full(len(e.runs), last)
    path = e.path
    if len(path.ring_run):
        left = np.full(len(e.runs), np.inf)
        np.minimum.at(left, path.ring_run, path.remaining[path.ring_stop - 1])
        closed = np.isfinite(left)
        kerf = 2 * float(path.half_kerf.max(initial=0.0))
        out[closed] = np.minimum(last, left[closed] + kerf)
    return out


def _open_ends(e: Evidence, earlier: Ints, later: Ints) -> Bools:
    """Return which pairs meet only near an open end of an earlier run that closes nowhere (k,)."""
    s, along, half = e.path.segments, e.path.along, e.path.half_kerf
    lengths = s.lengths()
    out = np.zeros(len(earlier), dtype=np.bool_)
    is_open = ~np.isin(s.owner[earlier], e.path.ring_run) & (s.owner[earlier] != s.owner[later])
    windows = _windows(e, np.unique(s.owner[earlier[is_open]]).tolist())
    for k in np.flatnonzero(is_open).tolist():
        one, begin = earlier[k : k + 1], float(along[earlier[k]])
        length = float(lengths[one[0]])
        beyond = [(0.0, 1.0)]
        for low, high in windows[int(s.owner[one[0]])]:
            # What of this segment lies in the window is spared; what is left of it on both sides is not.
            low, high = (low - begin) / length, (high - begin) / length
            beyond = [p for a, b in beyond for p in ((a, min(b, low)), (max(a, high), b)) if p[1] - p[0] > 1e-6]
        if beyond == [(0.0, 1.0)]:
            continue
        pieces = np.zeros(len(beyond), dtype=np.int64) + one[0]
        at = np.array(beyond).reshape(-1, 2)
        body = Segments.between(
            s.points(pieces, at[:, 0]), s.points(pieces, at[:, 1]), np.tan(s.sweep[pieces] * (at[:, 1] - at[:, 0]) / 4)
        )
        away = pair_distances(body, np.arange(len(pieces)), s, np.full(len(pieces), later[k]))
        out[k] = bool((away >= DEEP * half[one[0]]).all())
    return out


def _windows(e: Evidence, runs: list[int]) -> dict[int, list[tuple[float, float]]]:
    """Return the lengths along open runs, from and to, that count as their open ends.

    These are the last stretch of each, and that about the place where it comes to the drawn edge: a cut that goes
    the other way from there takes it up as one that goes on from the end does.
    """
    s, along, first = e.path.segments, e.path.along, e.path.first
    lengths = s.lengths()
    out: dict[int, list[tuple[float, float]]] = {}
    for run in runs:
        begin, stop = int(first[run]), int(first[run + 1])
        total = float(along[stop - 1] + lengths[stop - 1])
        out[run] = [(total - REJOIN, np.inf)]
        if e.swept is None or e.kept is None:
            continue
        beside = np.flatnonzero(np.abs(e.swept.depth[begin:stop]) <= DEVIATION_ERROR)
        if len(beside):
            one = begin + int(beside[0])
            away = nearest(s.p0[one : one + 1], e.kept.edges, np.inf, e.kept.index)[0][0]
            joined = float(along[one] + (0.0 if away <= e.path.half_kerf[one] + DEVIATION_ERROR else lengths[one]))
            out[run].append((joined - REJOIN, joined + REJOIN))
    return out


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
    """Return the segments that leave the plate before the last stretch of a run; a start off its edge may lead in."""
    if e.plate is None:
        return np.empty(0, dtype=np.int64)
    x0, y0, x1, y1 = e.plate

    def off(boxes: Floats) -> Bools:
        return np.asarray((boxes[:, 0] < x0) | (boxes[:, 1] < y0) | (boxes[:, 2] > x1) | (boxes[:, 3] > y1))

    out = np.flatnonzero(off(e.path.index.boxes) & (e.path.remaining + e.path.segments.lengths() > last + 1e-6))
    s = e.path.segments.take(out)
    before = np.clip((e.path.remaining[out] + s.lengths() - last) / s.lengths(), 1e-6, 1.0)
    heads = Segments.between(s.p0, s.points(np.arange(len(s)), before), np.tan(s.sweep * before / 4))
    leads_in = (e.path.along[out] == 0) & off(point_boxes(s.p0)) & ~off(point_boxes(s.p1))
    return np.asarray(out[off(heads.boxes()) & ~leads_in])


RULE = Rule("arc-crosses-gap", Severity.ERROR, _judge, by_drawing=True)
