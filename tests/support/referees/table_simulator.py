"""A plasma table simulated for tests: what any program does at a table that nobody prepared for it.

Its own small loop over the text, written without the product's reader and rules (NISTIR 6556 and common practice, from
memory): the control with its modes, frames and parameters, the head on its float or sense circuit, the sheet that is
not flat, slugs that drop. It tells where the torch burned and how high it stood; `simulated_harm` judges that. Lengths
mm, times s, feeds mm/min, heights of the tip over the plate, negative in the float.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from support.referees.simulated_language import Refused, Taken, lines_of, take, worked_out
from support.referees.simulated_table import Dialect, Point, Rig, Table

INCH = 25.4
CHORD = 0.004
"""Arcs are flattened to chords that stay so near, mm."""
SLATS = 45.0
"""How far the slats lie below the plate where metal has dropped, mm."""
SOFT = 1200.0
"""A head that comes down on its float no faster takes no harm, mm/min (common practice, from memory)."""
MOST_LINES = 400_000
AXES = "XYZ"
# --- what is told ---------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Burn:
    """From torch on to torch off: points in program X, Y, what was burned between them, how it began."""

    line: int
    start: Point
    height: float
    """Of the tip over the plate at light-up."""
    plate: float
    """Machine height of the plate there."""
    points: list[Point] = field(default_factory=list)
    heights: list[float] = field(default_factory=list)
    """Of each point, over the plate as it lies at the start."""
    feeds: list[float] = field(default_factory=list)
    """Of each stretch between two points."""
    lines: list[int] = field(default_factory=list)
    still: float | None = None
    """Seconds before the first move."""
    before_cut: float | None = None
    """Seconds before the first move in the plane."""
    top: float = -1e9
    """Greatest height before the first move in the plane."""
    late: float = 0.0
    """Seconds of waiting after the first move in the plane."""
    seconds: float = 0.0


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened: harm or doubt, its kind, where."""

    harm: bool
    kind: str
    line: int
    text: str = ""


@dataclass(slots=True)
class Told:
    """What a program did."""

    burns: list[Burn] = field(default_factory=list)
    searches: list[tuple[int, Point]] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    visited: list[Point] = field(default_factory=list)
    """Where moves in the plane ended."""
    downs: list[int] = field(default_factory=list)
    """Lines that moved down."""
    ended: str = ""
    """``end``, ``error`` or ``out of lines``."""
    ended_at: int = 0
    lit_at_end: bool = False
    height_at_end: float = 0.0
    unsure: str = ""
    """What could not be simulated."""


class _Unsure(Exception):
    """A word whose effect is not known outside the control's handbook."""


Sound = Callable[[list[Burn], float, float], str]
"""Tells whether a place is ``sound``, ``void`` or ``near`` a void after some burns."""


