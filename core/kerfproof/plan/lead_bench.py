"""Leads tried by hand: kept edges and kerfs made ready once, then one verdict in well under a millisecond."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.cut_plan import Cut, Point
from kerfproof.geom.path import Floats, Path
from kerfproof.job.job import Job
from kerfproof.plan.build import LeadSetting
from kerfproof.plan.clearance import SLACK, Clearances, Conflicts, Runs, plain
from kerfproof.plan.leads.candidates import SHRINK_COST, full_sizes, is_slot
from kerfproof.plan.leads.conflicting_leads import Rivals
from kerfproof.plan.leads.lead import Starts, lead_path, lead_shapes
from kerfproof.plan.leads.starts import Places, nearest_place
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

AIR = 1.0
"""A lead is tight when it would not fit with so much more (mm) kept free around it."""
CORNER_REACH = 2.0
"""A start this near (mm) to an outside corner may begin there."""


@dataclass(frozen=True, slots=True)
class Snap:
    """A place on a kerf path that a lead likes to sit on: ``corner`` or ``middle`` (of a straight)."""

    kind: str
    at: Point


@dataclass(frozen=True, slots=True, eq=False)
class LeadTry:
    """One lead at one place, and what to think of it.

    `word` is ``clear``, ``tight``, ``touches kept metal``, ``over a void``, ``crosses another cut``, ``meets another
    lead`` or ``off the plate``; `reasons` are whole phrases. `at` is the start on the kerf path, `pinned` the place
    on the drawn contour that a pin names. `must_precede` are features that have to be cut later than this one,
    `push` those whose lead, which nobody pinned, has to go elsewhere.
    """

    fits: bool
    word: str
    reasons: tuple[str, ...]
    shape: str
    size: float
    path: Path
    pierce: Point
    at: Point
    pinned: Point
    crater_radius: float
    must_precede: tuple[int, ...]
    push: tuple[int, ...] = ()


class LeadBench:
    """The sheet of a plan with its ground, on which leads are tried by feature number.

    `cuts` are those of the plan; of their leads those of `pinned` features stay, the others may give way.
    """

    def __init__(
        self,
        setting: LeadSetting,
        machine: Machine,
        process: Process,
        job: Job,
        cuts: Sequence[Cut] = (),
        pinned: Collection[int] = (),
    ) -> None:
        self.setting, self.machine, self.process, self.job = setting, machine, process, job
        self.shapes = lead_shapes()
        self.clear = Clearances.of(process, machine)
        self._rivals = Rivals(cuts, pinned, self.clear)
        self._loop = {loop.feature.number: k for k, loop in reversed(list(enumerate(setting.sheet.loops)))}
        self._full = {name: full_sizes(setting.sheet, s, process, job.leads) for name, s in self.shapes.items()}
        self._corners = setting.sheet.corners() if len(setting.sheet.loops) else None

    def knows(self, feature: int) -> bool:
        """Return whether a feature has a closed kerf path, so that its lead can be moved."""
        return feature in self._loop

    def kerf_path(self, feature: int) -> Path:
        """Return the closed path of the torch's centre round a feature."""
        return self.setting.sheet.loops[self._loop[feature]].path

    def shapes_for(self, feature: int) -> dict[str, str]:
        """Return the names and titles of the lead shapes that suit a feature."""
        loop = self._loop[feature]
        kind = self.setting.sheet.loops[loop].feature.kind
        corners = self._corners is not None and bool((self._corners.loop == loop).any())
        return {n: s.title for n, s in self.shapes.items() if kind in s.kinds and (corners or not s.corner)}

    def full_size(self, feature: int, shape: str) -> float:
        """Return the size (mm) that a shape has on a feature where nothing is in its way."""
        return float(self._full[shape][self._loop[feature]])

    def snaps(self, feature: int) -> tuple[Snap, ...]:
        """Return outside corners and middles of straights of a feature's kerf path."""
        loop, sheet = self._loop[feature], self.setting.sheet
        out = []
        if self._corners is not None:
            for at in self._corners.starts.at[self._corners.loop == loop]:
                out.append(Snap("corner", plain(at)))
        s = self.kerf_path(feature).segments()
        straight = np.flatnonzero(~s.is_arc & (s.lengths() > 2 * sheet.kerf[loop]))
        for at in s.points(straight, np.full(len(straight), 0.5)):
            out.append(Snap("middle", plain(at)))
        return tuple(out)

    def nearest(self, feature: int, point: Point) -> Point:
        """Return the place on a feature's kerf path that is nearest to a point."""
        path = self.kerf_path(feature)
        segment, share = nearest_place(path, np.array(point, dtype=np.float64))
        return plain(path.segments().points(np.array([segment]), np.array([share]))[0])

    def along(self, feature: int, point: Point) -> float:
        """Return how far (mm) along a feature's kerf path the place on it lies that is nearest to a point."""
        path = self.kerf_path(feature)
        segment, share = nearest_place(path, np.array(point, dtype=np.float64))
        lengths = path.segments().lengths()
        return float(lengths[:segment].sum() + share * lengths[segment])

    def judge(self, feature: int, point: Point, shape: str | None = None, size: float | None = None) -> LeadTry:
        """Return the best lead at the start nearest to a point, or what is wrong with it.

        With a `shape` only that one is tried, with a `size` (mm) only so large; else sizes shrink as they do in a plan.

        Raises
        ------
        ValueError
            If the feature has no closed kerf path, or the shape does not suit it.
        """
        loop = self._loop.get(feature)
        if loop is None:
            raise ValueError("this feature has no lead that can be moved")
        tries = self._tries(loop, np.array(point, dtype=np.float64), shape, size)
        if not tries:
            raise ValueError(f"no lead shape {shape!r} for this contour here")
        tries.sort(key=lambda t: round(t[0], 6))
        row = 0
        for some in (tries[:1], tries):  # mostly the first one fits
            starts = Starts(*(np.concatenate([getattr(t[3].starts, n) for t in some]) for n in Starts.__slots__))
            runs = self._runs(loop, some, starts)
            judged = self.setting.ground.judge(runs, self.clear)
            good = np.flatnonzero(self._good(judged, feature))
            if len(good):
                row = int(good[0])
                break
        _, name, full, _ = tries[row]
        one = runs.take(np.array([row]))
        rivals = self._rivals.of(one)
        reasons, word, later = self._said(judged, row, one, feature, rivals)
        at, pierce = plain(one.near[0]), plain(one.far[0])
        return LeadTry(
            not reasons, word, reasons, name, full, lead_path(pierce, float(one.bulge[0]), at), pierce, at,
            self._on_contour(loop, at), self.process.crater_radius, later,
            tuple(n for n in rivals if n not in self._rivals.pinned),
        )  # fmt: skip

    def _tries(
        self, loop: int, point: Floats, shape: str | None, size: float | None
    ) -> list[tuple[float, str, float, Places]]:
        sheet = self.setting.sheet
        kind = sheet.loops[loop].feature.kind
        out = []
        on = self._on_path(loop, point)
        for name, lead in self.shapes.items():
            if kind not in lead.kinds or (shape is not None and name != shape):
                continue
            places = self._corner(loop, point, wished=shape is not None) if lead.corner else on
            if places is None:
                continue
            full = float(self._full[name][loop]) if size is None else size
            shares = lead.shares if size is None else (1.0,)
            rank = lead.slot_rank if is_slot(sheet.loops[loop], self.process) else lead.rank
            out += [(rank + SHRINK_COST * (1 - share), name, full * share, places) for share in shares]
        return out

    def _on_path(self, loop: int, point: Floats) -> Places:
        """Return the start on one contour nearest to a point, as `Sheet.place_near` does, without the whole sheet."""
        sheet = self.setting.sheet
        segment, share = nearest_place(sheet.loops[loop].path, point)
        which, at = np.array([sheet.first[loop] + segment]), np.array([share])
        s = sheet.loops[loop].path.segments()
        along = s.tangents(np.array([segment]), at)
        mine = np.array([loop])
        starts = Starts(s.points(np.array([segment]), at), along, sheet.scrap(along, mine))
        return Places(mine, which, at, np.array([-1]), np.zeros(1), starts)

    def _corner(self, loop: int, point: Floats, *, wished: bool) -> Places | None:
        if self._corners is None:
            return None
        mine = np.flatnonzero(self._corners.loop == loop)
        if not len(mine):
            return None
        away = np.hypot(*(self._corners.starts.at[mine] - point).T)
        best = int(np.argmin(np.round(away, 9)))
        if not wished and away[best] > CORNER_REACH + self.setting.sheet.kerf[loop]:
            return None
        return self._corners.take(mine[[best]])

    def _runs(self, loop: int, tries: list[tuple[float, str, float, Places]], starts: Starts) -> Runs:
        sheet, n = self.setting.sheet, len(tries)
        far, bulge = np.empty((n, 2)), np.empty(n)
        for k, (_, name, size, places) in enumerate(tries):
            far[k], bulge[k] = (a[0] for a in self.shapes[name].draw(places.starts, np.array([size])))
        number = sheet.loops[loop].feature.number
        return Runs(
            far, starts.at, bulge, np.full(n, number), np.full(n, sheet.kerf[loop]), np.full(n, self.clear.face)
        )

    def _good(self, judged: Conflicts, feature: int) -> np.ndarray:
        good = judged.fits.copy()
        early = self.setting.ranks[judged.other] <= self.setting.ranks[feature]
        good[judged.beside[early]] = False
        return good

    def _said(
        self, judged: Conflicts, row: int, run: Runs, feature: int, rivals: Sequence[int]
    ) -> tuple[tuple[str, ...], str, tuple[int, ...]]:
        ranks = self.setting.ranks
        others = judged.other[judged.beside == row].tolist()
        void = [n for n in others if ranks[n] <= ranks[feature]]
        said = (
            (bool(judged.metal[row]), "touches kept metal", "the kerf of the lead would touch metal you keep"),
            (bool(judged.crater[row]), "touches kept metal", "the pierce crater would reach a kept edge"),
            (bool(judged.plate[row]), "off the plate", "the pierce is too near the edge of the plate"),
            (bool(judged.kerf[row]), "crosses another cut", "the kerf of the lead would cross another cut"),
            (bool(void), "over a void", "the tip would rest on a slot that is cut before"),
            (not self._rivals.pinned.isdisjoint(rivals), "meets another lead", "a lead placed by hand is in the way"),
        )
        wrong = [(word, phrase) for mask, word, phrase in said if mask]
        if wrong:
            return tuple(phrase for _, phrase in wrong), wrong[0][0], tuple(others)
        return (), "tight" if others or rivals or self._is_tight(run) else "clear", tuple(others)

    def _is_tight(self, run: Runs) -> bool:
        """Return whether a lead that fits would not with a mm more kept free round its pierce."""
        wanted = self.clear.edge + AIR
        if float(self.setting.ground.room(run.far, wanted)[0]) < wanted - SLACK:
            return True
        plate = self.setting.ground.plate
        if plate is None:
            return False
        x, y = plain(run.far[0])
        return min(x - plate[0], plate[2] - x, y - plate[1], plate[3] - y) < self.clear.plate + AIR - SLACK

    def _on_contour(self, loop: int, at: Point) -> Point:
        path = self.setting.sheet.loops[loop].feature.contour.path
        segment, share = nearest_place(path, np.array(at))
        return plain(path.segments().points(np.array([segment]), np.array([share]))[0])
