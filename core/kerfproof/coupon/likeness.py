"""Whether a program still does what the test piece does that its heading names."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Floats, Ints, Segments
from kerfproof.proof.evidence.runs import TorchRun, row_lengths, segments_of
from kerfproof.proof.proof import Proof
from kerfproof.proof.table import scenario
from kerfproof.proof.table.play import play
from kerfproof.sentence import Phrase, mm, mm_at, mm_min, say
from kerfproof.shop.profile import Machine

RULE = "not-the-piece"
LOWER = 0.4
MOVES = (0.0, 0.3, -0.2, 0.1)
"""How much lower (mm) the plate lies, and how it moves from touch to touch, where constants are to show."""
AWAY = 0.05
"""How far a cut may lie from the piece's at any place of its way, and a height at light-up or a stop, mm."""
HEIGHT_OFF = 0.3
"""How far the height in the cut and the highest point of the pierce may be off, mm."""
WAIT_OFF = 0.05
"""How far the time before the first move and that before the cut may be off, s."""
FEED_OFF = 0.05
"""How far a feed may be off, as a share of it."""
LEAST = 0.5
"""What is otherwise over less than this of a cut is its rounding, mm."""
ADVICE = "make the piece again with kerfproof coupon; readings of this one would give wrong values"


@dataclass(frozen=True, slots=True)
class _Unlike:
    """The first thing that is otherwise in a cut: what, the row of the trace, where."""

    what: Phrase
    row: int
    at: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """The burning way of one run: its segments, and how far along it each begins (m + 1,)."""

    segments: Segments
    along: Floats

    @staticmethod
    def of(trace: Trace, run: TorchRun) -> _Way:
        """Return the way of a run."""
        rows = np.arange(run.first_row, run.last_row + 1)
        moves = rows[np.isin(trace.kind[rows], (Step.RAPID, Step.FEED, Step.ARC)) & (row_lengths(trace)[rows] > 1e-9)]
        segments = segments_of(trace, moves, np.arange(len(trace)))
        return _Way(segments, np.concatenate([[0.0], np.cumsum(segments.lengths())]))

    def places(self, along: Floats) -> tuple[Ints, Floats]:
        """Return the segment at each length of way (k,) and where on it, as a share."""
        which = np.clip(np.searchsorted(self.along, along, side="right") - 1, 0, len(self.segments) - 1)
        length = self.along[which + 1] - self.along[which]
        return which, np.clip((along - self.along[which]) / length, 0.0, 1.0)


def unlike(proof: Proof, right: Proof, name: str) -> tuple[Finding, ...]:
    """Return where a program does other than the test piece `name`, whose proof is `right`: one finding a cut.

    Cuts may come in another order. Each is compared all along: place, direction, feed, height, and how it starts. A
    piece that lights no torch is compared by its touches and stops.
    """
    if proof.trace.stopped is not None:
        return ()  # told as such; what follows is not known
    if not right.runs and not proof.runs:
        return tuple(_finding(name, f, proof.trace) for f in _touches(proof.trace, right.trace))
    trace, missing = proof.trace, []
    found: list[_Unlike] = []
    left = list(proof.runs)
    for wanted in right.runs:
        run = min(left, key=lambda run: _apart(run, wanted), default=None)
        if run is None:
            missing.append(wanted)
            continue
        left.remove(run)
        found += itertools.islice(_cut(trace, run, right.trace, wanted), 1)
    if missing:
        (x, y), many = missing[0].start, "1 cut is" if len(missing) == 1 else f"{len(missing)} cuts are"
        what = say("{many} missing, the first is the one that begins at {at}", many=many, at=mm_at(x, y))
        found.append(_Unlike(what, len(trace) - 1, missing[0].start))
    found += [_Unlike("this cut is none of the piece's", run.first_row, run.start) for run in left]
    return tuple(_finding(name, one, trace) for one in found)


def unlike_elsewhere(text: str, right: str, machine: Machine, control: Dialect, name: str) -> tuple[Finding, ...]:
    """Return where a piece that only touches does other than `right` where the plate lies lower and moves.

    On the table as it should be a number in the place of the trip looks like the trip.
    """
    table = scenario.nominal(machine, control.control_back_off)
    table = replace(table, plate=replace(table.plate, z=table.plate.z - LOWER, moves=MOVES))
    mine, other = (play(one, control, machine, table, mode="touch").trace for one in (text, right))
    return tuple(_finding(name, one, mine) for one in _touches(mine, other))


