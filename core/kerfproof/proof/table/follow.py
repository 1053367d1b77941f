"""Whether a program goes along where zero, torch and plate lie elsewhere than on the table as it should be.

Each arc start, each search and all motion with the torch on must lie where it lay, seen from program zero; and as high
as it was, seen from the plate that was found at the touch-off it relies on. That holds whatever words lead there.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.proof.limits import HEIGHT_PLAYED
from kerfproof.proof.rule import Hit
from kerfproof.proof.table.inherited_modes import place_of
from kerfproof.proof.table.play import Played
from kerfproof.sentence import counted, mm, say
from kerfproof.shop.profile import Machine, TouchOff

ZERO, HEIGHT = "zero-not-followed", "height-not-followed"
STOPPED = "program-stops-itself"
APART = 1e-3
"""Places nearer than this in the plane are the same, mm."""

_MOVES = (Step.RAPID, Step.FEED, Step.ARC)
_PARKED = "{what} where the torch was parked, not from the work zero"
_MACHINE = "{what} from machine zero, not from the work zero"
_SYSTEM = "{what} from the zero of another work offset"
_TWICE = "{what} with the work zero counted twice, as if it was read from a parameter"
_ELSE = "{what} at a place that does not move with the work zero"
_ABSOLUTE = "go there in X and Y from the work zero (G90, no G53), and leave the zero alone"


class _Pairs(NamedTuple):
    """Rows of both runs that belong together (k,): on the table with all elsewhere, and on the one as it should be."""

    now: Ints
    was: Ints


class _Off(NamedTuple):
    """A row that is off: its row on the table as it should be, what it is, which axes, and how far apart they lie."""

    row: int
    was: int
    what: str
    axes: Bools
    by: Floats


def followed(played: Played, clean: Played, machine: Machine, mode: str) -> Iterator[tuple[str, Hit]]:
    """Tell with the name of its kind what does not go along; `clean` is the run on the table as it should be."""
    trace = played.trace
    in_place = _ZeroJudge(played, clean)
    wrong = in_place.wrong(raised=mode not in ("cut", "touch"), stays=mode == "touch")
    refused = _refused(trace, clean.trace)
    if refused is not None:
        earlier = wrong is not None and (wrong.line or 0) <= (refused.line or 0)
        yield ZERO, wrong if wrong is not None and earlier else refused
        return
    if trace.stopped is not None:
        why = f"the control stops here, though the plate lies within the band: {trace.stopped.reason}"
        advice = "let the search and its guard allow for the whole plate band of the machine file"
        yield STOPPED, Hit(why, advice, trace.stopped.line, severity=Severity.WARNING)
    elif wrong is None and len(played.light_rows) != len(clean.light_rows):
        message = f"the torch lights {counted(len(played.light_rows), 'time')}, not {len(clean.light_rows)}"
        yield ZERO, Hit(message, "let nothing depend on where zero, torch and plate lie", int(trace.line[-1]))
        return
    if wrong is not None:
        yield ZERO, wrong
    else:
        yield from ((ZERO, hit) for hit in in_place.travel())
    yield from ((HEIGHT, hit) for hit in (*_missed(played, clean, machine), *_heights(played, clean, machine)))


def _missed(played: Played, clean: Played, machine: Machine) -> Iterator[Hit]:
    """Tell the first search that ends over a plate within the band, where the program goes on all the same."""
    pairs = zip(played.probe_rows.tolist(), clean.probe_rows.tolist(), played.searches, clean.searches, strict=False)
    for row, base, search, was in pairs:
        if search.probed.tripped or not was.probed.tripped or row + 1 >= len(played.trace):
            continue
        short = search.probed.rest[2] - search.top + machine.trip_depth
        where = say("ends {short} above its trip", short=mm(short, ".1f")) if short > 0 else "finds nothing"
        message = say("the search {where}, the plate lies within the band, and the program goes on", where=where)
        _, at = place_of(clean.trace, base)
        yield Hit(
            message, say("search for height + float + band + {more}", more=mm(1)), int(played.trace.line[row]), at
        )
        return


def _refused(trace: Trace, base: Trace) -> Hit | None:
    """Return the first line that the control refuses here alone."""
    known = {unread.line for unread in base.unread if unread.error}
    for unread in trace.unread:
        if unread.error and unread.line not in known:
            return Hit(say("the control refuses this line: {reason}", reason=unread.told), _ABSOLUTE, unread.line)
    return None


def _burning(trace: Trace) -> Ints:
    """Return the rows that move with the torch on."""
    return np.flatnonzero(trace.torch & np.isin(trace.kind, _MOVES)).astype(np.int64)


def _together(now: Ints, was: Ints) -> _Pairs:
    """Return rows of both runs in their order; where the program stopped here the later ones are left out."""
    count = min(len(now), len(was))
    return _Pairs(now[:count], was[:count])


class _ZeroJudge:
    """What in the plane does not follow the zero."""

    def __init__(self, played: Played, clean: Played) -> None:
        self.played, self.clean = played, clean
        start, old = played.scenario.start, clean.scenario.start
        self.zero = np.array(played.trace.xy_origin) - np.array(clean.trace.xy_origin)
        park = np.array(start.position[:2]) - np.array(old.position[:2])
        self.causes = (
            (_PARKED, park),
            (_MACHINE, np.zeros(2)),
            (_SYSTEM, self.zero + np.array(start.apart[:2])),
            (_TWICE, 2 * self.zero),
        )
        self.rowwise = len(played.trace) == len(clean.trace)

    def wrong(self, *, raised: bool, stays: bool) -> Hit | None:
        """Return the first of what may not be anywhere else.

        `raised`: no torch is lit, so all motion counts. `stays`: a program that touches where the torch stands.
        """
        a, b = self.played, self.clean
        found = [
            *self._apart("this cut starts", _together(a.light_rows, b.light_rows), stays),
            *self._apart("this touch-off is made", _together(a.probe_rows, b.probe_rows), stays),
            *self._apart("this cut runs", _together(_burning(a.trace), _burning(b.trace)), stays),
            *(self._raised() if raised else ()),
        ]
        return self._hit(min(found, key=lambda off: off.row)) if found else None

    def travel(self) -> Iterator[Hit]:
        """Tell travel with the torch off that goes elsewhere: a warning."""
        rows, by, off = self._travels(~self.played.trace.torch)
        for k in np.flatnonzero(off.any(axis=1))[:1].tolist():
            row = int(rows[k])
            yield self._hit(_Off(row, row, "this travel goes", off[k], by[k]), Severity.WARNING)

    def _apart(self, what: str, pairs: _Pairs, stays: bool) -> list[_Off]:
        """Return the first pair of rows that lie apart, seen from zero."""
        now, was = self.played.trace, self.clean.trace
        by = now.end[pairs.now, :2] - was.end[pairs.was, :2]
        off = np.abs(by - self.zero) > APART
        if stays:
            off &= _moved(now)[pairs.now]
        off |= (np.abs(now.sweep[pairs.now] - was.sweep[pairs.was]) > APART)[:, None]
        rows = np.flatnonzero(off.any(axis=1))
        return [_Off(int(pairs.now[k]), int(pairs.was[k]), what, off[k], by[k]) for k in rows[:1]]

    def _travels(self, judged: Bools) -> tuple[Ints, Floats, Bools]:
        """Return of the rows judged those that move in the plane, by how much they lie apart, and which axes are off.

        An axis that has not been moved yet stands where the torch was parked; that is no travel.
        """
        now, was = self.played.trace, self.clean.trace
        if not self.rowwise:
            return np.empty(0, dtype=np.int64), np.empty((0, 2)), np.empty((0, 2), dtype=np.bool_)
        moves = np.isin(now.kind, _MOVES) & (np.abs(now.end - now.start)[:, :2].max(axis=1, initial=0.0) > APART)
        rows = np.flatnonzero(moves & judged)
        by = now.end[rows, :2] - was.end[rows, :2]
        return rows, by, (np.abs(by - self.zero) > APART) & _moved(now)[rows]

    def _raised(self) -> list[_Off]:
        """Return the first motion of a program without an arc that is off, its way from and to elsewhere left out.

        These are rapids before all else or behind it, with no stop to look where they end.
        """
        rows, by, off = self._travels(np.ones(len(self.played.trace), dtype=np.bool_))
        wrong = off.any(axis=1)
        fine = rows[~wrong]
        if len(fine):
            kinds = self.played.trace.kind
            stops = np.append(np.flatnonzero(np.isin(kinds, (Step.STOP, Step.OPTIONAL_STOP))), len(kinds))
            looked = stops[np.searchsorted(stops, rows)]
            there = (rows < fine[0]) & (looked > fine[0])
            away = (rows > fine[-1]) & (looked == len(kinds))
            wrong &= ~((kinds[rows] == Step.RAPID) & (there | away))
        return [_Off(int(rows[k]), int(rows[k]), "this motion goes", off[k], by[k]) for k in np.flatnonzero(wrong)[:1]]

    def _hit(self, off: _Off, severity: Severity | None = None) -> Hit:
        axes = off.axes
        said = next((text for text, to in self.causes if (np.abs(off.by - to)[axes] < APART).all()), _ELSE)
        _, at = place_of(self.clean.trace, off.was)
        return Hit(said.format(what=off.what), _ABSOLUTE, int(self.played.trace.line[off.row]), at, severity)


def _moved(trace: Trace) -> Bools:
    """Return of each row (n, 2) whether X and Y have been moved up to its end."""
    moving = (np.abs(trace.end - trace.start)[:, :2] > 1e-9) & np.isin(trace.kind, (*_MOVES, Step.PROBE))[:, None]
    return np.asarray(np.maximum.accumulate(moving, axis=0))


def _heights(played: Played, clean: Played, machine: Machine) -> Iterator[Hit]:
    """Tell the first arc start and the first motion with the torch on that do not follow the plate."""
    for what, now, was in (
        ("this cut starts", played.light_rows, clean.light_rows),
        ("this cut runs", _burning(played.trace), _burning(clean.trace)),
    ):
        rows = _together(now, was)
        expected, known, before = _lifted(played, clean, machine, rows)
        by = played.trace.end[rows.now, 2] - clean.trace.end[rows.was, 2]
        wrong = np.flatnonzero(known & (np.abs(by - expected) > HEIGHT_PLAYED))
        if not len(wrong):
            continue
        k = int(wrong[0])
        line, (_, at) = int(played.trace.line[rows.now[k]]), place_of(clean.trace, int(rows.was[k]))
        message = say(
            "{what} {by} off its height over the plate: {why}",
            what=what,
            by=mm(by[k] - expected[k], "+.2f"),
            why=_why(by[k], before[k]),
        )
        advice = "set the Z datum anew from this cut's own touch-off, by the trip that it found"
        yield Hit(message, advice, line, at)
        return


def _why(by: float, before: float) -> str:
    """Return why a height is off that lies `by` higher here, where the plate of the touch-off before lies `before`."""
    if abs(by) < HEIGHT_PLAYED:
        return "it stays at one height of the machine, wherever the plate was found"
    if abs(by - before) < HEIGHT_PLAYED:
        return "what its touch-off found is not used, the one before still counts"
    return "it does not follow what its touch-off found"


def _lifted(played: Played, clean: Played, machine: Machine, rows: _Pairs) -> tuple[Floats, Bools, Floats]:
    """Return how much higher each pair must lie, whether that is known, and how much by the touch-off before."""
    rise = played.scenario.plate.z - clean.scenario.plate.z
    if machine.touch_off is TouchOff.NONE:
        n = len(rows.now)
        return np.full(n, rise), np.ones(n, dtype=np.bool_), np.full(n, np.nan)
    count = min(len(played.searches), len(clean.searches))
    last, old = (np.searchsorted(of.probe_rows, at) - 1 for of, at in ((played, rows.now), (clean, rows.was)))
    pairs = zip(played.searches[:count], clean.searches[:count], strict=True)
    found = np.array([(a.top - b.top, a.probed.tripped and b.probed.tripped, a.pierce) for a, b in pairs]).reshape(
        -1, 3
    )
    known = (last >= 0) & (last == old) & (last < count)
    at = np.where(known, last, 0)
    if not count:
        return np.zeros(len(at)), known, np.full(len(at), np.nan)
    pierce = found[:, 2]
    before = np.searchsorted(pierce, pierce, side="left") - 1  # the last search of the pierce before
    earlier = np.where(before >= 0, found[before, 0], np.nan)
    return found[at, 0], known & (found[at, 1] > 0), earlier[at]
