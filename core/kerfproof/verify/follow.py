"""Whether a program goes along where zero, torch and plate lie elsewhere than on the table as it should be.

Each arc start, each search and all motion with the torch on must lie where it lay, seen from program zero; and as high
as it was, seen from the plate that was found at the touch-off it relies on. That holds whatever words lead there.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.machine.profile import Machine, TouchOff
from kerfproof.motion.trace import Step, Trace
from kerfproof.verify.inherited import place_of
from kerfproof.verify.limits import HEIGHT_PLAYED
from kerfproof.verify.play import Played
from kerfproof.verify.rule import Hit

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


def followed(played: Played, clean: Played, machine: Machine, mode: str) -> Iterator[tuple[str, Hit]]:
    """Tell with the name of its kind what does not go along; `clean` is the run on the table as it should be."""
    trace, base = played.trace, clean.trace
    refused = _refused(trace, base)
    if refused is not None:
        yield ZERO, refused
        return
    if trace.stopped is not None:
        why = f"the control stops here, though the plate lies within the band: {trace.stopped.reason}"
        advice = "let the search and its guard allow for the whole plate band of the machine file"
        yield STOPPED, Hit(why, advice, trace.stopped.line, severity=Severity.WARNING)
    elif len(played.light_rows) != len(clean.light_rows):
        message = f"the torch lights {len(played.light_rows)} times, not {len(clean.light_rows)} times"
        row = int(played.light_rows[-1]) if len(played.light_rows) else 0
        line, at = place_of(trace, row) if len(trace) else (None, None)
        yield ZERO, Hit(message, "let nothing depend on where zero, torch and plate lie", line, at)
        return
    in_place = _ZeroJudge(played, clean, machine)
    wrong = in_place.wrong(raised=mode not in ("cut", "touch"), stays=mode == "touch")
    if wrong is not None:
        yield ZERO, wrong
    else:
        yield from ((ZERO, hit) for hit in in_place.travel())
    yield from ((HEIGHT, hit) for hit in _heights(played, clean, machine))


def _refused(trace: Trace, base: Trace) -> Hit | None:
    """Return the first line that the control refuses here alone."""
    known = {unread.line for unread in base.unread if unread.error}
    for unread in trace.unread:
        if unread.error and unread.line not in known:
            return Hit(f"the control refuses this line: {unread.reason}", _ABSOLUTE, unread.line)
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

    def __init__(self, played: Played, clean: Played, machine: Machine) -> None:
        self.played, self.clean, self.machine = played, clean, machine
        start, old = played.scenario.start, clean.scenario.start
        self.zero = np.array(played.trace.xy_origin) - np.array(clean.trace.xy_origin)
        self.park = np.array(start.position[:2]) - np.array(old.position[:2])
        self.others = self.zero + np.array(start.apart[:2])
        self.rowwise = len(played.trace) == len(clean.trace)

    def wrong(self, *, raised: bool, stays: bool) -> Hit | None:
        """Return the first of what may not be anywhere else.

        `raised`: no torch is lit, so all motion counts. `stays`: a program that touches where the torch stands.
        """
        a, b = self.played, self.clean
        kinds = [
            ("this cut starts", _together(a.light_rows, b.light_rows)),
            ("this touch-off is made", _together(a.probe_rows, b.probe_rows)),
            ("this cut runs", _together(_burning(a.trace), _burning(b.trace))),
        ]
        found: list[tuple[int, str, Bools, Floats]] = []
        for what, pairs in kinds:
            found += self._apart(what, pairs, moved_only=stays)
        if raised:
            found += self._raised()
        if not found:
            return None
        row, what, axes, by = min(found, key=lambda one: one[0])
        return self._hit(row, what, axes, by, None)

    def _apart(self, what: str, pairs: _Pairs, *, moved_only: bool) -> list[tuple[int, str, Bools, Floats]]:
        """Return the first pair of rows that lie apart, seen from zero: row, what it is, axes, by how much."""
        now, was = self.played.trace, self.clean.trace
        by = now.end[pairs.now, :2] - was.end[pairs.was, :2]
        off = np.abs(by - self.zero) > APART
        if moved_only:
            off &= _moved(now)[pairs.now]
        else:
            arcs = now.kind[pairs.now] == Step.ARC
            turned = np.abs(now.sweep[pairs.now] - was.sweep[pairs.was]) > APART
            off |= (arcs & turned)[:, None]
        rows = np.flatnonzero(off.any(axis=1))
        return [(int(pairs.now[k]), what, off[k], by[k]) for k in rows[:1]]

    def _travels(self, judged: Bools) -> tuple[Ints, Floats, Bools]:
        """Return of the rows judged those that move in the plane, by how much they lie apart, and which axes are off.

        An axis that has not been moved yet stands where the torch was parked; that is no travel.
        """
        now, was = self.played.trace, self.clean.trace
        moves = np.isin(now.kind, _MOVES) & (np.abs(now.end - now.start)[:, :2].max(axis=1, initial=0.0) > APART)
        rows = np.flatnonzero(moves & judged)
        by = now.end[rows, :2] - was.end[rows, :2]
        return rows, by, (np.abs(by - self.zero) > APART) & _moved(now)[rows]

    def _raised(self) -> list[tuple[int, str, Bools, Floats]]:
        """Return the first motion of a program without an arc that is off, its way from and to elsewhere left out."""
        if not self.rowwise:
            return []
        rows, by, off = self._travels(np.ones(len(self.played.trace), dtype=np.bool_))
        if not len(rows):
            return []
        fine = np.flatnonzero(~off.any(axis=1))
        wrong = np.flatnonzero(off.any(axis=1))
        inside = wrong[(wrong > fine[0]) & (wrong < fine[-1])] if len(fine) else wrong
        return [(int(rows[k]), "this motion goes", off[k], by[k]) for k in inside[:1]]

    def travel(self) -> Iterator[Hit]:
        """Tell travel with the torch off that goes elsewhere: a warning."""
        if not self.rowwise:
            return
        rows, by, off = self._travels(~self.played.trace.torch)
        for k in np.flatnonzero(off.any(axis=1))[:1].tolist():
            yield self._hit(int(rows[k]), "this travel goes", off[k], by[k], Severity.WARNING)

    def _hit(self, row: int, what: str, axes: Bools, by: Floats, severity: Severity | None) -> Hit:
        causes = (
            (_PARKED, self.park),
            (_MACHINE, np.zeros(2)),
            (_SYSTEM, self.others),
            (_TWICE, 2 * self.zero),
        )
        said = next((text for text, to in causes if axes.any() and (np.abs(by - to)[axes] < APART).all()), _ELSE)
        line, at = place_of(self.played.trace, row)
        return Hit(said.format(what=what), _ABSOLUTE, line, at, severity)


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
        line, at = place_of(played.trace, int(rows.now[k]))
        message = f"{what} {by[k] - expected[k]:+.2f} mm off its height over the plate: {_why(by[k], before[k])}"
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
