"""Touch-off, datum, and the heights of the torch."""

from __future__ import annotations

import re
from collections.abc import Callable

from kerfproof.shop.profile import TouchOff
from support.faulty.subject import FAULTS, INCH, Fault, Lines, Subject, changed, fault, place, value, with_value
from support.faulty.torch import swap_words

FAULTS["touch-off behind a slash"] = swap_words(r"^(?=G38|G31)", "/", everywhere=False)


@fault("touch-off dropped")
def _(s: Subject) -> Lines | None:
    datums = s.datums()
    return [*s.lines[: datums[0]], *s.lines[datums[-1] + 1 :]] if datums else None


@fault("provisional datum dropped")
def _(s: Subject) -> Lines | None:
    return changed(s.lines, s.datums()[0]) if s.searches() else None


@fault("search doubled")
def _(s: Subject) -> Lines | None:
    """On a fixed head the second search is a touch like any other."""
    found = s.searches() if s.outcome.machine.touch_off is TouchOff.FLOAT else []
    return changed(s.lines, found[0], s.lines[found[0]], s.lines[found[0]]) if found else None


@fault("datum after the touch dropped")
def _(s: Subject) -> Lines | None:
    return changed(s.lines, s.datums()[-1]) if s.searches() else None


def _search(change: Callable[[float, float], float]) -> Fault:
    def plant(s: Subject) -> Lines | None:
        if not s.searches():
            return None
        at = s.searches()[0]
        z = value(s.lines[at], "Z")
        return None if z is None else changed(s.lines, at, with_value(s.lines[at], "Z", change(z, s.unit)))

    return plant


FAULTS["search too short"] = _search(lambda z, unit: -10 / unit)
FAULTS["search upwards"] = _search(lambda z, unit: -z)
FAULTS["search far too deep"] = _search(lambda z, unit: z - 60 / unit)


@fault("search turned into a feed move")
def _(s: Subject) -> Lines | None:
    found = s.searches()
    return changed(s.lines, found[0], re.sub(r"^(G38\.2|G31)", "G1", s.lines[found[0]])) if found else None


def _dragged(letter: str) -> Fault:
    """Let the first search of the block move sideways, too."""

    def plant(s: Subject) -> Lines | None:
        found = s.searches()
        if not found:
            return None
        aside = place(s.lines, found[0])["XY".index(letter)] + 3 / s.unit
        return changed(s.lines, found[0], s.lines[found[0]].replace(" Z", f" {letter}{aside:.5f} Z"))

    return plant


FAULTS["search that drags sideways in X"] = _dragged("X")
FAULTS["search that drags sideways in Y"] = _dragged("Y")


@fault("search over a dropped slug")
def _(s: Subject) -> Lines | None:
    """Touch off in the middle of a hole that was cut before, then go to the pierce raised."""
    lines, go, datums = s.lines, s.find(r"^G0 .*X", s.here), s.datums()
    before = [b for b in s.blocks()[: s.chosen] if ": hole," in lines[b[0]]]
    if not before or not s.searches() or go is None:
        return None
    ends = [place(lines, k + 1) for k in s.cut_moves(before[-1])]
    x, y = ((min(along) + max(along)) / 2 for along in zip(*ends, strict=True))
    up, pierce = f"G0 Z{25 / s.unit:.4f}", lines[go]
    aside = with_value(with_value(pierce, "X", x), "Y", y)
    return [*lines[:go], aside, *lines[go + 1 : datums[-1] + 1], up, pierce, *lines[datums[-1] + 1 :]]


@fault("slow touch at the fast feed")
def _(s: Subject) -> Lines | None:
    found = s.searches()
    feed = value(s.lines[found[0]], "F") if len(found) > 1 else None
    m = s.outcome.machine
    harmless = m.overrun(m.touch_fast_mm_min) - m.overrun(m.touch_slow_mm_min) < 0.1
    return None if feed is None or harmless else changed(s.lines, found[-1], with_value(s.lines[found[-1]], "F", feed))


