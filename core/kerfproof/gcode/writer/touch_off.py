"""Finding the plate: provisional datum, two touches, guards, datum.

All functions return program lines. They begin with the torch off and raised over the spot, at a height that is
known only roughly, and end with Z standing at the trip and the Z datum set so that 0 is the tip on the plate.
"""

from __future__ import annotations

from enum import Enum, auto

from kerfproof.gcode.dialect import Guard
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.shop.profile import TouchOff

SETTLE = 0.2
"""Seconds for the axes to stand and the control's queue to empty before a datum word."""
SHORT = 1.5
"""Depth of the second search below the first trip: after a false trip by noise it finds nothing."""
LEAST_TRAVEL = 2.0
"""A search that trips within this has met a stuck switch."""
AGREE = 0.3
"""Largest difference of the two touches."""
BACK_OFF_FEED = 600.0
RETURN_FEED = 60.0
LONG_RETURN, LONG_RETURN_FEED = 0.3, 600.0
"""Back to the trip of a touch that ran on farther than this (mm): up all the same, but not for a second and more."""
ABOVE_BAND = 2.0
"""So far over a plate that lies a whole band higher the torch comes down at the rapid."""
LEAST_SAVED = 0.05
"""A rapid that saves less than this (s) is not written."""
ABOVE_SLATS = 10.0
"""So far over where a plate on the slats should lie a first search begins."""


def datum(given: WriteContext, z: float) -> str:
    """Return the word that makes the present Z read `z`; it names Z only."""
    system = int(given.machine.work_offset.removeprefix("G").split(".")[0]) - 53
    return given.control.datum_word.format(z=given.words.length(z), system=system)


class PlateKnowledge(Enum):
    """What a program knows of the plate before a touch-off."""

    NOTHING = auto()
    FIRST_FROM_TOP = auto()
    """Nothing, but where it is met below the top of travel is kept for later searches from there."""
    FROM_TOP = auto()
    """Where the last search from the top of travel met it, unless the control was started again since."""
    HEIGHT = auto()
    """The torch's height over it, by the last touch-off."""
    STEADY = auto()
    """That, on a head that tells the plate by one touch."""


def find_plate(given: WriteContext, height: float, known: PlateKnowledge) -> list[str]:
    """Return the lines of a touch-off for a torch about `height` over the plate.

    What is known of the plate stops the program at a trip out of the plate band, where the control can compare.
    """
    m, w = given.machine, given.words
    steady = known is PlateKnowledge.STEADY
    over = steady or known is PlateKnowledge.HEIGHT
    slats = [] if over else _down_to_slats(given)
    height = ABOVE_SLATS if slats else height
    feed = (given.touch_once if steady else None) or given.touch_fast
    lines = [*slats, *w.dwell(SETTLE / 2 if steady else SETTLE), datum(given, 0.0)]
    lines += [*(_down_to_band(given, height, feed) if over else []), *_sense(given, m.sense_on)]
    lines.append(f"{given.control.probe_word} Z{w.length(-given.search_depth(height))} {w.feed(feed)}")
    if steady:
        lines += _one_touch(given, height)
    elif given.reads_trip:
        lines += _second_touch_by_trip(given, height, known)
    else:
        lines += _second_touch_by_rest(given)
    lines += [datum(given, -m.trip_depth), *w.dwell(SETTLE / 2)]
    return [*lines, *_sense(given, m.sense_off)]


def _down_to_slats(given: WriteContext) -> list[str]:
    """Return the rapid down to where a search from the top of travel begins, nothing where nobody knows the slats."""
    if not given.homed or given.machine.slat_top is None:
        return []
    height = given.machine.slat_top + given.process.thickness + ABOVE_SLATS
    return [f"{given.control.machine_frame_word} G0 Z{given.words.length(height)}"] if height < -1.0 else []


def _down_to_band(given: WriteContext, height: float, feed: float) -> list[str]:
    """Return the rapid from `height` over the plate, as the last touch-off found it, to just over its band.

    It counts from where the torch stands, as the search does: a block that is started again relies on no older zero.
    Nothing where it saves nothing over searching all the way at `feed`, since Z stops once more.
    """
    m, down = given.machine, height - given.machine.plate_height_band - ABOVE_BAND
    stop = m.z_rapid_mm_min / 60.0 / m.z_acceleration_mm_s2
    saved = 60.0 * down * (1.0 / feed - 1.0 / m.z_rapid_mm_min) - stop
    return [f"G0 Z{given.words.length(-down)}"] if down > 0 and saved > LEAST_SAVED else []


def _one_touch(given: WriteContext, height: float) -> list[str]:
    """Return the lines from the one trip of a steady head to standing at it."""
    w, trip = given.words, f"#{given.control.trip_parameter}"
    return [
        *_read_first_trip(given, trip),
        *_guard_first(given, height, PlateKnowledge.HEIGHT),
        _return(given, trip, given.touch_once or given.touch_slow),
        *w.dwell(SETTLE / 2),
    ]


