"""The torch cuts at a wrong height.

Finds: torch-on motion in the plane at a height that differs from the process by more than 0.3 mm (warning), or lies
outside 0.8-3 mm and 1 mm off the process (error), where no height control is free. Where one is, a height that the
program itself writes in a run: in the plate, or higher than a pierce may be (error). The first centimetre of a run may
still be at pierce height, over the slag ring; what lies behind it is judged, also within one move.

Matters: too low drags the tip, too high bevels the edge and widens the kerf.

Bad::

    Given: burning
    G1 Z4 F900
    G1 X60 F2200
    M5

Good::

    Given: burning
    G1 X60 F2200
    M5

Do: cut at the height of the chart.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.limits import HEIGHT_BAND, HEIGHT_NEAR
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say
from kerfproof.shop.chart import Process

SLAG_RING = 10.0
CHANGED = 1e-6


def _judge(e: Evidence) -> Iterator[Hit]:
    burning, free = e.trace.torch & e.known & e.moves, _height_free(e)
    yield from _written(e, np.flatnonzero(burning & free))
    rows = np.flatnonzero(burning & ~free & (e.travels | _begun(e)))
    if not len(rows):
        return
    begin, end = _past_slag(e, rows), e.height[rows, 1].copy()
    begin[~e.travels[rows]] = end[~e.travels[rows]]  # where it comes from was judged before
    end[~e.travels[rows] & _over_slag(e, rows)] = np.nan
    low, high = np.minimum(begin, end), np.maximum(begin, end)  # nan where all of a row is spared
    wanted = e.process.cut_height if e.process is not None else None
    band = (HEIGHT_BAND[0], HEIGHT_BAND[1]) if wanted is None else (wanted - 1.0, wanted + 1.0)
    bad = (low < min(band[0], HEIGHT_BAND[0])) | (high > max(band[1], HEIGHT_BAND[1]))
    off = bad if wanted is None else (low < wanted - HEIGHT_NEAR) | (high > wanted + HEIGHT_NEAR)
    told: set[int] = set()
    owner = np.searchsorted(e.first_rows, rows, side="right")
    for k in sorted(np.flatnonzero(off | bad).tolist(), key=lambda k: not bad[k]):  # the gravest of each run
        if int(owner[k]) in told:
            continue
        told.add(int(owner[k]))
        height = float(low[k] if wanted is None or wanted - low[k] > high[k] - wanted else high[k])
        message = say("the cut runs {height} over the plate", height=mm(height, ".2f")) + (
            say(" instead of {wanted}", wanted=mm(wanted, ".2f")) if wanted else ""
        )
        yield at_row(e, int(rows[k]), message, "cut at the height of the chart", None if bad[k] else Severity.WARNING)


def _written(e: Evidence, rows: Ints) -> Iterator[Hit]:
    """Tell heights that the program writes while a height control moves Z: it works against it, or without it."""
    rows = rows[np.abs(e.trace.end[rows, 2] - e.trace.start[rows, 2]) > CHANGED]
    highest = _highest(e.process) if e.process is not None else 2 * HEIGHT_BAND[1]
    height = e.height[rows, 1]
    for k in np.flatnonzero((height < 0.0) | (height > highest)).tolist():
        message = say(
            "Z is written {height} over the plate in a cut, while height control is on", height=mm(height[k], ".2f")
        )
        yield at_row(e, int(rows[k]), message, "leave Z to the height control, or write the height of the chart")


def _begun(e: Evidence) -> Bools:
    """Return which rows lie behind the first move in the plane of their run (n,)."""
    out = np.zeros(len(e.trace), dtype=np.bool_)
    for first, last in zip(e.first_travels.tolist(), e.last_rows.tolist(), strict=True):
        if first >= 0:
            out[first + 1 : last + 1] = True
    return out


def _over_slag(e: Evidence, rows: Ints) -> Bools:
    """Return which rows end over the slag ring of their pierce at a lawful height (k,)."""
    if e.process is None:
        return np.zeros(len(rows), dtype=np.bool_)
    way = np.concatenate([[0.0], np.cumsum(e.length * e.trace.torch)])
    run = np.maximum(np.searchsorted(e.first_rows, rows, side="right") - 1, 0)
    height = e.height[rows, 1]
    inside = way[rows] - way[e.first_rows[run]] <= SLAG_RING
    return np.asarray(inside & (height >= HEIGHT_BAND[0]) & (height <= _highest(e.process)))


def _highest(process: Process) -> float:
    """Return how high the torch may stand over the slag ring."""
    return max(process.pierce_height, 2 * process.cut_height, 2.0) + HEIGHT_NEAR


def _height_free(e: Evidence) -> Bools:
    """Return in which rows a height control moves Z by itself (n,)."""
    on, off = e.extra_lines.get("height_control_on", ""), e.extra_lines.get("height_control_off", "")
    free = np.zeros(len(e.trace), dtype=np.bool_)
    if not on:
        return free
    state = False
    for row, text in enumerate(e.trace.text):
        state = (state or text == on) and text != off
        free[row] = state
    return free


def _past_slag(e: Evidence, rows: Ints) -> Floats:
    """Return the height from which each row is judged (k,): where it passes the slag ring, nan where it does not.

    A row whose first stretch is no lawful pierce height is judged from its start.
    """
    begin: Floats = e.height[rows, 0]
    end: Floats = e.height[rows, 1]
    if e.process is None:
        return np.asarray(begin)
    highest = _highest(e.process)
    before = np.full(len(e.trace), np.inf)
    np.minimum.at(before, e.path.segments.index, e.path.along)
    left, length = SLAG_RING - before[rows], e.length[rows]
    share = np.clip(left / length, 0.0, 1.0)
    passing = begin + (end - begin) * share
    lawful = (np.minimum(begin, passing) >= HEIGHT_BAND[0]) & (np.maximum(begin, passing) <= highest)
    past = np.where(left >= length - 1e-6, np.nan, passing)
    return np.asarray(np.where((left > 1e-6) & lawful, past, begin))


RULE = Rule("cut-height-out-of-band", Severity.ERROR, _judge)