_GUARD = re.compile(r"#102=SQRT|IF \[")


@fault("guard dropped")
def _(s: Subject) -> Lines | None:
    lines = [line for line in s.lines if not _GUARD.match(line)]
    return lines if len(lines) < len(s.lines) else None


@fault("guard dropped in one block")
def _(s: Subject) -> Lines | None:
    low, high = s.here
    lines = [line for k, line in enumerate(s.lines) if not (low <= k < high and _GUARD.match(line))]
    return lines if len(lines) < len(s.lines) else None


@fault("return to the trip dropped")
def _(s: Subject) -> Lines | None:
    return changed(s.lines, s.find(r"^G1 Z#", s.here))


@fault("datum from the fast touch")
def _(s: Subject) -> Lines | None:
    m = s.outcome.machine
    at = s.find(r"^G1 Z#5063", s.here) if m.read_late(m.touch_fast_mm_min) >= 0.1 else None
    return None if at is None else changed(s.lines, at, s.lines[at].replace("#5063", "#101"))


@fault("touch-off result thrown away")
def _(s: Subject) -> Lines | None:
    """Go back to the number that the trip has where the plate is as it should be."""
    at = s.find(r"^G1 Z#5063", s.here)
    if at is None:
        return None
    assert s.outcome.proof is not None
    trace = s.outcome.proof.trace
    row = next(k for k in range(len(trace)) if trace.line[k] == at + 1)
    z = float(trace.frame_z[row, 1]) / s.unit
    return changed(s.lines, at, re.sub(r"Z#5063", f"Z{z:.5f}".rstrip("0").rstrip("."), s.lines[at]))


def _datum(change: Callable[[float, float], float]) -> Fault:
    def plant(s: Subject) -> Lines | None:
        if not s.searches():
            return None
        at = s.datums()[-1]
        z = value(s.lines[at], "Z")
        assert z is not None
        new = change(z, s.unit)
        return None if abs(new - z) < 0.25 / s.unit else changed(s.lines, at, with_value(s.lines[at], "Z", new))

    return plant


FAULTS["float sign flipped"] = _datum(lambda z, unit: -z)
FAULTS["float forgotten"] = _datum(lambda z, unit: 0.0)
FAULTS["float digit changed"] = _datum(lambda z, unit: z + 2 / unit)


@fault("datum names X")
def _(s: Subject) -> Lines | None:
    if not s.searches():
        return None
    at = s.datums()[-1]
    return changed(s.lines, at, s.lines[at].replace(" Z", " X0 Z"))


def _rise(which: int, new: Callable[[float, float], float]) -> Fault:
    """Change a Z move between datum and first cut move: 0 is to the start height, 1 to pierce, -1 to cut height."""

    def plant(s: Subject) -> Lines | None:
        light = s.light
        if not s.searches():
            return None
        ups = s.rises()
        if which == 0:
            ups = [k for k in range(s.datums()[-1], light) if s.lines[k].startswith("G1 Z")]
        if not ups or (which == 1 and len(ups) == 1):
            return None
        at = ups[0 if which == 1 else which]
        z = value(s.lines[at], "Z")
        assert z is not None
        return changed(s.lines, at, with_value(s.lines[at], "Z", new(z, s.unit)))

    return plant


FAULTS["start height wrong"] = _rise(0, lambda z, unit: 1.0 / unit if z <= 0 else 0.0)
FAULTS["cut height ten times"] = _rise(-1, lambda z, unit: z * 10)
FAULTS["cut height a tenth"] = _rise(-1, lambda z, unit: z / 10)
FAULTS["cut height sign flipped"] = _rise(-1, lambda z, unit: -z)
FAULTS["pierce height eight millimetres"] = _rise(1, lambda z, unit: 8.0 / unit)