def _second_touch_by_trip(given: WriteContext, height: float, known: PlateKnowledge) -> list[str]:
    """Return the lines from the first trip to standing at the second, on a control that can read it."""
    w, word = given.words, given.control.probe_word
    trip = f"#{given.control.trip_parameter}"
    return [
        *_read_first_trip(given, trip),
        *_guard_first(given, height, known),
        f"G1 Z[#101+{w.length(given.machine.back_off)}] {w.feed(given.z_feed(BACK_OFF_FEED))}",
        *w.dwell(SETTLE / 2),
        f"{word} Z[#101-{w.length(SHORT)}] {w.feed(given.touch_slow)}",
        *_guard_second(given, trip),
        _return(given, trip, given.touch_slow),
        *w.dwell(SETTLE),
    ]


def _return(given: WriteContext, trip: str, touched_at: float) -> str:
    """Return the line back to the trip of a touch at a feed (mm/min)."""
    feed = LONG_RETURN_FEED if given.machine.overrun(touched_at) > LONG_RETURN else RETURN_FEED
    return f"G1 Z{trip} {given.words.feed(given.z_feed(feed))}"


def _read_first_trip(given: WriteContext, trip: str) -> list[str]:
    # A control without the published rule that probing ends before the reader goes on needs a pause to catch up.
    pause = given.words.dwell(SETTLE) if given.control.guard is Guard.COMPARE else []
    return [*pause, f"#101={trip}"]


def _second_touch_by_rest(given: WriteContext) -> list[str]:
    """Return the lines from the first trip to standing after the second, where the trip can't be read.

    Z counts from where it rests after the fast touch. The rise adds the overrun of that touch, so that the
    switch lets go; the short search adds what the control backs off by itself, so that it gets past the trip.
    """
    w, m = given.words, given.machine
    rise = m.back_off + m.overrun(given.touch_fast)
    down = SHORT + given.control.control_back_off
    return [
        *w.dwell(SETTLE),
        datum(given, 0.0),
        f"G1 Z{w.length(rise)} {w.feed(given.z_feed(BACK_OFF_FEED))}",
        *w.dwell(SETTLE / 2),
        f"{given.control.probe_word} Z{w.length(-down)} {w.feed(given.touch_slow)}",
        *w.dwell(SETTLE),
    ]


def _guard_first(given: WriteContext, height: float, known: PlateKnowledge) -> list[str]:
    """Return lines that stop the control when the first trip (#101) is where no plate can be.

    #103 holds the trip of the last search from the top. It is 0 on a control that was started again for a restart:
    then the product is 0 too, and nothing is compared.
    """
    w, control = given.words, given.control
    band, expected = given.machine.plate_height_band, height + given.machine.trip_depth
    least = w.length(LEAST_TRAVEL)
    match control.guard:
        case Guard.SQRT:
            lines = [f"#102=SQRT[0-{least}-#101]"]
            if known is PlateKnowledge.FROM_TOP:
                lines.append(f"#102=SQRT[[{w.length(band)}-ABS[#101-#103]]*ABS[#103]]")
            if known is PlateKnowledge.HEIGHT:
                lines.append(f"#102=SQRT[{w.length(band)}-ABS[#101+{w.length(expected)}]]")
        case Guard.COMPARE:
            lines = [control.guard_above.format(value="#101", limit=f"-{least}")]
            if known is PlateKnowledge.FROM_TOP:
                value = f"[[ABS[#101-#103]-{w.length(band)}]*ABS[#103]]"
                lines.append(control.guard_above.format(value=value, limit="0"))
            if known is PlateKnowledge.HEIGHT:
                value = f"ABS[#101+{w.length(expected)}]"
                lines.append(control.guard_above.format(value=value, limit=w.length(band)))
            else:  # the end of the search itself means that nothing was met
                end = w.length(0.5 - given.search_depth(height))
                lines.append(control.guard_below.format(value="#101", limit=end))
        case Guard.NONE:
            return []
    return [*lines, "#103=#101"] if known in (PlateKnowledge.FIRST_FROM_TOP, PlateKnowledge.FROM_TOP) else lines


def _guard_second(given: WriteContext, trip: str) -> list[str]:
    """Return the line that stops the control when the two touches disagree."""
    limit, apart = given.words.length(AGREE), f"ABS[{trip}-#101]"
    match given.control.guard:
        case Guard.SQRT:
            return [f"#102=SQRT[{limit}-{apart}]"]
        case Guard.COMPARE:
            pause = given.words.dwell(SETTLE)
            return [*pause, given.control.guard_above.format(value=apart, limit=limit)]
        case Guard.NONE:
            return []


def _sense(given: WriteContext, word: str) -> list[str]:
    """Return the line that switches the sense circuit and the time it needs, nothing where there is none."""
    return [word, *given.words.dwell(SETTLE)] if word and given.machine.touch_off is TouchOff.OHMIC else []
