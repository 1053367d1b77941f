"""Tabs: outlines cut in stretches, with small bridges of metal between them that hold the part in the sheet.

A tab lies just behind the start of each stretch, because the torch needs a new pierce there anyway: in the scrap,
with a lead that leans away from the tab. So tabs go where such a start has room, off corners.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.cut_plan import Cut, Point
from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bools, Floats, Path
from kerfproof.plan.clearance import Clearances, Ground, Runs
from kerfproof.plan.kerf import KerfLoop
from kerfproof.shop.chart import Process

OUT = (5.0, 4.0, 3.2, 6.5, 8.0)
"""How far out in the scrap the pierce may lie, the best first, mm."""
AHEAD = (0.0, 1.5, 3.0)
"""How much farther ahead than it must be so that the tip's face clears the stretch behind the tab, mm."""
STEP, HAND_REACH = 2.0, 6.0
"""Other places are tried every so many mm; a tab set by hand stays within the second, mm."""
CORNER_DEG, OFF_CORNER = 10.0, 3.0
"""Turns that count as corners, and how far (mm) from them a tab stays (common practice, no source)."""
LEAST_STRETCH = 4.0
"""A stretch is at least so many times as long as its tab."""


@dataclass(frozen=True, slots=True, eq=False)
class Tabbed:
    """The cuts with outlines in stretches; the tabs as pieces of the torch's path that are not cut; findings."""

    cuts: tuple[Cut, ...]
    tabs: tuple[Path, ...]
    findings: tuple[Finding, ...]


def tab_width(process: Process, wanted: float | None) -> float:
    """Return the width of the metal that a tab leaves: as wanted, else 2 mm or 0.6 of the thickness.

    Common practice, from memory: enough to hold while the slats shake, little enough to be cut by hand.
    """
    return wanted if wanted is not None else max(2.0, 0.6 * process.thickness)


def with_tabs(
    cuts: Sequence[Cut],
    loops: Sequence[KerfLoop],
    ground: Ground,
    clear: Clearances,
    count: int,
    width: float,
    places: Mapping[int, Sequence[Point]],
) -> Tabbed:
    """Return the cuts in their order, each outline with `count` tabs of metal `width` wide, and those by hand.

    `places` are points on or near outlines by feature number, plate coordinates.
    """
    by_feature = {loop.feature.number: loop for loop in loops}
    out: list[Cut] = []
    tabs: list[Path] = []
    findings: list[Finding] = []
    done: set[int] = set()
    for cut in cuts:
        here = tuple(places.get(cut.feature, ()))
        loop = by_feature.get(cut.feature)
        if cut.kind != "outline" or loop is None or not (count or here):
            out.append(cut)
        else:
            bench = _Bench(loop, cut, ground, clear, width, done)
            starts, lost = bench.starts(0 if here else count, here)
            out += bench.stretches(starts) if starts else [cut]
            tabs += bench.gaps(starts)
            findings += lost
        done.add(cut.feature)
    return Tabbed(tuple(out), tuple(tabs), tuple(findings))


@dataclass(frozen=True, slots=True)
class _Start:
    """One stretch's start: length along the loop, and the pierce."""

    at: float
    pierce: Point