class Simulator:
    """One run of one program on one table."""

    def __init__(self, rig: Rig, dialect: Dialect, table: Table, sound: Sound | None = None) -> None:
        self.rig, self.dialect, self.table, self.sound = rig, dialect, table, sound
        self.at = list(table.parked)
        self.systems = [list(s) for s in table.systems]
        self.pending_systems = [list(s) for s in table.systems]
        self.shift, self.saved, self.local = list(table.shift), list(table.saved), [0.0, 0.0, 0.0]
        self.mode = dict(table.modes)
        self.parameters = dict(table.parameters)
        self.feed, self.speed = 0.0, 0.0
        self.spindle = 3 if table.torch and rig.on[0] in (3, 4) else 5
        self.out: dict[float, bool] = {}
        if table.torch and rig.on[0] in (62, 64):
            self.out[rig.on[1] or 0.0] = True
        self.coolant: set[int] = set()
        self.queued: list[tuple[float, bool]] = []
        self.line = 0
        self.burn: Burn | None = None
        self.told = Told()
        self.closed = False
        self.down_after_burn = False
        """Whether the torch has not been raised since it burned."""
        self.unit = 1.0

    # --- the loop

    def run(self, text: str) -> Told:
        """Run a program and tell."""
        self._set_unit()
        told, d = self.told, self.dialect
        try:
            if self._lit():
                self._light()
            for number, raw in enumerate(lines_of(text)[:MOST_LINES], 1):
                self.line = number
                code = take(raw, d.semicolons, d.expressions, d.tests, d.limit)
                if code.deletable and self.table.skip_deleted:
                    continue
                if code.fault:
                    raise Refused(code.fault)
                if (code.words or code.settings) and self._line(code):
                    told.ended = "end"
                    break
            else:
                told.ended = "out of lines"
        except Refused as error:
            told.ended = "error"
            self._harm("control stops by an error", str(error))
        except _Unsure as error:
            told.ended, told.unsure = "unsure", str(error)
        told.ended_at, told.lit_at_end = self.line, self._lit()
        told.height_at_end = self._height()
        if told.ended == "out of lines":
            self._doubt("no end word")
        if told.ended != "unsure":
            self._rest("at the end", told.ended == "error")
        return told

    def _harm(self, kind: str, text: str = "") -> None:
        self.told.events.append(Event(True, kind, self.line, text))

    def _doubt(self, kind: str, text: str = "") -> None:
        self.told.events.append(Event(False, kind, self.line, text))

    def _tell(self, harm: bool, kind: str, text: str = "") -> None:
        (self._harm if harm else self._doubt)(kind, text)

    def _rest(self, where: str, error: bool = False) -> None:
        """Judge standing still: the torch off, the tip up after a cut."""
        if self._lit():
            stale = self.burn is not None and self.burn.line == 0
            self._tell(not stale or where == "at the end", f"torch on {where}")
        elif error:
            return
        elif self._height() < 2.0 and (self.down_after_burn or (where == "at the end" and self.told.searches)):
            self._harm(f"tip down {where}")

    # --- one line

    def _parameter(self, number: int) -> float:
        if 5061 <= number <= 5063:
            return self.parameters.get(number, 0.0)
        if 5211 <= number <= 5213:
            return self.saved[number - 5211] / self.unit
        if number == 5220:
            return float(self._system() + 1)
        if 5221 <= number <= 5400 and (number - 5221) % 20 < 3:
            return self.systems[(number - 5221) // 20][(number - 5221) % 20] / self.unit
        if 5161 <= number <= 5163:
            return self.table.home[0][number - 5161] / self.unit
        if 5181 <= number <= 5183:
            return self.table.home[1][number - 5181] / self.unit
        return self.parameters.get(number, 0.0)

    def _set_parameter(self, number: int, value: float) -> None:
        if number == 3000 and self.dialect.tests:
            raise Refused("the program stops the control with an alarm")
        if not 1 <= number <= 5413:
            raise Refused("no such parameter")
        if 5221 <= number <= 5400 and (number - 5221) % 20 < 3:
            target = self.systems if self.table.live_offsets else self.pending_systems
            target[(number - 5221) // 20][(number - 5221) % 20] = value * self.unit
            self.pending_systems[(number - 5221) // 20][(number - 5221) % 20] = value * self.unit
        elif 5211 <= number <= 5213:
            self.saved[number - 5211] = value * self.unit
        self.parameters[number] = value

    def _line(self, code: Taken) -> bool:
        """Do a line; return whether it ends the program."""
        if code.condition is not None and not worked_out(code.condition, self._parameter):
            return False
        words = [(letter, worked_out(value, self._parameter)) for letter, value in code.words]
        settings = [
            (round(worked_out(number, self._parameter)), worked_out(value, self._parameter))
            for number, value in code.settings
        ]
        for number, value in settings:
            self._set_parameter(number, value)
        return self._do(*_sorted(words, self.dialect)) if words else False

    def _do(self, g: dict[str, int], m: list[int], w: dict[str, float]) -> bool:
        """Do the words of a line in the order of the standard."""
        used = set("F S T".split())
        if "feed" in g:
            self.mode["feed"] = str(g["feed"] // 10)
        if "F" in w:
            if w["F"] < 0:
                raise Refused("F below zero")
            self.feed = w["F"] if self.mode["feed"] == "93" else w["F"] * self.unit
        if "S" in w:
            self.speed = w["S"]
        self._m_words(m, w, used)
        other = g.get("other")
        if other == 40:
            used.add("P")
            self._dwell(w)
        self._modal(g, w, used)
        if other in (100, 280, 300, 520, 920, 921, 922, 923):
            self._origin(other, w, used)
        motion = g.get("motion")
        if motion is not None:
            self.mode["motion"] = f"{motion / 10:g}"
        axes = {a: w[a] for a in AXES if a in w and a not in used}
        if motion is None and axes and other not in (100, 280, 300, 520, 920):
            motion = round(float(self.mode["motion"]) * 10)
        if other == 530 and motion is None:
            motion = round(float(self.mode["motion"]) * 10)
        if other == 530 and motion not in (0, 10):
            raise Refused("G53 without G0 or G1")
        if other == 530 and self.mode["distance"] == "91":
            raise Refused("G53 in incremental mode")
        if g.get("motion") in (0, 10) and not axes and other != 530:
            raise Refused("G0 or G1 without an axis")
        if motion is not None and motion != 800 and (axes or motion in (20, 30, round(self.dialect.probe * 10))):
            self._motion(motion, axes, w, used, other == 530)
        elif axes and motion == 800:
            raise Refused("axis words without a motion")
        left = set(w) - used - set(AXES)
        if left:
            raise Refused(f"{', '.join(sorted(left))}: nothing takes this word")
        return self._stop(m)

    def _m_words(self, m: list[int], w: dict[str, float], used: set[str]) -> None:
        for code in m:
            if code in (3, 4):
                if code == 4:
                    self._doubt("M4 turns the other way round")
                self.spindle = code
            elif code == 5:
                self.spindle = 5
            elif code in (7, 8):
                self.coolant.add(code)
            elif code == 9:
                self.coolant.clear()
            elif code == 6:
                self._rest("at a stop")
                self._doubt("tool change")
            elif 62 <= code <= 68 and self.dialect.outputs:
                self._output(code, w, used)
            elif code not in (0, 1, 2, 30, 60, 48, 49):
                raise Refused(f"M{code} is not known")
        self._switch()

    def _output(self, code: int, w: dict[str, float], used: set[str]) -> None:
        used |= set("PQLERS")
        if code <= 65:
            if "P" not in w:
                raise Refused(f"M{code} without P")
            if code in (62, 63):
                self.queued.append((w["P"], code == 62))
            else:
                self.out[w["P"]] = code == 64
        elif code == 66:
            self.told.events.append(Event(False, "waits for an input", self.line))

    def _lit(self) -> bool:
        code, p = self.rig.on
        if code in (62, 64):
            return self.out.get(p or 0.0, False)
        return self.spindle in (3, 4) and (not self.rig.needs_speed or self.speed > 0)

    def _sense(self) -> bool:
        word = self.rig.sense_on
        if word is None:
            return True
        return self.out.get(word[1] or 0.0, False) if word[0] in (62, 64) else word[0] in self.coolant

    def _switch(self) -> None:
        """Begin or end a burn where the torch went on or off."""
        if self._lit() and self.burn is None:
            self._light()
        elif not self._lit() and self.burn is not None:
            self.burn = None
            self.down_after_burn = True

    def _light(self) -> None:
        x, y = self._xy()
        height = self._height()
        self.burn = Burn(self.line, (x, y), height, self.table.surface(x, y))
        self.burn.seconds = self.rig.on_delay
        self.burn.points.append((x, y))
        self.burn.heights.append(height)
        if self.line:
            self.told.burns.append(self.burn)
        if self.rig.sense_on is not None and self._sense() and self.line:
            self._harm("lit with the sense circuit connected")

    def _dwell(self, w: dict[str, float]) -> None:
        if "P" not in w or w["P"] < 0:
            raise Refused("G4 without P")
        seconds = w["P"] / 1000 if self.dialect.milliseconds else w["P"]
        if self.burn is not None:
            self.burn.seconds += seconds
            if len(self.burn.points) > 1:
                self.burn.late += seconds
        if seconds > 60:
            self._doubt("a very long wait")

    def _modal(self, g: dict[str, int], w: dict[str, float], used: set[str]) -> None:
        for group in ("plane", "distance", "centers"):
            if group in g:
                self.mode[group] = f"{g[group] / 10:g}"
        if "units" in g:
            self.mode["units"] = {700: "20", 710: "21"}.get(g["units"], str(g["units"] // 10))
            self._set_unit()
        if "comp" in g:
            self.mode["comp"] = str(g["comp"] // 10)
            used.add("D")
        if "length" in g:
            self.mode["length"] = str(g["length"] // 10)
            used.add("H")
            if g["length"] == 430:
                self._doubt("tool length on")
        if "path" in g and self.dialect.blend_tolerance and g["path"] == 640:
            used |= {"P", "Q"}
            if w.get("P", 0.0) * self.unit > 0.1:
                self._harm("corners may be rounded", f"by {w['P'] * self.unit:.2f} mm")
        if "path" in g and g["path"] == 640 and "P" not in w:
            self._doubt("corners rounded without a limit")
        if "system" in g:
            self.mode["system"] = f"{g['system'] / 10:g}"
            self.systems[self._system()] = list(self.pending_systems[self._system()])

    def _set_unit(self) -> None:
        unit = INCH if self.mode["units"] == "20" else 1.0
        for number in (5061, 5062, 5063):
            self.parameters[number] *= self.unit / unit
        self.unit = unit

    def _system(self) -> int:
        return ["54", "55", "56", "57", "58", "59", "59.1", "59.2", "59.3"].index(self.mode["system"])

    def _zero(self) -> list[float]:
        return [s + a + b for s, a, b in zip(self.systems[self._system()], self.shift, self.local, strict=True)]

    def _origin(self, code: int, w: dict[str, float], used: set[str]) -> None:
        named = {a: w[a] * self.unit for a in AXES if a in w}
        if code == 920:
            if not named:
                raise Refused("G92 without an axis")
            zero = self._zero()
            for a, value in named.items():
                k = AXES.index(a)
                self.shift[k] += self.at[k] - zero[k] - value
            self.saved = list(self.shift)
        elif code == 921:
            self.shift, self.saved = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
        elif code == 922:
            self.shift = [0.0, 0.0, 0.0]
        elif code == 923:
            self.shift = list(self.saved)
        elif code == 520:
            for a, value in named.items():
                self.local[AXES.index(a)] = value
        elif code == 100:
            self._set_system(named, w)
            used |= {"L", "P", "R"}
        else:
            self._home(self.table.home[0 if code == 280 else 1], named)
        if named:
            used |= set(AXES)

    def _set_system(self, named: dict[str, float], w: dict[str, float]) -> None:
        kind, p = w.get("L"), w.get("P")
        if kind not in (2.0, 20.0) or p is None or p != int(p) or not 0 <= p <= 9 or "R" in w:
            raise Refused("G10 takes L2 or L20 and P")
        if kind == 20.0 and not self.dialect.l20:
            raise _Unsure("G10 L20 on a control that may not have it")
        number = self._system() if p == 0 else int(p) - 1
        for a, value in named.items():
            k = AXES.index(a)
            to = value if kind == 2.0 else self.at[k] - self.shift[k] - self.local[k] - value
            self.systems[number][k] = self.pending_systems[number][k] = to

    def _home(self, place: tuple[float, float, float], named: dict[str, float]) -> None:
        if self._lit():
            self._harm("way home with the torch on")
        if named:
            self._go(self._target(named, False), 0.0, "rapid")
        to = list(place)
        if named and self.table.home_named_only:
            to = [place[k] if a in named else self.at[k] for k, a in enumerate(AXES)]
        self._go(to, 0.0, "rapid")

    def _target(self, named: Mapping[str, float], machine: bool) -> list[float]:
        to, zero = list(self.at), self._zero()
        for a, value in named.items():
            k = AXES.index(a)
            if machine:
                to[k] = value
            elif self.mode["distance"] == "91":
                to[k] += value
            else:
                to[k] = value + zero[k]
        return to

    def _stop(self, m: list[int]) -> bool:
        if 0 in m or 60 in m or (1 in m and self.table.optional_stop):
            self._rest("at a stop")
        return 2 in m or 30 in m

    # --- moving

    def _motion(self, motion: int, axes: dict[str, float], w: dict[str, float], used: set[str], machine: bool) -> None:
        for p, on in self.queued:
            self.out[p] = on
        self.queued.clear()
        self._switch()
        to = self._target({a: v * self.unit for a, v in axes.items()}, machine)
        feed = self.feed
        if motion != 0:
            length = math.dist(to, self.at)
            if self.mode["feed"] == "93":
                if "F" not in w:
                    raise Refused("inverse time feed without F")
                feed = self.feed * max(length, 1e-9)
            if feed <= 0:
                raise Refused("no feed")
        if self.mode["comp"] != "40" and motion in (0, 10, 20, 30) and ("X" in axes or "Y" in axes):
            self._harm("moves with kerf compensation on")
        if motion == 0:
            self._go(to, 0.0, "rapid")
        elif motion == 10:
            self._go(to, feed, "feed")
        elif motion in (20, 30):
            used |= {"I", "J", "K", "R"}
            self._arc(motion == 20, to, w, feed)
        elif motion == round(self.dialect.probe * 10):
            self._search(to, feed)
        else:
            raise _Unsure(f"G{motion / 10:g} is not simulated")

    def _xy(self) -> Point:
        return self.at[0] - self.table.origin[0], self.at[1] - self.table.origin[1]

    def _height(self, at: list[float] | None = None) -> float:
        x, y, z = at or self.at
        return z - self.table.surface(x - self.table.origin[0], y - self.table.origin[1])

    def _go(self, to: list[float], feed: float, how: str, way: list[Point] | None = None) -> None:
        """Move straight, or along program X, Y points."""
        begin, (bx0, by0, bx1, by1) = list(self.at), self.table.bed
        flat = math.hypot(to[0] - begin[0], to[1] - begin[1]) if way is None else 1e9
        if math.dist(to, begin) < 1e-9 and way is None:
            return
        if to[2] < begin[2] - 0.02:
            self.told.downs.append(self.line)
        if not (bx0 - 1 <= to[0] <= bx1 + 1 and by0 - 1 <= to[1] <= by1 + 1):
            self._harm("beyond the travel of the table")
        if to[2] > self.table.z_top + 1.0 or to[2] < self.table.z_top - self.rig.travel[2] - 1.0:
            self._harm("beyond the travel of Z")
        if flat > 1e-6:
            self.told.visited.append((to[0] - self.table.origin[0], to[1] - self.table.origin[1]))
        was = self._height() if to[2] < begin[2] - 1e-6 else -1e9
        if self.burn is not None:
            self._burn_along(begin, to, feed, how, way, flat)
        elif flat > 0.5:
            self._travel(begin, to, way)
        self.at = list(to)
        self._after_move(was, how, feed)

    def _burn_along(
        self, begin: list[float], to: list[float], feed: float, how: str, way: list[Point] | None, flat: float
    ) -> None:
        burn, (ox, oy, _) = self.burn, self.table.origin
        assert burn is not None
        if burn.line == 0:
            self._harm("moves with the torch on that an earlier job left on")
            burn.line = self.line
            self.told.burns.append(burn)
        if burn.still is None:
            burn.still = burn.seconds
        if how == "rapid" and flat > 1e-6:
            self._harm("rapid with the torch on")
        elif to[2] > begin[2] and to[2] - burn.plate > 10.0:
            self._harm("raised with the torch on", f"to {to[2] - burn.plate:.1f} mm")
        elif how == "rapid":
            self._doubt("rapid height move with the torch on")
        rate = feed or self.rig.rapid
        points = way or [(to[0] - ox, to[1] - oy)]
        if flat <= 1e-6:
            burn.seconds += abs(to[2] - begin[2]) / rate * 60
            if len(burn.points) == 1:
                burn.top = max(burn.top, to[2] - burn.plate, begin[2] - burn.plate)
            burn.heights[-1] = to[2] - burn.plate
        else:
            if burn.before_cut is None:
                burn.before_cut = burn.seconds
            last, total = burn.points[-1], 0.0
            lengths = []
            for p in points:
                total += math.dist(last, p)
                lengths.append(total)
                last = p
            for p, done in zip(points, lengths, strict=True):
                share = done / total if total > 0 else 1.0
                burn.points.append(p)
                burn.heights.append(begin[2] + (to[2] - begin[2]) * share - burn.plate)
                burn.feeds.append(rate)
                burn.lines.append(self.line)
            burn.seconds += total / rate * 60
        deep = min(to[2], begin[2]) - burn.plate
        if deep < -(self.rig.preload + 1.5):
            self._harm("lit torch driven into the plate")

    def _travel(self, begin: list[float], to: list[float], way: list[Point] | None) -> None:
        (ox, oy, _), (x0, y0, x1, y1) = self.table.origin, self.table.plate
        points = way or [(to[0] - ox, to[1] - oy)]
        count = max(1, min(60, int(math.hypot(to[0] - begin[0], to[1] - begin[1]) / 15))) if way is None else 1
        low, last = 1e9, (begin[0] - ox, begin[1] - oy)
        for n, p in enumerate(points, 1):
            for k in range(count + 1):
                share = k / count
                x, y = last[0] + (p[0] - last[0]) * share, last[1] + (p[1] - last[1]) * share
                z = begin[2] + (to[2] - begin[2]) * (n - 1 + share) / len(points)
                if x0 - 15 < x < x1 + 15 and y0 - 15 < y < y1 + 15:
                    low = min(low, z - self.table.surface(x, y))
            last = p
        if low < 2.0:
            self._harm("travel too low", f"{low:.1f} mm")
        elif low < 3.0:  # dross and spatter stand lower (common practice, no source)
            self._doubt("travel low", f"{low:.1f} mm")

    def _after_move(self, was: float, how: str, feed: float) -> None:
        height = self._height()
        if height > 2.0 and self.burn is None:
            self.down_after_burn = False
        depth, rig = -height, self.rig
        over = self._over_plate()
        if not over:
            return
        if rig.touch == "float":
            if depth > rig.float_stroke:
                self._harm("head driven below the stroke of the float", f"{depth:.1f} mm")
            elif how != "search" and was >= -0.01 and depth > rig.preload + 1.0:
                gentle = how == "feed" and feed <= SOFT and depth <= rig.float_travel + 2.0
                self._tell(not gentle, "head driven onto the plate", f"{depth:.1f} mm")
        elif depth > 1.5 and was > -1e8:
            self._harm("fixed head driven into the plate", f"{depth:.1f} mm")
        trip = rig.trip_depth
        if depth >= trip - 1e-9:
            self.closed = self._sense()
        elif depth < trip - (rig.hysteresis if rig.touch == "float" else 0.0):
            self.closed = False

    def _over_plate(self) -> bool:
        x, y = self._xy()
        x0, y0, x1, y1 = self.table.plate
        return x0 - 15 < x < x1 + 15 and y0 - 15 < y < y1 + 15

    def _arc(self, clockwise: bool, to: list[float], w: dict[str, float], feed: float) -> None:
        plane = self.mode["plane"]
        if plane != "17":
            if ("J" in w and plane == "18") or ("I" in w and plane == "19") or "R" not in w:
                raise Refused("an arc in another plane")
            raise _Unsure("an arc in another plane")
        if "K" in w:
            raise Refused("K in the XY plane")
        x0, y0 = self._xy()
        x1, y1 = to[0] - self.table.origin[0], to[1] - self.table.origin[1]
        cx, cy = self._center((x0, y0), (x1, y1), w, clockwise)
        r0, r1 = math.hypot(x0 - cx, y0 - cy), math.hypot(x1 - cx, y1 - cy)
        gap = self.dialect.radius_gap * (1.0 if self.unit == 1.0 else 2.54)
        if abs(r0 - r1) > gap + 1e-6:
            raise Refused("the ends of the arc lie on two radii")
        a0, a1 = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
        sweep = a0 - a1 if clockwise else a1 - a0
        sweep %= 2 * math.pi
        if sweep < 1e-9 or math.dist((x0, y0), (x1, y1)) < 1e-9:
            sweep = 2 * math.pi
        step = 2 * math.acos(max(1 - CHORD / max(r0, CHORD), -1.0))
        count = max(2, math.ceil(sweep / step))
        turn = -sweep if clockwise else sweep
        way = []
        for k in range(1, count):
            share = k / count
            radius = r0 + (r1 - r0) * share
            way.append((cx + radius * math.cos(a0 + turn * share), cy + radius * math.sin(a0 + turn * share)))
        self._go(to, feed, "feed", [*way, (x1, y1)])

    def _center(self, a: Point, b: Point, w: dict[str, float], clockwise: bool) -> Point:
        if "R" in w:
            radius, chord = w["R"] * self.unit, math.dist(a, b)
            if "I" in w or "J" in w or chord < 1e-9:
                raise Refused("an arc by R and center, or from a point to itself")
            half = radius * radius - chord * chord / 4
            if half < -1e-3 * abs(radius):
                raise Refused("R is too small")
            away = math.sqrt(max(half, 0.0)) / chord * (-1 if clockwise == (radius > 0) else 1)
            return (a[0] + b[0]) / 2 - (b[1] - a[1]) * away, (a[1] + b[1]) / 2 + (b[0] - a[0]) * away
        if "I" not in w and "J" not in w:
            raise Refused("an arc without a center")
        if self.mode["centers"] == "90.1":
            if "I" not in w or "J" not in w:
                raise Refused("an absolute center needs I and J")
            zero = self._zero()
            return (
                w["I"] * self.unit + zero[0] - self.table.origin[0],
                w["J"] * self.unit + zero[1] - self.table.origin[1],
            )
        return a[0] + w.get("I", 0.0) * self.unit, a[1] + w.get("J", 0.0) * self.unit

    def _search(self, to: list[float], feed: float) -> None:
        rig, begin = self.rig, list(self.at)
        if self._lit():
            self._harm("search with the torch on")
        self.told.searches.append((self.line, self._xy()))
        if self.closed and self._sense():
            if self.dialect.miss_stops:
                raise Refused("the switch is closed before the search")
            self._doubt("a search that begins with the switch closed")  # some end at once, some run on
            self._keep_trip(begin)
            return
        x, y = self._xy()
        state = "sound" if self.sound is None else self.sound(self.told.burns, x, y)
        if state == "void":
            self._harm("search over a void")
        elif state == "near":
            self._doubt("search near a void")
        own = rig.float_feed if rig.touch == "float" else feed
        trip = rig.trip_depth - own / 60 * rig.latency if rig.touch == "float" else 0.0
        drop = SLATS if state == "void" else 0.0
        hit = self._hit(begin, to, trip, drop)
        if hit is None or not self._sense():
            self._go(to, feed, "search")
            if not self._sense():
                self._harm("search without the sense circuit")
            if self.dialect.miss_stops:
                raise Refused("the search found nothing")
            self._keep_trip(self.at)
            return
        total = math.dist(begin, to)
        late = min(total, hit + feed / 60 * rig.latency)
        rest = min(total, late + (feed / 60) ** 2 / (2 * rig.acceleration))
        read, stop = _between(begin, to, late / total), _between(begin, to, rest / total)
        if math.hypot(stop[0] - begin[0], stop[1] - begin[1]) > 0.5:
            self._harm("a search drags the tip sideways")
        self._go(stop, feed, "search")
        self.closed = state != "void"
        self._keep_trip(read)
        if self.table.back_off:
            self._go([stop[0], stop[1], stop[2] + self.table.back_off], feed, "search")

    def _hit(self, begin: list[float], to: list[float], trip: float, drop: float) -> float | None:
        """Return how far along the way the switch trips."""
        total = math.dist(begin, to)
        if total < 1e-9 or to[2] >= begin[2]:
            return None
        if math.hypot(to[0] - begin[0], to[1] - begin[1]) < 1e-9:
            way = self._height(begin) + trip + drop
            return max(way, 0.0) if way <= total else None
        for k in range(401):
            if -self._height(_between(begin, to, k / 400)) - drop >= trip:
                return total * k / 400
        return None

    def _keep_trip(self, place: list[float]) -> None:
        zero = self._zero()
        for k in range(3):
            self.parameters[5061 + k] = (place[k] - zero[k]) / self.unit if self.dialect.trip else 0.0


def _between(a: list[float], b: list[float], share: float) -> list[float]:
    return [u + (v - u) * share for u, v in zip(a, b, strict=True)]


_GROUPS: dict[int, str] = {
    **dict.fromkeys((0, 10, 20, 30, 800), "motion"),
    **dict.fromkeys((170, 180, 190), "plane"),
    **dict.fromkeys((900, 910), "distance"),
    **dict.fromkeys((930, 940), "feed"),
    **dict.fromkeys((200, 210), "units"),
    **dict.fromkeys((400, 410, 420), "comp"),
    **dict.fromkeys((430, 490), "length"),
    **dict.fromkeys((540, 550, 560, 570, 580, 590, 591, 592, 593), "system"),
    **dict.fromkeys((610, 611, 640), "path"),
    **dict.fromkeys((980, 990), "retract"),
    **dict.fromkeys((40, 100, 280, 300, 920, 921, 922, 923), "other"),
    **dict.fromkeys(range(810, 891, 10), "motion"),
}
_STOPS, _TORCH, _KNOWN_LETTERS = {0, 1, 2, 30, 60}, {3, 4, 5}, set("GMXYZIJKRPLQFSTDHE")


def _sorted(words: list[tuple[str, float]], d: Dialect) -> tuple[dict[str, int], list[int], dict[str, float]]:
    """Return G codes by group (ten times their number), M codes, and the other words."""
    g: dict[str, int] = {}
    m: list[int] = []
    w: dict[str, float] = {}
    for letter, value in words:
        if letter == "G":
            code = round(value * 10)
            group = _GROUPS.get(code)
            if code == round(d.probe * 10):
                group = "motion"
            elif code == 530 and d.machine_frame:
                group = "other"
            elif code in (901, 911) and d.center_words:
                group = "centers"
            elif code == 520 and d.local_shift:
                group = "other"
            elif code in (700, 710) and d.g70:
                group = "units"
            if group is None or abs(value * 10 - code) > 1e-3:
                raise Refused(f"G{value:g} is not known")
            if group in g:
                raise Refused("two G words of one group")
            g[group] = code
        elif letter == "M":
            if value != int(value):
                raise Refused(f"M{value:g} is not known")
            m.append(int(value))
        elif letter in w:
            raise Refused(f"two {letter} words")
        elif letter in _KNOWN_LETTERS:
            w[letter] = value
        elif letter in "ABC":
            raise _Unsure("a rotary axis")
        else:
            raise Refused(f"the letter {letter} is not known")
    if len(m) > 4 or len(_STOPS & set(m)) > 1 or len(_TORCH & set(m)) > 1 or len(m) != len(set(m)):
        raise Refused("M words that contradict each other")
    if "motion" in g and g["motion"] != 800 and g.get("other") in (100, 280, 300, 520, 920):
        raise Refused("two words take the axes")
    return g, m, w