def not_made(why: str) -> Finding:
    """Return that the heading names a test piece that can't be made."""
    message = f"the heading says that this is a test piece, which can't be made to compare it: {why}"
    return Finding(RULE, Severity.ERROR, message, ADVICE)


def _finding(name: str, one: _Unlike, trace: Trace) -> Finding:
    x, y = one.at if one.at is not None else (None, None)
    line = int(trace.line[one.row]) if len(trace) else None
    message = say(
        "this is no longer the test piece {name} that machine and chart make: {what}", name=name, what=one.what
    )
    return Finding(RULE, Severity.ERROR, message, ADVICE, line, x, y)


def _apart(run: TorchRun, wanted: TorchRun) -> float:
    """Return how far two runs are from being the same cut, by their ends."""
    ends = np.array([*run.start, *run.end]) - np.array([*wanted.start, *wanted.end])
    return float(np.abs(ends).sum())


def _cut(trace: Trace, run: TorchRun, right: Trace, wanted: TorchRun) -> Iterator[_Unlike]:
    """Yield what is otherwise in a cut: its way, its start, what it burns with."""
    mine, other = _Way.of(trace, run), _Way.of(right, wanted)
    if not len(mine.segments) or not len(other.segments):
        if len(mine.segments) != len(other.segments):
            yield _Unlike("the torch burns on one spot where a cut was meant", run.first_row, run.start)
        return
    # Between the ends of all segments of both nothing bends, so these and the middles speak for all.
    ends = np.unique(np.concatenate([mine.along, np.minimum(other.along, mine.along[-1])]))
    middles = (ends[1:] + ends[:-1]) / 2
    along = np.sort(np.concatenate([ends, middles]))
    which, share = mine.places(along)
    points = mine.segments.points(which, share)
    away = np.hypot(*(points - other.segments.points(*other.places(along))).T)
    off = np.flatnonzero(away > AWAY)
    if len(off):
        first = int(off[0])
        what = say("the cut leaves the piece's way here, by up to {away}", away=mm(away.max(), ".2f"))
        yield _Unlike(what, int(mine.segments.index[which[first]]), _point(points[first]))
    if abs(mine.along[-1] - other.along[-1]) > AWAY:
        what = say(
            "the cut is {length} long instead of {wanted}",
            length=mm(mine.along[-1], ".2f"),
            wanted=mm(other.along[-1], ".2f"),
        )
        yield _Unlike(what, run.last_row, run.end)
    yield from _start(trace, run, right, wanted)
    yield from _burning(trace, mine, right, other, ends, middles)


def _point(point: Floats) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _start(trace: Trace, run: TorchRun, right: Trace, wanted: TorchRun) -> Iterator[_Unlike]:
    """Yield what is otherwise from light-up to the first move in the plane."""
    mine, other = _start_of(trace, run), _start_of(right, wanted)
    limits = (("height at light-up", "mm", AWAY), ("wait before the first move", "s", WAIT_OFF),
              ("time before the cut", "s", WAIT_OFF), ("height of the pierce", "mm", HEIGHT_OFF))  # fmt: skip
    for (name, unit, most), have, meant in zip(limits, mine, other, strict=True):
        if abs(have - meant) > most:
            what = f"the {name} is {have:.2f} {unit} instead of {meant:.2f} {unit}"
            yield _Unlike(what, run.first_row, run.start)


def _start_of(trace: Trace, run: TorchRun) -> tuple[float, float, float, float]:
    """Return height at light-up, wait before any move, time before the first move in the plane, greatest height.

    Heights are those of the program's frame.
    """
    rows = slice(run.first_row, run.last_row + 1)
    steps = np.abs(trace.end[rows] - trace.start[rows])
    moved, travels = steps.max(axis=1) > 1e-9, steps[:, :2].max(axis=1) > 1e-9
    seconds = trace.seconds[rows]
    first = int(np.argmax(moved)) if moved.any() else len(seconds)
    begin = int(np.argmax(travels)) if travels.any() else len(seconds)
    heights = trace.frame_z[rows][: begin + 1, 0]
    return float(heights[0]), float(seconds[:first].sum()), float(seconds[:begin].sum()), float(heights.max())


