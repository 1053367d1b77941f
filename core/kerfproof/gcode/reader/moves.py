"""What moves the axes: lines, arcs, probing, canned cycles, the way home (NISTIR 6556, 3.5.1 to 3.5.16)."""

from __future__ import annotations

import math

from kerfproof.gcode.dialect import ProbeMiss
from kerfproof.gcode.reader import arcs, cycles, modes
from kerfproof.gcode.reader.arrange import Travel
from kerfproof.gcode.reader.expression import Misread
from kerfproof.gcode.reader.frames import FARTHEST, INCH, Frames, Place, check_size
from kerfproof.gcode.reader.recorder import Mark, Recorder
from kerfproof.gcode.trace import Probed, StartState, Step, World

LEAST_FEED = 1e-6
"""A feed below this (mm/min) is none: no move would ever end."""
SHORTEST_PROBE = 0.254
"""A straight probe that starts nearer to its target is an error (NISTIR 6556, 3.5.9.1), mm."""


class Halt(Exception):
    """The control stops here with an error."""


class Mover(Frames):
    """The motion side of a control: feed, plane, modal motion word, and the moves themselves."""

    def __init__(self, language: modes.Language, start: StartState, world: World | None, rows: Recorder) -> None:
        super().__init__(start, rows)
        self.language, self.dialect, self.world = language, language.dialect, world
        self.motion = round(float(start.motion.upper().removeprefix("G")) * 10)
        self.plane = start.plane
        self.feed = start.feed_mm_min
        self.inverse_time = start.inverse_time
        self.compensation = start.compensation
        self.absolute_centers = self.dialect.arc_centers_absolute is not start.other_centers
        self.return_to_level = False
        self.cycle: dict[str, float] = {}
        self.notes: list[tuple[str, str]] = []
        """Letter and reason of what the present line asks for and is not done here."""

    def straight_move(self, code: int, x: float, y: float, z: float, word: str) -> None:
        """Record a rapid or feed move to a place in the machine frame."""
        rows = self.rows  # as `row`, without the call: this is what most lines of a program do
        rows.kinds.append(code // 10)  # RAPID and FEED
        rows.lines.append(self.line)
        rows.texts.append(word)
        self.x, self.y, self.z = x, y, z
        rows.xs.append(x)
        rows.ys.append(y)
        rows.zs.append(z)

    def arc_move(self, clockwise: bool, end: Place, center: tuple[float, float]) -> None:
        """Record an arc in the XY plane whose radii agree."""
        rows = self.rows
        rows.center_xs.append(center[0])
        rows.center_ys.append(center[1])
        rows.turns.append(-1.0 if clockwise else 1.0)
        rows.kinds.append(Step.ARC)
        rows.lines.append(self.line)
        rows.texts.append("G2" if clockwise else "G3")
        self.x, self.y, self.z = x, y, z = end
        rows.xs.append(x)
        rows.ys.append(y)
        rows.zs.append(z)

    def set_feed(self, feed_mm_min: float) -> None:
        """Let later moves run at this feed."""
        if feed_mm_min != self.feed:
            self.feed = feed_mm_min
            self.rows.marks.append((len(self.rows.kinds), Mark.FEED, feed_mm_min))

    def changed_feed(self, word: str, feed_mm_min: float) -> None:
        """Let later moves run at the feed of an F word."""
        if feed_mm_min != self.feed:
            self.feed = feed_mm_min
            self.rows.marks.append((len(self.rows.kinds), Mark.FEED, feed_mm_min))
            self.rows.change(self.line, "feed", word)

    @property
    def arc_tolerance(self) -> float:
        """How far start and end radius of an arc may differ, mm."""
        if self.unit == INCH:
            return self.dialect.arc_radius_tolerance_inch * INCH
        return self.dialect.arc_radius_tolerance_mm

    # --- any motion line ------------------------------------------------------------------------------------

    def travel(self, travel: Travel) -> None:
        """Do the motion of a line with the motion word it names or inherits.

        Raises
        ------
        Misread
            If the motion can't be done.
        Halt
            If a probing move misses on a control that stops then.
        """
        code, words = self.motion if travel.code is None else travel.code, travel.words
        if travel.code is not None and travel.code != self.motion:
            self.motion, self.cycle = travel.code, {}
        if code == modes.CANCEL:
            if words:
                raise Misread("axis words, but no motion word is in force", min(modes.AXES & words.keys()))
            return
        if travel.machine_frame and code not in (modes.RAPID, modes.FEED):
            raise Misread("G53 works with G0 and G1 only", "G")
        for letter, value in words.items():
            if not -FARTHEST <= value <= FARTHEST:
                check_size(letter, value)
        if code <= modes.FEED:
            self._line(code, travel)
        elif code <= modes.ARC_CCW:
            self._arc(code == modes.ARC_CW, words)
        elif code == self.language.probe:
            self._probe(travel)
        else:
            self._cycle(code, words)

    def go_home(self, word: str, code: int, words: dict[str, float]) -> None:
        """Go to the stored home of G28 or G30, first through the place that axis words name."""
        if words:
            self.straight_move(modes.RAPID, *self.target(words), word)
        first = 5161 if code == modes.HOME else 5181
        known = [self.parameters.values.get(first + k) for k in range(3)]
        if all(value is None for value in known):
            self.notes.append(("G", f"where {modes.g_word(code)} leads is not known here: taken as machine zero"))
        x, y, z = ((value or 0.0) * self.unit for value in known)
        self.straight_move(modes.RAPID, x, y, z, word)

    def _line(self, code: int, travel: Travel) -> None:
        word = modes.MOTION_WORDS[code // 10]
        if travel.machine_frame:
            if self.incremental:
                raise Misread("G53 is an error in incremental mode", "G")
            if self.compensation:
                raise Misread("G53 is an error with cutter compensation on", "G")
            word = f"G53 {word}"
        target = self.target(travel.words, travel.machine_frame)
        if code == modes.FEED and (self.inverse_time or self.feed < LEAST_FEED):
            self._feed_for(math.dist(self.place, target), travel.words, target)
        self.straight_move(code, *target, word)

    def _arc(self, clockwise: bool, words: dict[str, float]) -> None:
        a, b, c = arcs.PLANE_AXES[self.plane]
        here, target = self.place, self.target(words)
        start, end = (here[a], here[b]), (target[a], target[b])
        if not {"XYZ"[a], "XYZ"[b]} & words.keys():
            raise Misread(f"an arc needs {'XYZ'[a]} or {'XYZ'[b]}", "G")
        try:
            center = self._center(clockwise, words, start, end)
            arcs.check_radii(start, end, center, self.arc_tolerance)
        except Misread:
            self.jump(target)
            raise
        flat = abs(arcs.sweep_of(start, end, center, clockwise)) * math.dist(start, center)
        self._feed_for(math.hypot(flat, target[c] - here[c]), words, target)
        if self.plane == 17:
            self.arc_move(clockwise, target, center)
            return
        for place in arcs.chords(here, target, center, clockwise, self.plane):
            self.straight_move(modes.FEED, *place, "G2" if clockwise else "G3")

    def _center(self, clockwise: bool, words: dict[str, float], start: arcs.Point, end: arcs.Point) -> arcs.Point:
        a, b, c = arcs.PLANE_AXES[self.plane]
        if "IJK"[c] in words:
            raise Misread(f"{'IJK'[c]} does not belong to an arc in this plane", "IJK"[c])
        first, second = words.get("IJK"[a]), words.get("IJK"[b])
        if "R" in words:
            if first is not None or second is not None:
                raise Misread("an arc by radius and by centre at once", "R")
            return arcs.center_by_radius(start, end, words["R"] * self.unit, clockwise, self.arc_tolerance)
        if first is None and second is None:
            raise Misread("an arc needs its centre or its radius", "G")
        if not self.absolute_centers:
            return start[0] + (first or 0.0) * self.unit, start[1] + (second or 0.0) * self.unit
        if first is None or second is None:
            raise Misread(f"with absolute arc centres an arc needs {'IJK'[a]} and {'IJK'[b]}", "G")
        origin = (self.ox, self.oy, self.oz)
        return first * self.unit + origin[a], second * self.unit + origin[b]

    def _probe(self, travel: Travel) -> None:
        here, target, word = self.place, self.target(travel.words), modes.g_word(self.language.probe)
        if self.inverse_time:
            raise Misread("a probing move is an error in inverse time feed mode", "G")
        if self.compensation:
            raise Misread("a probing move is an error with cutter compensation on", "G")
        self._need_feed()
        if self.language.probe == modes.STRAIGHT_PROBE and math.dist(here, target) < SHORTEST_PROBE:
            raise Misread("a probing move must be at least 0.254 mm (0.01 in) long", "G")
        if travel.code is None:
            self.notes.append(("Z", f"bare axis words after {word}: the control may take them as another {word}"))
        done = self.world.probe(here, target, self.feed) if self.world else Probed(True, target, target)
        row = len(self.rows.kinds)
        self.rows.probes.append((row, done))
        self.rows.marks.append((row, Mark.VALUE, float(done.tripped)))
        self.x, self.y, self.z = map(float, done.rest)
        self.row(Step.PROBE, word)
        trip = done.trip if done.tripped else done.rest
        for k, origin in enumerate((self.ox, self.oy, self.oz)):
            self.parameters.values[5061 + k] = (float(trip[k]) - origin) / self.unit
        if self.dialect.trip_parameter is not None:
            self.parameters.values[self.dialect.trip_parameter] = self.parameters.values[5063]
        if not done.tripped and self.dialect.probe_miss is not ProbeMiss.SILENT:
            raise Halt("the probing move ended without contact")

    def _cycle(self, code: int, words: dict[str, float]) -> None:
        if self.inverse_time or self.compensation:
            a, b, _ = arcs.PLANE_AXES[self.plane]
            self.jump(self.target({letter: words[letter] for letter in ("XYZ"[a], "XYZ"[b]) if letter in words}))
            what = "in inverse time feed mode" if self.inverse_time else "with cutter compensation on"
            raise Misread(f"a canned cycle is an error {what}", "G")
        if code in cycles.STOPS_SPINDLE:
            why = "stops or turns round the spindle, which is the torch here: that is not followed"
            self.notes.append(("G", f"the cycle {modes.g_word(code)} {why}"))
        self._need_feed()
        deep = "XYZ"[arcs.PLANE_AXES[self.plane][2]]
        self.cycle |= {k: v for k, v in words.items() if k in "RPQIJK" or k == deep}
        here = (self.x - self.ox, self.y - self.oy, self.z - self.oz)
        cycle = cycles.Cycle(code, words, self.cycle, self.unit, self.incremental, self.return_to_level, self.plane)
        for step in cycle.steps(here):
            if isinstance(step, str):
                self.row(Step.STOP, f"{modes.g_word(code)} ({step})")
            elif isinstance(step, float):
                self.dwell(step, f"{modes.g_word(code)} P{step:g}")
            else:
                at_feed, (x, y, z) = step
                motion = modes.FEED if at_feed else modes.RAPID
                self.straight_move(motion, x + self.ox, y + self.oy, z + self.oz, modes.g_word(code))

    def dwell(self, written: float, word: str) -> None:
        """Stand still for the P of a dwell, in the unit of the dialect."""
        seconds = written / 1000.0 if self.dialect.dwell_in_ms else written
        self.rows.marks.append((len(self.rows.kinds), Mark.VALUE, seconds))
        self.row(Step.DWELL, word)

    def _need_feed(self) -> None:
        if self.feed < LEAST_FEED:
            raise Misread("a feed move without a feed: F is missing or zero", "G")

    def _feed_for(self, length: float, words: dict[str, float], target: Place) -> None:
        """See that there is a feed; in inverse time mode work it out from the length of the move."""
        if self.inverse_time:
            if words.get("F", 0.0) < LEAST_FEED:
                self.jump(target)
                raise Misread("every feed move needs F in inverse time feed mode", "G")
            self.set_feed(words["F"] * length)
        elif self.feed < LEAST_FEED:
            self.jump(target)
            self._need_feed()
