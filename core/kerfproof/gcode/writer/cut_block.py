"""One cut as a block of the program that can be restarted from any state of the control."""

from __future__ import annotations

import itertools
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from kerfproof.cut_plan import Cut, CutPlan, Pause, Point, StartAt, StartTrial
from kerfproof.errors import Watch, no_watch
from kerfproof.gcode.words import comment, message
from kerfproof.gcode.writer.head import modes, raise_to_top, torch_off
from kerfproof.gcode.writer.pauses import first_witness, pause_lines
from kerfproof.gcode.writer.plate_found import Found, plate_found
from kerfproof.gcode.writer.program import Block
from kerfproof.gcode.writer.run import ALONG, Run, run_of
from kerfproof.gcode.writer.sequence import STEP_OVER, sequence_of
from kerfproof.gcode.writer.strokes import strokes
from kerfproof.gcode.writer.torch_on import light
from kerfproof.gcode.writer.touch_off import SETTLE, PlateKnowledge
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.geom.path import Segments
from kerfproof.memo import Memo
from kerfproof.sentence import option
from kerfproof.shop.profile import StartKind
from kerfproof.shop.touch_limits import HELD, OVER

STAGE = "writing"


@dataclass(slots=True)
class ProgramLines:
    """Program lines and the blocks among them as they are written."""

    lines: list[str] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a cut stands in the program, as far as its lines tell: `way` leads from its end to the next cut.

    The torch comes to it at the height `down` over the plate and leaves it at `up` (mm); `found` tells how the plate is
    found, `next_found` how at the next cut.
    """

    first: bool
    found: Found
    next_found: Found
    way: tuple[Point, ...]
    down: float
    up: float


def write_cuts(
    plan: CutPlan, given: WriteContext, page: ProgramLines, watch: Watch = no_watch, memo: Memo | None = None
) -> None:
    """Write one block for each cut of the plan; with the `memo` of the plan before those that changed are made anew."""
    memo = memo or Memo(holds=False)
    cuts, count = plan.cuts, len(plan.cuts)
    pauses: dict[int, list[Pause]] = {}
    for pause in plan.pauses:
        pauses.setdefault(pause.after, []).append(pause)
    maker = _Maker(cuts, given, any(cut.full_raise for cut in cuts))
    found = list(plate_found(cuts, pauses, given))
    ways = [(*cut.via, cut.touch_at or cut.pierce) for cut in cuts[1:]]
    heights = [*_heights(cuts, pauses, given.machine.travel_height), given.machine.travel_height]
    places = [
        _Place(n == 0, found[n], found[min(n + 1, count - 1)], way, heights[n], heights[n + 1])
        for n, way in enumerate([*ways, ()])
    ]
    with memo.pieces("titles", (given,)) as known:
        signs = [
            (cut, n, count, how is Found.NOT, heights[n]) for n, (cut, how) in enumerate(zip(cuts, found, strict=True))
        ]
        titles = known.all(signs, lambda new: maker.titles(new, found, heights))
    watch(STAGE, 0.1)
    with memo.pieces("blocks", (given, maker.raises)) as known:
        keys: list[Hashable] = list(zip(cuts, places, strict=True))
        bodies = known.all(keys, lambda new: maker.bodies(new, places, watch))
    page.lines += first_witness(plan.pauses, given, plan.resumed)
    for number, (cut, title, (body, before)) in enumerate(zip(cuts, titles, bodies, strict=True)):
        first = len(page.lines) + 1
        page.lines += title.split("\n")
        lit = len(page.lines) + before + 1
        page.lines += body.split("\n")
        for pause in pauses.get(number, ()):
            page.lines += pause_lines(pause, cut.end, given)
        page.blocks.append(Block(number, first, lit, len(page.lines)))


def _heights(cuts: Sequence[Cut], pauses: dict[int, list[Pause]], usual: float) -> list[float]:
    """Return at which height (mm) over the plate the torch comes to each cut; after a pause it is the usual one."""
    return [usual if cut.hop is None or number - 1 in pauses else cut.hop for number, cut in enumerate(cuts)]


class _Maker:
    """Makes the texts of blocks; knows what is the same in all of them. `raises`: some cut asks for the top."""

    def __init__(self, cuts: Sequence[Cut], given: WriteContext, raises: bool) -> None:
        self.cuts, self.given, self.raises = cuts, given, raises
        self.sequence = sequence_of(given.machine)
        self.state = [*torch_off(given), *modes(given)]
        m, w = given.machine, given.words
        self.dark = [*torch_off(given)[:1], *w.dwell(m.arc_out_s)]
        find = self.sequence.find
        first = PlateKnowledge.FIRST_FROM_TOP if raises and given.homed else PlateKnowledge.NOTHING
        self.find_first = find(given, m.park_height_max, first) if find else []
        self.find_from_top = find(given, m.park_height_max, PlateKnowledge.FROM_TOP) if find else []
        self.find_below = cache(lambda height: find(given, height, PlateKnowledge.HEIGHT) if find else [])
        self.find_steady = cache(lambda height: find(given, height, PlateKnowledge.STEADY) if find else [])
        self.held = given.tried(StartTrial(preload=HELD))
        self.usual = {edge: self._burning(given, edge) for edge in (False, True)}
        self.lower = {stepped: self.sequence.lower(given, stepped) for stepped in (False, True)}

    def titles(self, which: Sequence[int], found: Sequence[Found], heights: Sequence[float]) -> list[str]:
        """Return the comments at the top of some cuts' blocks."""
        sizes = self._sizes(which)
        return [self._title(k, size, found[k], heights[k]) for k, size in zip(which, sizes, strict=True)]

    def bodies(self, which: Sequence[int], places: Sequence[_Place], watch: Watch) -> list[tuple[str, int]]:
        """Return all that follows in some cuts' blocks, and how many lines of it stand before the torch is lit."""
        runs = [run_of(self.cuts[k], self.given) for k in which]
        watch(STAGE, 0.2)
        drawn = strokes([run.vertices for run in runs], self.given.words, self.given.control)
        texts, index = drawn.texts(self.given.words), drawn.index.tolist()
        watch(STAGE, 0.4)
        until = np.searchsorted(drawn.run, np.arange(len(runs) + 1)).tolist()
        out = []
        for n, (k, run) in enumerate(zip(which, runs, strict=True)):
            if n % 500 == 0:
                watch(STAGE, 0.5 + 0.5 * n / len(which))
            cut, place, own = self.cuts[k], places[k], slice(until[n], until[n + 1])
            before = [*self.state, *self._travel(cut), *self._start(cut, place), *self._stop(cut, place)]
            lines = [*before, *self._light(cut, place), *self._cut(cut, run, texts[own], index[own]), *self.dark]
            lines.append(f"G0 Z{self.given.words.length(place.up)}")
            if place.way:
                lines += self.given.words.dwell(self._lockout(cut, place))
            out.append(("\n".join(lines), len(before)))
        return out

    # --- the steps ------------------------------------------------------------------------------------

    def _sizes(self, which: Sequence[int]) -> list[str]:
        """Return width and height of each contour's path for its comment."""
        contours = [self.cuts[k].contour for k in which]
        vertices = [contour.vertices for contour in contours]
        starts = np.cumsum([0, *map(len, vertices)])
        s = Segments.of(np.vstack(vertices), starts, np.array([contour.closed for contour in contours]))
        boxes, first = s.boxes(), np.searchsorted(s.owner, np.arange(len(vertices)))
        low, high = np.minimum.reduceat(boxes[:, :2], first), np.maximum.reduceat(boxes[:, 2:], first)
        return [self.given.words.size(*size) for size in (high - low).tolist()]

    def _title(self, number: int, size: str, found: Found, height: float) -> str:
        cut = self.cuts[number]
        what = comment(f"cut {number + 1} of {len(self.cuts)}: {cut.kind}, feature {cut.feature}, path {size}")
        raised = self.given.words.size(height)
        where = comment(f"restart here: torch off, raised {raised} over the plate, XY zero kept")
        if found is Found.NOT and self.sequence.find is not None:
            # An earlier cut that has one is burned out by now: only a program for the rest begins on sound plate.
            where = comment(f"no restart here, no touch-off: resume {option('from-cut').told(False)} {number + 1}")
        elif number == 0:
            where = comment("restart here: torch off, raised, XY zero kept")
        return "\n".join((what, comment(f"part {cut.part}, {cut.label}"), where))

    def _travel(self, cut: Cut) -> list[str]:
        lines = []
        if cut.full_raise:
            look = [message("freed pieces may stand up on the way: look, then go on"), "M0"]
            lines += raise_to_top(self.given) or look
        return lines + [self._rapid(point) for point in cut.via]

    def _rapid(self, point: Point) -> str:
        w = self.given.words
        return f"G0 X{w.length(point[0])} Y{w.length(point[1])}"

    def _start(self, cut: Cut, place: _Place) -> list[str]:
        """Return the way from travel over the spot to the start height at the pierce."""
        w, find = self.given.words, self._find(cut, place)
        if place.found is Found.NOT:
            return [self._rapid(cut.pierce), *self._down_untouched(cut)]
        if cut.touch_at is None or cut.touch_at == cut.pierce:
            return [self._rapid(cut.pierce), *find, *self._lower(cut, False)]
        over = f"G1 Z{w.length(STEP_OVER)} {w.feed(self.given.z_feed(1000.0))}"
        return [self._rapid(cut.touch_at), *find, over, self._rapid(cut.pierce), *self._lower(cut, True)]

    def _down_untouched(self, cut: Cut) -> list[str]:
        """Return the way down where the last touch-off still counts, or none is ever made."""
        if not self._seats(Found.NOT):
            return self._lower(cut, False)
        return [f"G0 Z{self.given.words.length(OVER)}", *self.sequence.lower(self.held, True)]

    def _seats(self, found: Found) -> bool:
        """Return whether a contact torch must seat itself on plate that it has not touched."""
        m = self.given.machine
        return found is Found.NOT and m.start is StartKind.CONTACT and self.sequence.find is not None

    def _lower(self, cut: Cut, stepped: bool) -> list[str]:
        if cut.trial is None:
            return self.lower[stepped]
        return self.sequence.lower(self.given.tried(cut.trial), stepped)

    def _find(self, cut: Cut, place: _Place) -> list[str]:
        if place.first:
            return self.find_first
        if self._from_top(cut):
            return self.find_from_top
        return self.find_steady(place.down) if place.found is Found.ONCE else self.find_below(place.down)

    def _from_top(self, cut: Cut) -> bool:
        """Return whether the search begins at the top of travel, so that its length is known only roughly."""
        return cut.full_raise and self.given.homed

    def _stop(self, cut: Cut, place: _Place) -> list[str]:
        if place.first:
            return [message(self.sequence.look), "M0"]
        roughly = place.found is not Found.NOT and self._from_top(cut) and self.given.machine.tip_stops is not False
        if self.given.stops_at_each or roughly:
            return [message(self.sequence.look), "M1"]
        return []

    def _light(self, cut: Cut, place: _Place) -> list[str]:
        """Return the lines from the start height to cutting."""
        edge = cut.start_at is StartAt.EDGE
        if self._seats(place.found):
            return self._burning(self.held, edge)
        return self.usual[edge] if cut.trial is None else self._burning(self.given.tried(cut.trial), edge)

    def _burning(self, given: WriteContext, edge: bool) -> list[str]:
        return [*light(given), *self.sequence.pierce(given, edge)]

    def _cut(self, cut: Cut, run: Run, texts: Sequence[str], index: Sequence[int]) -> list[str]:
        """Return the burning run; F stands on its first line and after each move of Z."""
        feed = " " + self.given.words.feed(cut.feed_mm_min)
        if not run.events:
            return [text if k else text + feed for k, text in enumerate(texts)]
        lines, pending, events = [], feed, list(run.events)
        for text, at in zip(texts, index, strict=True):
            along = ""
            while events and events[0][0] <= at:
                line = events.pop(0)[1]
                if line.startswith(ALONG):
                    along = " " + line
                    continue
                pending = feed if line.startswith("G") else pending
                lines.append(line)
            lines.append(text + along + pending)
            pending = ""
        return lines + [line for _, line in events]

    def _lockout(self, cut: Cut, place: _Place) -> float:
        """Return how long to wait so that the torch is not triggered again too soon after this cut."""
        m, given = self.given.machine, self.given
        ways = itertools.pairwise((cut.end, *place.way))
        travel = sum(max(abs(b[0] - a[0]), abs(b[1] - a[1])) for a, b in ways)
        up = max(0.0, place.up - given.process.cut_height) / m.z_rapid_mm_min
        least = m.arc_out_s + 60.0 * (travel / m.rapid_mm_min + up)
        search = 0.0
        if self._seats(place.next_found):
            search = 60.0 * (OVER + self.held.preload) / given.z_feed(600.0)
        elif place.next_found is not Found.NOT:
            down = max(0.0, place.up + m.trip_depth - m.plate_height_band)
            search = 3.0 * SETTLE + 60.0 * down / given.touch_fast
        settle = m.settle_s - least  # nothing is read before the search begins
        return max(0.0, m.min_off_time_s - (least + search), settle)