def _burning(trace: Trace, mine: _Way, right: Trace, other: _Way, ends: Floats, middles: Floats) -> Iterator[_Unlike]:
    """Yield where feed or height along the cut are otherwise, or where it waits."""
    long = np.diff(ends)
    which, share = mine.places(middles)
    place = other.places(middles)
    rows, theirs = mine.segments.index[which], other.segments.index[place[0]]
    points = mine.segments.points(which, share)
    feed, wanted = trace.feed[rows], right.feed[theirs]
    height = np.abs(_height(trace, rows) - _height(right, theirs)).max(axis=1)
    for off, name in (
        (np.abs(feed - wanted) > FEED_OFF * wanted, "feed"),
        (height > HEIGHT_OFF, "height"),
    ):
        if long[off].sum() > LEAST:
            k = int(np.flatnonzero(off)[0])
            if name == "feed":
                what = say("the feed is {feed} instead of {wanted}", feed=mm_min(feed[k]), wanted=mm_min(wanted[k]))
            else:
                what = say(
                    "the torch burns {height} higher or lower than in the piece", height=mm(height[off].max(), ".2f")
                )
            yield _Unlike(what, int(rows[k]), _point(points[k]))


def _height(trace: Trace, rows: Ints) -> Floats:
    """Return the height in the program's frame at start and end of rows (k, 2)."""
    return np.asarray(trace.frame_z.take(rows, axis=0))


def _touches(trace: Trace, right: Trace) -> Iterator[_Unlike]:
    """Yield the first touch or stop that is otherwise."""
    mine, other = _acts(trace), _acts(right)
    names = {Step.PROBE: "touch", Step.STOP: "stop"}
    before = meant_before = 0
    for row, meant in zip(mine.tolist(), other.tolist(), strict=False):
        name = names[Step(int(right.kind[meant]))]
        height, wanted = trace.frame_z[row, 1], right.frame_z[meant, 1]
        if trace.kind[row] != right.kind[meant]:
            yield _Unlike(f"a {name} is missing before this", row)
        elif abs(trace.feed[row] - right.feed[meant]) > FEED_OFF * right.feed[meant]:
            what = say(
                "this {name} runs at {feed} instead of {wanted}",
                name=name,
                feed=mm_min(trace.feed[row]),
                wanted=mm_min(right.feed[meant]),
            )
            yield _Unlike(what, row)
        elif abs(height - wanted) > AWAY:
            what = say(
                "this {name} ends at a height of {height} instead of {wanted}",
                name=name,
                height=mm(height, ".2f"),
                wanted=mm(wanted, ".2f"),
            )
            yield _Unlike(what, row)
        elif not _same_way(trace, before, row, right, meant_before, meant):
            yield _Unlike(f"the way to this {name} is another", row)
        else:
            before, meant_before = row, meant
            continue
        return
    if len(mine) != len(other):
        yield _Unlike(f"it has {len(mine)} touches and stops, the piece {len(other)}", len(trace) - 1)
    elif not _same_way(trace, before, len(trace), right, meant_before, len(right)):
        yield _Unlike("the way from the last touch to the end is another", len(trace) - 1)


def _same_way(trace: Trace, first: int, last: int, right: Trace, meant_first: int, meant_last: int) -> bool:
    """Return whether two stretches of rows hold the same moves: rapid or feed, its feed, where it ends."""
    mine, other = _moves(trace, first, last), _moves(right, meant_first, meant_last)
    if len(mine) != len(other):
        return False
    same = np.abs(mine - other) <= np.array([0.0, AWAY, AWAY, AWAY, 0.0])
    same[:, 4] = np.abs(mine[:, 4] - other[:, 4]) <= FEED_OFF * other[:, 4]
    return bool(same.all())


def _moves(trace: Trace, first: int, last: int) -> Floats:
    """Return kind, X, Y, Z in the program's frame at the end, and feed of the moves between two rows (k, 5)."""
    rows = np.arange(first, last)
    moving = np.isin(trace.kind[rows], (Step.RAPID, Step.FEED, Step.ARC)) & (trace.start[rows] != trace.end[rows]).any(
        1
    )
    rows = rows[moving]
    place = trace.end[rows, :2] - np.array(trace.xy_origin)
    return np.column_stack([trace.kind[rows], place, trace.frame_z[rows, 1], trace.feed[rows]]).astype(np.float64)


def _acts(trace: Trace) -> Ints:
    return np.flatnonzero(np.isin(trace.kind, (Step.PROBE, Step.STOP)))
