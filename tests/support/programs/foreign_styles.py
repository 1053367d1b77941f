"""Right programs as other people would write them: each style is a generator of its own, with its own habits.

None looks like our writer's text or like that of any program there is: they were made up from the open standard
(NISTIR 6556) and shop practice. A `slip` plants one mistake where the style writes, not into the finished text.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from kerfproof import api
from kerfproof.gcode.machine_control import control_of
from kerfproof.proof.proof import Proof
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine
from support.programs.foreign_shapes import (
    Piece,
    Way,
    at_quadrants,
    chords,
    drawing,
    hole,
    nearest_first,
    outline,
    slot,
    split,
)
from support.shop.known_plate import PROCESS
from support.shop.shop import starts

SLIPS = ("hole moved", "touch lost", "G91 left on", "off lost", "height ten times")
SAFE = 25.0
"""Travel height over the plate, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """A program by others with what it is for."""

    text: str
    machine: Machine
    process: Process = PROCESS
    copies: int = 1

    def proof(self) -> Proof:
        """Return its proof as ``kerfproof prove PROGRAM --drawing D --machine M`` makes it."""
        return api.prove(
            self.text,
            api.Against(
                control=control_of(self.machine),
                machine=self.machine,
                process=self.process,
                drawn=drawing(),
                placed=False,
            ),
        )


