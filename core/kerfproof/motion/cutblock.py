"""One cut as a block of the program that can be restarted from any state of the control."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from kerfproof.cutplan import Cut, CutPlan, Pause, PauseKind, Point, StartAt
from kerfproof.errors import Watch, no_watch
from kerfproof.geom.path import Segments
from kerfproof.machine.profile import StartKind
from kerfproof.motion.given import Given
from kerfproof.motion.head import modes, raise_to_top, torch_off
from kerfproof.motion.light import light
from kerfproof.motion.pauses import first_witness, pause_lines
from kerfproof.motion.program import Block
from kerfproof.motion.run import Run, run_of
from kerfproof.motion.sequence import STEP_OVER, StartSequence, sequence_of
from kerfproof.motion.strokes import Strokes, strokes
from kerfproof.motion.touch import SETTLE, Known
from kerfproof.motion.words import comment, message

STAGE = "writing"


@dataclass(slots=True)
class Page:
    """Program lines and the blocks among them as they are written."""

    lines: list[str] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)


def write_cuts(plan: CutPlan, given: Given, page: Page, watch: Watch = no_watch) -> None:
    """Write one block for each cut of the plan."""
    runs = [run_of(cut, given) for cut in plan.cuts]
    watch(STAGE, 0.1)
    drawn = strokes([run.vertices for run in runs], given.words, given.control)
    texts = drawn.texts(given.words)
    watch(STAGE, 0.3)
    raises = any(cut.full_raise for cut in plan.cuts)
    book = _Book(given, sequence_of(given.machine), drawn, texts, _sizes(plan, given), raises)
    pauses: dict[int, list[Pause]] = {}
    for pause in plan.pauses:
        pauses.setdefault(pause.after, []).append(pause)
    page.lines += first_witness(plan.pauses, given, plan.resumed)
    for number, (cut, run) in enumerate(zip(plan.cuts, runs, strict=True)):
        if number % 500 == 0:
            watch(STAGE, 0.4 + 0.6 * number / len(plan.cuts))
        following = plan.cuts[number + 1] if number + 1 < len(plan.cuts) else None
        book.write(page, number, len(plan.cuts), cut, run, following, pauses.get(number, ()))


def _sizes(plan: CutPlan, given: Given) -> list[str]:
    """Return width and height of each contour's path for its comment."""
    vertices = [cut.contour.vertices for cut in plan.cuts]
    starts = np.cumsum([0, *map(len, vertices)])
    s = Segments.of(np.vstack(vertices), starts, np.array([cut.contour.closed for cut in plan.cuts]))
    boxes, first = s.boxes(), np.searchsorted(s.owner, np.arange(len(vertices)))
    low, high = np.minimum.reduceat(boxes[:, :2], first), np.maximum.reduceat(boxes[:, 2:], first)
    return [given.words.size(*size) for size in (high - low).tolist()]


