"""Which lead each contour gets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.cut_plan import Point
from kerfproof.errors import Finding, KerfproofError, Severity, Watch, no_watch
from kerfproof.geom.path import Ints, Path
from kerfproof.job.job import Job, Pin, SmallHoles
from kerfproof.memo import Memo
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.clearance import WORN, Clearances, Ground, plain
from kerfproof.plan.leads.candidates import Candidates, candidates
from kerfproof.plan.leads.lead import lead_path, lead_shapes
from kerfproof.plan.leads.rounds import Chosen, in_rounds
from kerfproof.plan.leads.starts import KerfSheet, Places, joined
from kerfproof.sentence import mm, named, say
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

DENSE_STEP = 3.0
"""Where the best starts have no room, starts are tried every so many mm."""
PIN_TO_CORNER = 2.0
"""A pin this near (mm) to an outside corner may begin there."""


@dataclass(frozen=True, slots=True)
class ChosenLead:
    """The lead of one contour: shape, size (mm), start on the contour, pierce.

    `segment` and `share` say where on the kerf path it begins; `back` is the segment that ends at an outside
    corner, None elsewhere.
    """

    shape: str
    size: float
    segment: int
    share: float
    back: int | None
    at: Point
    pierce: Point
    bulge: float

    @property
    def path(self) -> Path:
        """The way from pierce to contour."""
        return lead_path(self.pierce, self.bulge, self.at)


@dataclass(frozen=True, slots=True, eq=False)
class Leads:
    """The leads of a sheet: one or None per contour, what was noticed, which features must come before which."""

    leads: tuple[ChosenLead | None, ...]
    findings: tuple[Finding, ...]
    chosen: Chosen


def choose_leads(
    sheet: KerfSheet,
    ground: Ground,
    machine: Machine,
    process: Process,
    job: Job,
    pins: Mapping[int, Pin],
    ranks: Ints,
    watch: Watch = no_watch,
    memo: Memo | None = None,
) -> Leads:
    """Return a lead for every contour of `sheet` where one fits.

    Pinned starts are tried first and alone. Then the best starts clear of every other kerf, then those whose tip
    face rests on a kerf that is cut later by `ranks`, then both again all along the contour.
    """
    return _Choice(sheet, ground, machine, process, job, pins, ranks, watch, memo or Memo(holds=False)).make()


class _Choice:
    def __init__(
        self,
        sheet: KerfSheet,
        ground: Ground,
        machine: Machine,
        process: Process,
        job: Job,
        pins: Mapping[int, Pin],
        ranks: Ints,
        watch: Watch,
        memo: Memo,
    ) -> None:
        self.sheet, self.ground, self.machine, self.process = sheet, ground, machine, process
        self.job, self.pins, self.watch, self.memo = job, pins, watch, memo
        self.shapes = lead_shapes()
        self.clear = Clearances.of(process, machine)
        self.chosen = Chosen(self.clear, ranks)
        self.leads: list[ChosenLead | None] = [None] * len(sheet.loops)
        self.findings: list[Finding] = []
        for name in (job.leads.shape, *(pin.shape for pin in pins.values())):
            if name is not None and name not in self.shapes:
                raise KerfproofError(f"there is no lead shape {name!r}", advice="one of " + ", ".join(self.shapes))

    def make(self) -> Leads:
        if len(self.sheet.loops):
            self._pinned()
            best = self._best()
            self._search(best, relaxed=False)
            self._search(best, relaxed=True)
            further = [i for i in self._waiting() if not self._is_small_and_round(i)]
            if further:
                dense = self._candidates(self.sheet.dense(np.array(further), DENSE_STEP))
                self._search(dense, relaxed=False)
                self._search(dense, relaxed=True)
                self._crowded(dense)
                self._rough(dense)
            self._crowded(best)
            self._rough(best)
        self.findings += [self._no_room(i) for i in self._waiting()]
        return Leads(tuple(self.leads), tuple(self.findings), self.chosen)

    def _best(self) -> Candidates:
        """Return the leads at the best starts of all contours."""
        return self.memo.result(
            "best leads",
            (self.sheet, self.ground),
            (self.machine, self.process, self.job.leads),
            lambda: self._candidates(joined([self.sheet.corners(), self.sheet.longest()])),
        )

    def _is_small_and_round(self, i: int) -> bool:
        """Return whether more starts are no use, as all leads begin about the centre."""
        loop = self.sheet.loops[i]
        return (
            loop.feature.kind is FeatureKind.HOLE
            and loop.feature.diameter is not None
            and loop.width < 4 * self.clear.edge
        )

    def _waiting(self) -> list[int]:
        return [i for i, lead in enumerate(self.leads) if lead is None]

    def _candidates(
        self, places: Places, wished: Mapping[int, str] | None = None, sizes: Mapping[int, float] | None = None
    ) -> Candidates:
        return candidates(
            self.sheet, places, self.shapes, self.process, self.machine, self.job.leads, self.ground, wished, sizes
        )

    def _search(
        self, table: Candidates, *, relaxed: bool, clear: Clearances | None = None, only: Sequence[int] | None = None
    ) -> list[int]:
        waiting = np.array(self._waiting() if only is None else only, dtype=np.int64)
        if not len(waiting):
            return []
        found = in_rounds(
            table.runs,
            table.first,
            waiting,
            self.ground,
            self.chosen,
            clear or self.clear,
            relaxed=relaxed,
            watch=self.watch,
        )
        for loop, row in found.items():
            self.leads[loop] = self._lead(table, row, loop)
        return sorted(found)

    def _lead(self, table: Candidates, row: int, loop: int) -> ChosenLead:
        place, places = int(table.place[row]), table.places
        first = int(self.sheet.first[loop])
        back = int(places.back[place])
        return ChosenLead(
            table.names[table.shape[row]],
            float(table.size[row]),
            int(places.segment[place]) - first,
            float(places.share[place]),
            None if back < 0 else back - first,
            plain(table.runs.near[row]),
            plain(table.runs.far[row]),
            float(table.runs.bulge[row]),
        )

    # --- pins -----------------------------------------------------------------------------------------------

    def _pinned(self) -> None:
        pinned = [i for i, x in enumerate(self.sheet.loops) if x.feature.number in self.pins]
        if not pinned:
            return
        corners = self.sheet.corners()
        places, wished, sizes = [], {}, {}
        for i in pinned:
            pin = self.pins[self.sheet.loops[i].feature.number]
            point = np.array([pin.x, pin.y])
            near = np.hypot(*(corners.starts.at - point).T) <= PIN_TO_CORNER + self.sheet.kerf[i]
            places += [self.sheet.place_near(i, point), corners.take((corners.loop == i) & near)]
            if pin.shape is not None:
                wished[i] = pin.shape
            if pin.size is not None:
                sizes[i] = pin.size
        table = self._candidates(joined(places), wished, sizes)
        for relaxed in (False, True):
            self._search(table, relaxed=relaxed, only=[i for i in pinned if self.leads[i] is None])
        for i in pinned:
            if self.leads[i] is None:
                feature = self.sheet.loops[i].feature
                pin = self.pins[feature.number]
                what = say("there is no room for a lead at the start chosen for {label}", label=named(feature.label))
                advice = "another start was taken: choose one with more scrap around it"
                self.findings.append(
                    Finding("pinned-start-without-room", Severity.WARNING, what, advice, x=pin.x, y=pin.y)
                )

    # --- last resorts ---------------------------------------------------------------------------------------

    def _crowded(self, table: Candidates) -> None:
        """Where cuts lie so close that the tip face can't seat on sound plate all round, let half of it do."""
        if self.clear.crowded >= self.clear.face - 1e-9:
            return
        self._search(self._half_seated(table), relaxed=True)

    def _half_seated(self, table: Candidates) -> Candidates:
        return replace(table, runs=replace(table.runs, face=np.full(len(table.runs), self.clear.crowded)))

    def _rough(self, table: Candidates) -> None:
        """Where narrow holes are to be cut all the same, let the crater reach the edge, but not the kerf."""
        if self.job.small_holes is SmallHoles.ERROR:
            return
        waiting = [(i, self.sheet.loops[i].feature) for i in self._waiting()]
        drilled = self.job.small_holes is SmallHoles.DRILL
        holes = [i for i, f in waiting if f.kind is FeatureKind.HOLE and not (drilled and f.diameter is not None)]
        clear = replace(self.clear, edge=WORN * self.process.kerf / 2 + 0.1)
        self._search(self._half_seated(table), relaxed=True, clear=clear, only=holes)

    def _no_room(self, i: int) -> Finding:
        loop = self.sheet.loops[i]
        x, y = plain(loop.path.start)
        why, near = "every pierce would spoil kept metal or rest on another cut", self._only_in_the_way(i)
        if near:
            why = f"every pierce would rest on the cut of {' or '.join(near[:2])}"
            room = self.clear.face + self.process.kerf
            advice = say("keep other cuts {room} off its middle, or put them on an ignored layer", room=mm(room, ".0f"))
        elif loop.feature.kind is FeatureKind.HOLE:
            advice = say("make it at least {edge} wide somewhere, or drill it", edge=mm(2 * self.clear.edge, ".1f"))
        else:
            advice = say(
                "leave about {lead_radius} around it",
                lead_radius=mm(self.process.lead_radius + self.clear.face + self.process.kerf, ".0f"),
            )
        what = say("no lead fits {label}: {why}", label=named(loop.feature.label), why=why)
        handle = "/".join(loop.feature.contour.handles[:1])
        return Finding("no-room-for-lead", Severity.ERROR, what, advice, x=x, y=y, handle=handle)

    def _only_in_the_way(self, i: int) -> list[str]:
        """Return the cuts without which a lead would fit a hole, none where it would not fit anyway."""
        if self.sheet.loops[i].feature.kind is not FeatureKind.HOLE:
            return []
        runs = self._candidates(self.sheet.dense(np.array([i]), DENSE_STEP)).runs
        judged = self.ground.judge(runs, self.clear)
        fits = ~(judged.metal | judged.crater | judged.plate)
        others = set(judged.other[fits[judged.beside]].tolist())
        closed = [loop.feature for loop in self.sheet.loops if loop.feature.number in others]
        slits = ["a slit"] if len(others) > len(closed) else []
        return [*slits, *(feature.label for feature in closed)]