class Style:
    """One person's habits. What is not overridden is plain: words apart, one block a line, millimetres."""

    start = "contact float"
    dialect = "ngc"
    inches = False
    changes: ClassVar[dict[str, object]] = {}
    arc = "ij"
    """How arcs are written: by centers as increments (``ij``) or absolute (``absolute``), or by radius (``r``)."""
    gap = " "
    zeros = False
    """Whether words have leading zeros: G01, M03."""
    decimals = 4
    places: Sequence[tuple[float, float, int]] = ((40.0, 40.0, 0),)
    """Where each copy lies, and by how many quarter turns it is turned."""
    over = 1.0

    def __init__(self, slip: str = "") -> None:
        self.slip = slip
        self.lines: list[str] = []
        self.x = self.y = 0.0
        self.incremental = False
        self.machine = replace(starts()[self.start], dialect=self.dialect, inches=self.inches, **self.changes)

    # --- words ------------------------------------------------------------------------------------------

    def number(self, value: float) -> str:
        """Return a number that is no length."""
        text = f"{value:.{self.decimals}f}".rstrip("0").rstrip(".")
        return "0" if text in ("-0", "") else text

    def length(self, mm: float) -> str:
        """Return a length in the program's unit."""
        return self.number(mm / 25.4 if self.inches else mm)

    def feed(self, mm_min: float) -> str:
        """Return a feed word."""
        return f"F{mm_min / 25.4:.1f}" if self.inches else f"F{mm_min:.0f}"

    def g(self, number: float) -> str:
        """Return a G word."""
        text = f"{number:g}"
        return f"G0{text}" if self.zeros and number < 10 and text.isdigit() else f"G{text}"

    def m(self, number: int) -> str:
        """Return an M word."""
        return f"M{number:02d}" if self.zeros else f"M{number}"

    def say(self, *words: str) -> None:
        """Write a line."""
        self.lines.append(self.gap.join(words))

    def dwell(self, seconds: float) -> None:
        """Write a dwell."""
        self.say(self.g(4), f"P{self.number(seconds)}")

    # --- the program ------------------------------------------------------------------------------------

    def program(self) -> Program:
        """Return the whole program."""
        self.head()
        ways = self.ways()
        for number, way in enumerate(ways):
            self.cut(way, number, number == len(ways) // 2)
        self.tail()
        return Program(text="\n".join(self.lines) + "\n", machine=self.machine, copies=len(self.places))

    def ways(self) -> list[Way]:
        """Return what is cut, in order: holes before the outline of each copy."""
        out = []
        for x, y, quarters in self.places:
            out += [way.turned(quarters).moved(x, y) for way in (*self.holes(), self.rim())]
        return out

    def holes(self) -> list[Way]:
        """Return the ways of one part's holes."""
        slip = 0.3 if self.slip == "hole moved" else 0.0
        kerf = PROCESS.kerf
        first = hole(0, kerf, arc_lead=self.arc_leads, over=self.over)
        second = hole(1, kerf, arc_lead=self.arc_leads, over=self.over, slip=slip)
        return [first, second, slot(kerf, over=self.over)]

    arc_leads = False
    rolled = True

    def rim(self) -> Way:
        """Return the way of one part's outline."""
        return outline(PROCESS.kerf, rolled=self.rolled, arc_lead=self.arc_leads, over=self.over, out=3.0)

    def head(self) -> None:
        """Write what stands before the first cut."""
        self.say(self.m(5))
        self.say(self.g(17), self.g(20 if self.inches else 21), self.g(40), self.g(49))
        self.say(self.g(90), self.g(94), self.g(54), self.g(61))

    def tail(self) -> None:
        """Write what stands behind the last cut."""
        self.say(self.m(2))

    def cut(self, way: Way, number: int, here: bool) -> None:
        """Write one cut; `here` is where a slip is planted."""
        self.go(*way.start)
        if not (here and self.slip == "touch lost"):
            self.touch(number)
        else:
            self.lost_touch()
        self.light(number, 10.0 if here and self.slip == "height ten times" else 1.0)
        if here and self.slip == "G91 left on":
            self.say(self.g(91))
        self.contour(way)
        if not (here and self.slip == "off lost"):
            self.off()
        self.rise()

    def go(self, x: float, y: float) -> None:
        """Travel with the torch off."""
        self.say(self.g(0), f"X{self.length(x)}", f"Y{self.length(y)}")
        self.x, self.y = x, y

    def lost_touch(self) -> None:
        """Write what is left of a touch-off that was lost: the way down alone."""
        self.down()

    def touch(self, number: int) -> None:
        """Find the plate: one search at the feed of the measured float, and back to where it tripped."""
        m = self.machine
        self.dwell(0.2)
        self.say(self.g(92), f"Z{self.length(0)}")
        deep = (m.park_height_max if number == 0 else SAFE) + m.trip_depth + m.plate_height_band + 1
        self.say(self.g(38.2), f"Z{self.length(-deep)}", self.feed(m.float_feed_mm_min))
        self.dwell(0.2)
        self.say(self.g(92), f"Z{self.length(-m.float_travel)}")
        self.down()
        if number == 0:
            self.look()

    def down(self) -> None:
        """Go to where the torch lights."""
        self.say(self.g(1), f"Z{self.length(-self.machine.preload)}", self.feed(1000))

    def look(self) -> None:
        """Stop once, so that somebody looks at the tip."""
        self.say(self.m(0))

    def light(self, number: int, times: float) -> None:
        """Light the torch, pierce and go to the cut height (`times` as high)."""
        self.say(self.m(3))
        self.dwell(self.machine.light_delay_s)
        self.say(self.g(1), f"Z{self.length(PROCESS.pierce_height or 3.0)}", self.feed(900))
        self.dwell(PROCESS.pierce_delay_s)
        self.say(self.g(1), f"Z{self.length(PROCESS.cut_height * times)}", self.feed(900))

    def off(self) -> None:
        """Put the torch out."""
        self.say(self.m(5))
        self.dwell(0.4)

    def rise(self) -> None:
        """Raise to travel height."""
        self.say(self.g(0), f"Z{self.length(SAFE)}")

    # --- the way ----------------------------------------------------------------------------------------

    def pieces(self, start: tuple[float, float], piece: Piece) -> list[Piece]:
        """Return a piece in those that this style writes."""
        return split(start, piece, math.pi) if self.arc == "r" else [piece]

    def cut_feed(self, way: Way) -> float:
        """Return the feed of a way."""
        return PROCESS.feed_mm_min if way.kind == "outline" else 0.6 * PROCESS.feed_mm_min

    def contour(self, way: Way) -> None:
        """Write the torch-on way."""
        first = True
        for whole in way.pieces:
            for piece in self.pieces((self.x, self.y), whole):
                self.move(piece, self.feed(self.cut_feed(way)) if first else "")
                first = False

    def move(self, piece: Piece, feed: str) -> None:
        """Write one line or arc."""
        (x, y), center, turn = piece
        word = self.g(1) if center is None else self.g(3 if turn > 0 else 2)
        x0, y0 = (self.x, self.y) if self.incremental else (0.0, 0.0)
        words = [word, f"X{self.length(x - x0)}", f"Y{self.length(y - y0)}"]
        if center is not None:
            words += self.arc_words(piece, center)
        self.say(*words, *([feed] if feed else []))
        self.x, self.y = x, y

    def arc_words(self, piece: Piece, center: tuple[float, float]) -> list[str]:
        """Return the words of an arc that tell its centre."""
        if self.arc == "r":
            return [f"R{self.length(math.dist((self.x, self.y), center))}"]
        x0, y0 = (0.0, 0.0) if self.arc == "absolute" else (self.x, self.y)
        return [f"I{self.length(center[0] - x0)}", f"J{self.length(center[1] - y0)}"]


STYLES: dict[str, type[Style]] = {}


def style(name: str) -> Callable[[type[Style]], type[Style]]:
    """Enter a style in the table."""

    def enter(made: type[Style]) -> type[Style]:
        assert name not in STYLES
        STYLES[name] = made
        return made

    return enter


@style("plain, one slow touch")
class Plain(Style):
    pass


class Terse(Style):
    """Modal words left out wherever they stand already, no spaces, coordinates that do not change left out too."""

    gap = ""
    motion = ""

    def say(self, *words: str) -> None:
        moves = {"G0", "G1", "G2", "G3", "G00", "G01", "G02", "G03"}
        if words and words[0] in moves:
            kept = words[1:] if words[0] == self.motion else words
            self.motion = words[0]
            words = kept
        elif words and words[0][0] == "G" and words[0] not in ("G4", "G04"):
            self.motion = ""
        if words:
            super().say(*words)


@style("terse, all modal, mm, published language")
class TerseInMm(Terse):
    arc_leads = True

    def head(self) -> None:
        self.say("%")
        self.say("M5")
        self.say("G21", "G17", "G40", "G49", "G54", "G61", "G90", "G94")

    def tail(self) -> None:
        self.say("M30")
        self.say("%")


@style("a number and leading zeros on every line, absolute centers, two touches, blending control")
class Numbered(Style):
    dialect = "ngc_blend"
    zeros = True
    arc = "absolute"
    rolled = False
    changes: ClassVar[dict[str, object]] = {"path_tolerance": 0.05, "arc_centers_absolute": True}

    def say(self, *words: str) -> None:
        super().say(f"N{10 * (len(self.lines) + 1):04d}", *words)

    def head(self) -> None:
        self.lines.append("O0042")
        for words in (["M05"], ["G17"], ["G21"], ["G40"], ["G49"], ["G54"], ["G90"], ["G94"], ["G64", "P0.05"]):
            self.say(*words)

    def touch(self, number: int) -> None:
        m = self.machine
        self.dwell(0.2)
        self.say("G92", "Z0")
        deep = (m.park_height_max if number == 0 else SAFE) + m.trip_depth + m.plate_height_band + 1
        self.say("G38.2", f"Z{self.length(-deep)}", self.feed(m.touch_fast_mm_min))
        self.dwell(0.2)
        self.say("G92", f"Z{self.length(0)}")
        self.say("G01", f"Z{self.length(2)}", self.feed(600))
        self.dwell(0.2)
        self.say("G38.2", f"Z{self.length(-1.5)}", self.feed(m.touch_slow_mm_min))
        self.say("G01", "Z#5063", self.feed(60))
        self.dwell(0.2)
        self.say("G92", f"Z{self.length(-m.float_travel)}")
        self.down()
        if number == 0:
            self.look()

    def tail(self) -> None:
        self.say("G92.1")
        self.say("M30")


@style("small controller, inches, semicolon comments, arcs by radius at the quadrants")
class SmallInches(Style):
    dialect = "compact"
    inches = True
    arc = "r"
    decimals = 5

    def pieces(self, start: tuple[float, float], piece: Piece) -> list[Piece]:
        return at_quadrants(start, piece)

    def head(self) -> None:
        self.say("; bracket, 3 mm plate, tip 40 A")
        self.say("M5 ; torch off first")
        for word in ("G20", "G90", "G17", "G94", "G40", "G49", "G54", "G91.1", "G61"):
            self.say(word)

    def cut(self, way: Way, number: int, here: bool) -> None:
        self.say(f"; --- {way.kind} no {number + 1} ---")
        super().cut(way, number, here)


@style("small controller, datum in the work offset, increments within a cut")
class Increments(Style):
    dialect = "compact_offset"
    decimals = 5
    places = ((30.0, 160.0, 3),)

    def head(self) -> None:
        self.say("M5")
        self.say("G21", "G17", "G40", "G49", "G54", "G61", "G90", "G91.1", "G94")

    def touch(self, number: int) -> None:
        m = self.machine
        self.dwell(0.25)
        self.say("G10", "L20", "P1", "Z0")
        deep = (m.park_height_max if number == 0 else SAFE) + m.trip_depth + m.plate_height_band + 1
        self.say("G38.2", f"Z{self.length(-deep)}", self.feed(m.float_feed_mm_min))
        self.dwell(0.25)
        self.say("G10", "L20", "P1", f"Z{self.length(-m.float_travel)}")
        self.down()
        if number == 0:
            self.look()

    def contour(self, way: Way) -> None:
        self.say("G91")
        self.incremental = True
        super().contour(way)
        self.incremental = False
        if self.slip != "G91 left on":
            self.say("G90")

    def number(self, value: float) -> str:
        return f"{value:+.5f}"


@style("plain skip move, DIN unit word, a stop before every start, milliseconds")
class Skip(Style):
    dialect = "skip"
    changes: ClassVar[dict[str, object]] = {"dwell_in_ms": True}
    arc = "r"
    zeros = True

    def head(self) -> None:
        self.say("%")
        self.say("O1001")
        self.say("(PLATE 3 MM)")
        self.say("M05")
        self.say("G71", "G90", "G17", "G94", "G40", "G49", "G54", "G61")
        self.say("T1", "M06")

    def dwell(self, seconds: float) -> None:
        self.say("G04", f"P{seconds * 1000:.0f}")

    def touch(self, number: int) -> None:
        m = self.machine
        self.dwell(0.2)
        self.say("G92", "Z0")
        deep = (m.park_height_max if number == 0 else SAFE) + m.trip_depth + m.plate_height_band + 1
        self.say("G31", f"Z{self.length(-deep)}", self.feed(m.float_feed_mm_min))
        self.dwell(0.2)
        self.say("G92", f"Z{self.length(-m.float_travel)}")
        self.down()
        self.say("(IS THE TIP ON THE PLATE)")
        self.say("M00")

    def tail(self) -> None:
        self.say("M30")
        self.say("%")


@style("skip move with macro tests, inches, G70, two copies, by nearest")
class Macro(Style):
    dialect = "skip_macro"
    inches = True
    decimals = 5
    places = ((30.0, 30.0, 0), (260.0, 30.0, 1))

    def head(self) -> None:
        self.say("M5")
        self.say("G70", "G90")
        self.say("G17", "G40", "G49", "G80")
        self.say("G54", "G94", "G61")

    def ways(self) -> list[Way]:
        out, at = [], (0.0, 0.0)
        for x, y, quarters in self.places:
            some = [way.turned(quarters).moved(x, y) for way in (*self.holes(), self.rim())]
            out += [*nearest_first(some[:-1], at), some[-1]]
            at = out[-1].start
        return out

    def touch(self, number: int) -> None:
        m = self.machine
        self.dwell(0.2)
        self.say("G92", "Z0")
        deep = (m.park_height_max if number == 0 else SAFE) + m.trip_depth + m.plate_height_band + 1
        self.say("G31", f"Z{self.length(-deep)}", self.feed(m.float_feed_mm_min))
        self.dwell(0.2)
        self.say(f"IF [#5063 LT {self.length(-deep + 0.5)}] THEN #3000=1")
        self.say("G1", "Z#5063", self.feed(60))
        self.dwell(0.2)
        self.say("G92", f"Z{self.length(-m.float_travel)}")
        self.down()
        if number == 0:
            self.look()


@style("the float raised before Z is set to zero, short chords for arcs")
class RaisedFirst(Style):
    dialect = "ngc_blend"
    changes: ClassVar[dict[str, object]] = {"path_tolerance": 0.05}

    def pieces(self, start: tuple[float, float], piece: Piece) -> list[Piece]:
        return chords(start, piece)

    def head(self) -> None:
        self.say("M5")
        self.say("G17 G21 G40 G49 G54 G80 G90 G94 G64 P0.03")

    def touch(self, number: int) -> None:
        m = self.machine
        deep = (m.park_height_max if number == 0 else SAFE) + m.trip_depth + m.plate_height_band + 1
        self.say("G91")
        self.say("G38.2", f"Z{self.length(-deep)}", self.feed(m.float_feed_mm_min))
        self.say("G1", f"Z{self.length(m.float_travel)}", self.feed(900))
        self.say("G90")
        self.dwell(0.2)
        self.say("G92", "Z0")
        self.down()
        if number == 0:
            self.look()


@style("ohmic touch on a fixed head, contact start, lower case")
class OhmicContact(Style):
    start = "contact ohmic"

    def say(self, *words: str) -> None:
        super().say(*(word.lower() for word in words))

    def touch(self, number: int) -> None:
        m = self.machine
        self.say("M8")
        self.dwell(0.2)
        self.say("G92", "Z0")
        deep = (m.park_height_max if number == 0 else SAFE) + m.plate_height_band + 1
        self.say("G38.2", f"Z{self.length(-deep)}", self.feed(m.touch_slow_mm_min))
        self.say("G1", "Z#5063", self.feed(60))
        self.dwell(0.2)
        self.say("G92", "Z0")
        self.say("M9")
        self.dwell(0.2)
        self.down()
        if number == 0:
            self.look()


@style("pilot arc, homed Z, home by G28 at the end, S words, pierced higher")
class Pilot(Style):
    start = "pilot ohmic"
    changes: ClassVar[dict[str, object]] = {"torch_on_speed": 1000.0}

    def head(self) -> None:
        super().head()
        self.say("G53", "G0", "Z0")

    def touch(self, number: int) -> None:
        m = self.machine
        self.say("M8")
        self.dwell(0.3)
        self.say("G92", "Z0")
        deep = (m.travel_z - 5) if number == 0 else SAFE + m.plate_height_band + 1
        self.say("G38.2", f"Z{self.length(-deep)}", self.feed(m.touch_slow_mm_min))
        self.dwell(0.2)
        self.say("G92", "Z0")
        self.say("M9")
        self.down()
        self.dwell(0.2)
        if number == 0:
            self.look()

    def down(self) -> None:
        self.say("G1", f"Z{self.length(PROCESS.pierce_height or 3.0)}", self.feed(1500))

    def light(self, number: int, times: float) -> None:
        self.say("M3", "S1000")
        self.dwell(self.machine.light_delay_s + PROCESS.pierce_delay_s)
        self.say("G1", f"Z{self.length(PROCESS.cut_height * times)}", self.feed(900))

    def tail(self) -> None:
        self.say("G28")
        self.say("M30")


@style("no touch-off: Z zero set by hand, each start touches")
class ByHand(Style):
    start = "contact none"

    def touch(self, number: int) -> None:
        self.say("G0", "Z2")
        self.down()

    def lost_touch(self) -> None:
        """Leave out the way down to the plate."""

    def down(self) -> None:
        self.say("G1", "Z0", self.feed(300))

    def head(self) -> None:
        self.say("M5")
        self.say("G17 G21 G40 G49 G54 G61 G90 G94")
        self.say("(Z zero: tip resting on the plate at the first start)")
        self.say("G0", "Z25")


@style("an outline cut in two runs that meet, a tool word at the top, air on the coolant word")
class TwoRuns(Style):
    def head(self) -> None:
        self.say("M5")
        self.say("T1 M6")
        super().head()
        self.say("M7")

    def ways(self) -> list[Way]:
        *inner, rim = super().ways()
        first, second = rim.pieces[:5], rim.pieces[5:]
        corner = first[-1][0]
        lead: Piece = (corner, None, 0)
        again = replace(rim, start=(corner[0] + 4, corner[1] + 4), pieces=(lead, *second))
        return [*inner, replace(rim, pieces=first), again]

    def tail(self) -> None:
        self.say("M9")
        self.say("M2")


@style("guards in numbered blocks: the search went down, and not below the last height")
class Guarded(Style):
    def say(self, *words: str) -> None:
        super().say(f"N{len(self.lines) + 1}", *words)

    def touch(self, number: int) -> None:
        m = self.machine
        self.dwell(0.2)
        self.say("G92", "Z0")
        deep = (m.park_height_max if number == 0 else SAFE) + m.trip_depth + m.plate_height_band + 1
        self.say("G38.2", f"Z{self.length(-deep)}", self.feed(m.float_feed_mm_min))
        self.say("#7=SQRT[-1.5-#5063]")
        if number:
            lowest = SAFE + m.trip_depth + m.plate_height_band
            self.say(f"#7=SQRT[#5063+{self.length(lowest)}]")
            self.say(f"#7=SQRT[-{self.length(lowest - 2 * m.plate_height_band)}-#5063]")
        self.say("G1", "Z#5063", self.feed(60))
        self.dwell(0.2)
        self.say("G92", f"Z{self.length(-m.float_travel)}")
        self.down()
        if number == 0:
            self.look()


@style("pilot arc on a floating head, height control on M64, inches")
class PilotFloat(Style):
    start = "pilot float"
    dialect = "ngc_blend"
    inches = True
    decimals = 5
    changes: ClassVar[dict[str, object]] = {
        "height_control_on": "M64 P2",
        "height_control_off": "M65 P2",
        "path_tolerance": 0.05,
    }
    places = ((150.0, 40.0, 1),)

    def head(self) -> None:
        self.say("M5")
        self.say("M65 P2")
        self.say("G20 G17 G40 G49 G54 G90 G94 G64 P0.002")
        self.say("G53 G0 Z0")

    def touch(self, number: int) -> None:
        m = self.machine
        self.dwell(0.2)
        self.say("G92", "Z0")
        deep = (m.travel_z - 2) if number == 0 else SAFE + m.trip_depth + m.plate_height_band + 1
        self.say("G38.2", f"Z{self.length(-deep)}", self.feed(m.float_feed_mm_min))
        self.dwell(0.2)
        self.say("G92", f"Z{self.length(-m.float_travel)}")
        self.down()
        if number == 0:
            self.look()

    def down(self) -> None:
        self.say("G1", f"Z{self.length(PROCESS.pierce_height or 3.0)}", self.feed(1500))

    def light(self, number: int, times: float) -> None:
        self.say("M3")
        self.dwell(self.machine.light_delay_s + PROCESS.pierce_delay_s)
        self.say("G1", f"Z{self.length(PROCESS.cut_height * times)}", self.feed(900))
        self.dwell(self.machine.height_control_lock_s)
        self.say("M64 P2")

    def off(self) -> None:
        self.say("M65 P2")
        super().off()

    def tail(self) -> None:
        self.say("G53 G0 Z0")
        self.say("M2")


@style("outputs for the torch, blocks numbered in ones")
class Outputs(Style):
    dialect = "ngc_blend"
    changes: ClassVar[dict[str, object]] = {"torch_on": "M64 P0", "torch_off": "M65 P0", "path_tolerance": 0.05}

    def say(self, *words: str) -> None:
        torch = {"M3": "M64 P0", "M5": "M65 P0"}
        super().say(f"N{len(self.lines) + 1}", *(torch.get(word, word) for word in words))

    def head(self) -> None:
        self.say("M5")
        self.say("G17 G21 G40 G49 G54 G90 G94 G64 P0.05")