class _Book:
    """Writes the blocks; knows what is the same in all of them and where the plate was last found."""

    def __init__(
        self, given: Given, sequence: StartSequence, drawn: Strokes, texts: list[str], sizes: list[str], raises: bool
    ) -> None:
        self.given, self.sequence, self.sizes = given, sequence, sizes
        self.texts, self.index = texts, drawn.index.tolist()
        self.first_stroke = np.searchsorted(drawn.run, np.arange(len(sizes) + 1)).tolist()
        self.state = [*torch_off(given), *modes(given)]
        self.light = light(given)
        self.found_at: Point | None = None
        self.found_in = 0
        m = given.machine
        self.park, self.safe = m.park_height_max, m.travel_height
        find = sequence.find
        first = Known.FIRST_FROM_TOP if raises and given.homed else Known.NOTHING
        self.find_first = find(given, self.park, first) if find else []
        self.find_from_top = find(given, self.park, Known.FROM_TOP) if find else []
        self.find_below_safe = find(given, self.safe, Known.HEIGHT) if find else []

    def write(
        self, page: Page, number: int, count: int, cut: Cut, run: Run, following: Cut | None, pauses: Sequence[Pause]
    ) -> None:
        """Write the block of cut `number` of `count`."""
        first, w = len(page.lines) + 1, self.given.words
        touch = self._touches(cut)
        page.lines += self._title(number, count, cut, touch)
        page.lines += self.state
        page.lines += self._travel(cut)
        page.lines += self._start(number, cut, touch)
        page.lines += self._stop(number, cut, touch)
        lit = len(page.lines) + 1
        tried = self.given.tried(cut.trial)
        page.lines += self.light if cut.trial is None else light(tried)
        page.lines += self.sequence.pierce(tried, cut.start_at is StartAt.EDGE)
        page.lines += self._cut(number, cut, run)
        page.lines += torch_off(self.given)[:1] + w.dwell(self.given.machine.arc_out_s)
        page.lines.append(f"G0 Z{w.length(self.safe)}")
        if following is not None:
            page.lines += w.dwell(self._lockout(cut, following))
        for pause in pauses:
            page.lines += pause_lines(pause, cut.end, self.given)
            if pause.kind is PauseKind.TIP:
                self.found_at = None  # a new tip sits anew
        page.blocks.append(Block(number, first, lit, len(page.lines)))

    # --- the steps ------------------------------------------------------------------------------------

    def _touches(self, cut: Cut) -> bool:
        """Return whether this cut has its own touch-off, and remember where."""
        if self.sequence.find is None:
            return False
        at, m = cut.touch_at or cut.pierce, self.given.machine
        if m.start is StartKind.PILOT and self.found_at is not None and not cut.full_raise:
            if math.dist(at, self.found_at) < m.retouch_distance:
                return False
        self.found_at = at
        return True

    def _title(self, number: int, count: int, cut: Cut, touch: bool) -> list[str]:
        if touch:
            self.found_in = number
        where = [f"cut {number + 1} of {count}: {cut.kind}, feature {cut.feature}, path {self.sizes[number]}"]
        where.append(f"part {cut.part}, {cut.label}")
        if touch or self.sequence.find is None:
            height = "" if number == 0 else f" {self.given.words.size(self.safe)} over the plate"
            where.append(f"restart here: torch off, raised{height}, XY zero kept")
        else:
            where.append(f"no restart here, no touch-off: restart at cut {self.found_in + 1}")
        return [comment(text) for text in where]

    def _travel(self, cut: Cut) -> list[str]:
        lines = []
        if cut.full_raise:
            look = [message("freed pieces may stand up on the way: look, then go on"), "M0"]
            lines += raise_to_top(self.given) or look
        return lines + [self._rapid(point) for point in cut.via]

    def _rapid(self, point: Point) -> str:
        w = self.given.words
        return f"G0 X{w.length(point[0])} Y{w.length(point[1])}"

    def _start(self, number: int, cut: Cut, touch: bool) -> list[str]:
        """Return the way from travel over the spot to the start height at the pierce."""
        w, find = self.given.words, self._find(number, cut)
        tried = self.given.tried(cut.trial)
        stepped = touch and cut.touch_at is not None and cut.touch_at != cut.pierce
        if not touch:
            return [self._rapid(cut.pierce), *self.sequence.lower(tried, False)]
        if not stepped or cut.touch_at is None:
            return [self._rapid(cut.pierce), *find, *self.sequence.lower(tried, False)]
        over = f"G1 Z{w.length(STEP_OVER)} {w.feed(self.given.z_feed(1000.0))}"
        lower = self.sequence.lower(tried, True)
        return [self._rapid(cut.touch_at), *find, over, self._rapid(cut.pierce), *lower]

    def _find(self, number: int, cut: Cut) -> list[str]:
        if number == 0:
            return self.find_first
        return self.find_from_top if self._from_top(cut) else self.find_below_safe

    def _from_top(self, cut: Cut) -> bool:
        """Return whether the search begins at the top of travel, so that its length is known only roughly."""
        return cut.full_raise and self.given.homed

    def _stop(self, number: int, cut: Cut, touch: bool) -> list[str]:
        if number == 0:
            return [message(self.sequence.look), "M0"]
        roughly = touch and self._from_top(cut) and self.given.machine.tip_stops is not False
        if self.given.stops_at_each or roughly:
            return [message(self.sequence.look), "M1"]
        return []

    def _cut(self, number: int, cut: Cut, run: Run) -> list[str]:
        """Return the burning run; F stands on its first line and after each move of Z."""
        feed = " " + self.given.words.feed(cut.feed_mm_min)
        lines, pending, events = [], feed, list(run.events)
        for k in range(self.first_stroke[number], self.first_stroke[number + 1]):
            while events and events[0][0] <= self.index[k]:
                line = events.pop(0)[1]
                pending = feed if line.startswith("G") else pending
                lines.append(line)
            lines.append(self.texts[k] + pending)
            pending = ""
        return lines + [line for _, line in events]

    def _lockout(self, cut: Cut, following: Cut) -> float:
        """Return how long to wait so that the torch is not triggered again too soon after this cut."""
        m, given = self.given.machine, self.given
        way = [cut.end, *following.via, following.touch_at or following.pierce]
        travel = sum(max(abs(b[0] - a[0]), abs(b[1] - a[1])) for a, b in itertools.pairwise(way))
        raised = max(0.0, self.safe - given.process.cut_height)
        least = m.arc_out_s + 60.0 * (travel / m.rapid_mm_min + raised / m.z_rapid_mm_min)
        settle = m.settle_s - least  # nothing is read before the search begins
        if self.sequence.find is not None and m.retouch_distance <= 0:
            search = max(0.0, self.safe + m.trip_depth - m.plate_height_band)
            least += 3.0 * SETTLE + 60.0 * search / given.touch_fast
        return max(0.0, m.min_off_time_s - least, settle)