@fault("pierce height never reached")
def _(s: Subject) -> Lines | None:
    ups = s.rises()
    if len(ups) < 2:
        return None
    return changed(s.lines, ups[0], with_value(s.lines[ups[0]], "Z", value(s.lines[ups[-1]], "Z") or 0.0))


@fault("pierced with the tip on the plate")
def _(s: Subject) -> Lines | None:
    """Leave the rise to pierce height out; the wait stays."""
    ups = s.rises()
    return changed(s.lines, ups[0]) if len(ups) > 1 else None


@fault("cut at pierce height all along")
def _(s: Subject) -> Lines | None:
    ups = s.rises()
    return changed(s.lines, ups[-1]) if len(ups) > 1 and not s.block("slit") else None


@fault("slit cut at pierce height all along")
def _(s: Subject) -> Lines | None:
    ups = s.rises()
    return changed(s.lines, ups[-1]) if len(ups) > 1 and s.block("slit") else None


def _driven(depth: float) -> Fault:
    """Drive the lit torch down in the middle of a cut, and up again."""

    def plant(s: Subject) -> Lines | None:
        ups, moves = s.rises(), s.cut_moves()
        if len(moves) < 3 or not ups:
            return None
        down = re.sub(r" F.*", "", with_value(s.lines[ups[-1]], "Z", -depth / s.unit))
        return changed(s.lines, moves[2], down, re.sub(r" F.*", "", s.lines[ups[-1]]), s.lines[moves[2]])

    return plant


FAULTS["lit torch driven into the plate"] = _driven(2.0)
FAULTS["lit torch driven deep into the plate"] = _driven(12.0)


@fault("raise lost")
def _(s: Subject) -> Lines | None:
    up = s.find(r"^G0 Z", s.here, True)
    return changed(s.lines, up) if up is not None and up > s.off and not s.last else None


@fault("no raise after the last cut")
def _(s: Subject) -> Lines | None:
    if not s.last:
        return None
    off = s.off
    lines = [line for k, line in enumerate(s.lines) if k <= off or not re.match(r"G0 Z|G53 G0 Z", line)]
    return lines if lines != s.lines else None


@fault("rise to the start height lost")
def _(s: Subject) -> Lines | None:
    if not s.searches():
        return None
    return changed(s.lines, next((k for k in range(s.datums()[-1], s.light) if s.lines[k].startswith("G1 Z")), None))


@fault("raise far too low")
def _(s: Subject) -> Lines | None:
    at = s.find(r"^G0 Z", s.here, True)
    z = value(s.lines[at], "Z") if at is not None and at > s.off and not s.last else None
    return None if z is None else changed(s.lines, at, with_value(s.lines[at or 0], "Z", z / 20))


@fault("moved aside between touch-off and light-up")
def _(s: Subject) -> Lines | None:
    light = s.light
    if not s.searches():
        return None
    x, _ = place(s.lines, light)
    return changed(s.lines, light, f"G0 X{x + 25 / s.unit:.5f}", s.lines[light])


# --- starts that save time -------------------------------------------------------------------------------


@fault("rapid down to the plate before the search")
def _(s: Subject) -> Lines | None:
    at = s.find(r"^G0 Z-", s.here)
    z = value(s.lines[at], "Z") if at is not None else None
    return None if z is None else changed(s.lines, at, with_value(s.lines[at or 0], "Z", z - 5 / s.unit))


@fault("dive before the search at a feed as fast as a rapid")
def _(s: Subject) -> Lines | None:
    """Go down from the provisional zero to where the tip is well under the plate."""
    at, m = next(iter(s.searches()), None), s.outcome.machine
    if at is None or s.chosen == 0:
        return None
    z = value(s.lines[at], "Z")
    high = None if z is None else z + (m.trip_depth + m.plate_height_band) / s.unit
    fast = f"F{m.z_rapid_mm_min / s.unit:.3f}"
    return None if high is None else changed(s.lines, at, f"G1 Z{high - 6 / s.unit:.5f} {fast}", s.lines[at])