class _Bench:
    """One outline: where stretches can begin."""

    def __init__(
        self, loop: KerfLoop, cut: Cut, ground: Ground, clear: Clearances, width: float, done: set[int]
    ) -> None:
        self.loop, self.cut, self.ground, self.clear, self.done = loop, cut, ground, clear, set(done)
        self.gap, self.width = width + loop.kerf, width
        self.path = loop.path
        self.segments = self.path.segments()
        self.ends = np.cumsum(self.segments.lengths())
        self.total = float(self.ends[-1])
        self.out = -1.0 if self.path.area() > 0 else 1.0
        self.corners = self._corners()

    def starts(self, count: int, places: Sequence[Point]) -> tuple[list[_Start], list[Finding]]:
        """Return where stretches begin, in order along the loop, and what had no room."""
        most = int(self.total / (LEAST_STRETCH * self.gap))
        count = min(count, most)
        spacing = self.total / max(count, 1)
        targets = [(k + 0.5) * spacing for k in range(count)]
        reach = 0.4 * spacing
        if places:
            targets, reach = [self._along(place) + self.gap / 2 for place in places], HAND_REACH
        found: list[_Start] = []
        for target in targets:
            start = self._start_near(target, reach, found)
            if start is not None:
                found.append(start)
        found.sort(key=lambda start: start.at)
        wanted = max(len(targets), len(places), 1)
        return found, [] if len(found) == wanted and targets else [self._no_room(len(found), wanted)]

    def _no_room(self, found: int, wanted: int) -> Finding:
        x, y = (float(v) for v in self.path.start)
        label = self.loop.feature.label
        what = f"{label} has room for {found} of {wanted} tabs"
        if not found:
            what = f"{label} has no room for a tab, so it comes free"
        advice = "leave more scrap around it, or make the tabs narrower"
        return Finding("tab-without-room", Severity.WARNING, what, advice, x=x, y=y)

    def _corners(self) -> Floats:
        """Return the lengths along the loop at which it turns sharply."""
        s, every = self.segments, np.arange(len(self.segments))
        leave, enter = s.tangents(every, np.ones(len(s))), np.roll(s.tangents(every, np.zeros(len(s))), -1, axis=0)
        turn = np.degrees(np.arccos(np.clip((leave * enter).sum(axis=1), -1.0, 1.0)))
        tight = np.flatnonzero(s.is_arc & (s.radius < self.gap))  # an outside corner is rolled round by a small arc
        return np.concatenate([self.ends[turn > CORNER_DEG], self.ends[tight], (self.ends - s.lengths())[tight]])

    def _along(self, place: Point) -> float:
        """Return how far along the loop it passes nearest to a place."""
        step = np.linspace(0.0, self.total, max(int(self.total), 8), endpoint=False)
        points = self._frames(step)[0]
        return float(step[int(np.argmin(np.round(np.hypot(*(points - place).T), 6)))])

    def _frames(self, at: Floats) -> tuple[Floats, Floats]:
        """Return points and unit tangents at lengths along the loop."""
        at = np.mod(at, self.total)
        k = np.minimum(np.searchsorted(self.ends, at, side="right"), len(self.ends) - 1)
        share = np.clip(1.0 - (self.ends[k] - at) / self.segments.lengths()[k], 0.0, 1.0)
        return self.segments.points(k, share), self.segments.tangents(k, share)

    def _start_near(self, target: float, reach: float, found: Sequence[_Start]) -> _Start | None:
        """Return the start nearest to a length along the loop where lead and tab have room."""
        steps = np.arange(0.0, reach + STEP, STEP)
        offsets = np.concatenate([[0.0], *([[d, -d]] for d in steps[1:])], axis=None)
        at = target + offsets
        at = at[[self._is_free(float(a), found) for a in at]]
        if not len(at):
            return None
        points, ways = self._frames(at)
        normals = self.out * np.column_stack([-ways[:, 1], ways[:, 0]])
        rows = [(k, out, more) for k in range(len(at)) for out in OUT for more in AHEAD]
        which = np.array([row[0] for row in rows])
        out = np.array([row[1] for row in rows])
        clear = self.clear.face + self.loop.kerf / 2 + 0.05
        least = np.sqrt(np.maximum(clear**2 - out**2, 0.0)) - self.gap  # the stretch behind ends a gap before
        ahead = np.maximum(least, 0.25 * out) + [row[2] for row in rows]
        far = points[which] + out[:, None] * normals[which] + ahead[:, None] * ways[which]
        behind = self._frames(at - self.gap)[0][which]
        sound = np.hypot(*(far - behind).T) >= clear - 0.05
        best = self._first_fit(far, points[which], sound)
        if best is None:
            return None
        return _Start(float(np.mod(at[which[best]], self.total)), (float(far[best, 0]), float(far[best, 1])))

    def _first_fit(self, far: Floats, near: Floats, sound: Bools) -> int | None:
        n = len(far)
        runs = Runs(
            far, near, np.zeros(n), np.full(n, self.loop.feature.number), np.full(n, self.loop.kerf),
            np.full(n, self.clear.face),
        )  # fmt: skip
        judged = self.ground.judge(runs, self.clear)
        fits = judged.fits & sound
        late = np.isin(judged.other, np.array(sorted(self.done), dtype=np.int64))
        fits[judged.beside[late]] = False
        good = np.flatnonzero(fits)
        return int(good[0]) if len(good) else None

    def _is_free(self, at: float, found: Sequence[_Start]) -> bool:
        """Return whether a tab that ends at `at` is clear of corners and of the other tabs."""
        middle, reach = at - self.gap / 2, self.gap / 2 + OFF_CORNER
        off = [abs((middle - corner + self.total / 2) % self.total - self.total / 2) for corner in self.corners]
        apart = [abs((at - s.at + self.total / 2) % self.total - self.total / 2) for s in found]
        return all(d >= reach for d in off) and all(d >= LEAST_STRETCH * self.gap for d in apart)

    # --- cuts ---------------------------------------------------------------------------------------------

    def stretches(self, starts: Sequence[_Start]) -> list[Cut]:
        """Return the cuts between the tabs."""
        out = []
        for k, start in enumerate(starts):
            following = starts[(k + 1) % len(starts)].at
            length = (following - start.at) % self.total or self.total
            contour = self.path.part(start.at, start.at + length - self.gap)
            lead = Path.polyline(np.array([start.pierce, contour.start]))
            label = f"{self.cut.label}, stretch {k + 1} of {len(starts)}"
            out.append(_stretch(self.cut, label, start.pierce, lead, contour))
        return out

    def gaps(self, starts: Sequence[_Start]) -> list[Path]:
        """Return the pieces of the loop that the tabs leave uncut."""
        return [self.path.part(start.at - self.gap, start.at) for start in starts]


def _stretch(cut: Cut, label: str, pierce: Point, lead: Path, contour: Path) -> Cut:
    fields = {name: getattr(cut, name) for name in Cut.__slots__}
    changes = {
        "label": label, "pierce": pierce, "lead_in": lead, "contour": contour, "over_burn": None, "lead_out": None,
        "lead_shape": "straight",
    }  # fmt: skip
    return Cut(**{**fields, **changes})