@fault("dive by a rapid between touch-off and light-up")
def _(s: Subject) -> Lines | None:
    datums, m = s.datums(), s.outcome.machine
    if not datums or not s.searches():
        return None
    deep = min(6.0, m.float_travel / 2) if m.touch_off is TouchOff.FLOAT else 0.25
    way = [f"G0 Z{10 / s.unit:.5f}", f"G0 Z{-deep / s.unit:.5f}"]
    back = s.find(r"^G1 Z", (datums[-1], s.light), True)
    return None if back is None else changed(s.lines, back, *way, s.lines[back])


@fault("stop between touch-off and light-up with the torch away")
def _(s: Subject) -> Lines | None:
    datums = s.datums()
    down = s.find(r"^G1 Z", (datums[-1], s.light), True) if datums and s.searches() else None
    if down is None:
        return None
    x, y = place(s.lines, down)
    away, back = f"G0 X{x + 60 / s.unit:.5f}", f"G0 X{x:.5f} Y{y:.5f}"
    up, near = f"G0 Z{25 / s.unit:.5f}", f"G0 Z{5 / s.unit:.5f}"
    return changed(s.lines, down, up, away, "M0", back, near, s.lines[down])


@fault("guard of the plate band three times too wide")
def _(s: Subject) -> Lines | None:
    at = s.find(r"SQRT\[[\d.]+-ABS\[#101\+", s.here)
    if at is None or s.chosen == 0:
        return None
    wide = re.sub(r"SQRT\[([\d.]+)-", lambda m: f"SQRT[{3 * float(m[1]):.5f}-", s.lines[at])
    return changed(s.lines, at, wide)


@fault("second touch left out")
def _(s: Subject) -> Lines | None:
    """Go on from the first trip: the torch is lit on one touch, without its slow one."""
    found, m = s.searches(), s.outcome.machine
    trip = s.find(r"^G1 Z#5063", s.here)
    if len(found) != 2 or trip is None or m.touch_off is not TouchOff.FLOAT:
        return None
    return [*s.lines[: found[0] + 1], s.lines[found[0] + 1], *s.lines[trip:]]


@fault("touch-off left out without consent, or once more than it may be")
def _(s: Subject) -> Lines | None:
    """Seat the tip by the last zero, as the planner does where the shop consents."""
    datums, m = s.datums(), s.outcome.machine
    down = s.find(r"^G1 Z-", (datums[-1], s.light)) if datums else None
    if down is None or s.chosen == 0 or m.touch_off is not TouchOff.FLOAT:
        return None
    over, held = f"G0 Z{3 / s.unit:.5f}", f"G1 Z-{3 / s.unit:.5f} F{600 / s.unit:.4f}"
    return [*s.lines[: datums[0] - 1], over, held, *s.lines[down + 1 :]]


# --- feeds -----------------------------------------------------------------------------------------------


def _feed(change: Callable[[float], float | None]) -> Fault:
    def plant(s: Subject) -> Lines | None:
        at = next((k for k in s.cut_moves() if value(s.lines[k], "F") is not None), None)
        if at is None:
            return None
        new = change(value(s.lines[at], "F") or 0.0)
        line = re.sub(r" F[\d.]+", "", s.lines[at])
        return changed(s.lines, at, line if new is None else with_value(s.lines[at], "F", new))

    return plant


FAULTS["feed lost"] = _feed(lambda f: None)
FAULTS["feed zero"] = _feed(lambda f: 0.0)
FAULTS["feed a tenth"] = _feed(lambda f: f / 10)
FAULTS["feed ten times"] = _feed(lambda f: f * 10)
FAULTS["feed in the wrong unit, 25.4 times"] = _feed(lambda f: f * INCH)
FAULTS["feed in the wrong unit, a 25.4th"] = _feed(lambda f: f / INCH)
