"""Torch on and off, the waits around them, stops."""

from __future__ import annotations

import re

from support.faulty.subject import FAULTS, Fault, Lines, Subject, changed, fault, value, with_value


def drop(pattern: str, *, last: bool = False) -> Fault:
    """Take out the first (or last) line of the block that matches."""
    return lambda s: changed(s.lines, s.find(pattern, s.here, last))


def swap_words(old: str, new: str, everywhere: bool = True) -> Fault:
    """Write other words in the whole program, or in the block."""

    def plant(s: Subject) -> Lines | None:
        lines = s.lines
        hit = [
            k
            for k in range(*((0, len(lines)) if everywhere else s.here))
            if re.search(old, lines[k]) and not lines[k].startswith("(")
        ]
        for k in hit:
            lines[k] = re.sub(old, new, lines[k])
        return lines if hit else None

    return plant


FAULTS["torch off dropped"] = drop(r"^M5$", last=True)
FAULTS["torch off dropped everywhere"] = lambda s: [line for line in s.lines if line != "M5"]
FAULTS["torch on dropped"] = drop(r"^M3$")
FAULTS["light delay lost"] = lambda s: changed(s.lines, s.waits()[0])
FAULTS["arc-out wait lost"] = lambda s: changed(s.lines, s.off + 1)
FAULTS["on word of another output"] = swap_words(r"^M3$", "M4", everywhere=False)
FAULTS["torch off behind a slash"] = swap_words(r"^M5$", "/M5", everywhere=False)


@fault("torch on before the touch-off")
def _(s: Subject) -> Lines | None:
    light, search = s.light, s.find(r"^(G38\.2|G31)", s.here)
    if search is None:
        return None
    lines = s.lines
    word = lines.pop(light)
    return [*lines[:search], word, *lines[search:]]


@fault("torch off before the contour is closed")
def _(s: Subject) -> Lines | None:
    moves, off, lines = s.cut_moves(), s.off, s.lines
    lines.pop(off)
    return [*lines[: moves[-3]], "M5", *lines[moves[-3] :]] if len(moves) > 3 else None


@fault("torch off after the raise")
def _(s: Subject) -> Lines | None:
    up = s.find(r"^G0 Z", s.here, True)
    if up is None or up < s.off:
        return None
    lines, off = s.lines, s.off
    lines[off], lines[up] = lines[up], lines[off]
    return lines


def _light_delay(factor: float) -> Fault:
    def plant(s: Subject) -> Lines | None:
        at = s.waits()[0]
        return changed(s.lines, at, with_value(s.lines[at], "P", (value(s.lines[at], "P") or 0.0) * factor))

    return plant


FAULTS["light delay a tenth"] = _light_delay(0.1)
FAULTS["light delay three times"] = _light_delay(3)
FAULTS["dwell in the wrong unit"] = lambda s: _light_delay(0.001 if s.outcome.machine.dwell_in_ms else 1000)(s)


@fault("pierce delay five seconds longer")
def _(s: Subject) -> Lines | None:
    waits = s.waits()[1:]
    if not waits:
        return None
    longer = (value(s.lines[waits[0]], "P") or 0.0) + (5000 if s.outcome.machine.dwell_in_ms else 5)
    return changed(s.lines, waits[0], with_value(s.lines[waits[0]], "P", longer))


@fault("look before the first light-up dropped")
def _(s: Subject) -> Lines | None:
    return changed(s.lines, s.find(r"^M0$", s.here)) if s.chosen == 0 else None


@fault("pierce height and delay lost")
def _(s: Subject) -> Lines | None:
    ups = s.rises()
    return [*s.lines[: ups[0]], *s.lines[ups[-1] :]] if len(ups) > 1 else None


@fault("stop with the torch on")
def _(s: Subject) -> Lines | None:
    moves = s.cut_moves()
    return changed(s.lines, moves[1], "M0", s.lines[moves[1]]) if len(moves) > 1 else None


@fault("way home with the torch on")
def _(s: Subject) -> Lines | None:
    moves = s.cut_moves()
    return changed(s.lines, moves[1], "G28", s.lines[moves[1]]) if len(moves) > 1 else None


@fault("no raise before a stop")
def _(s: Subject) -> Lines | None:
    up = s.find(r"^G0 Z", s.here, True)
    return changed(s.lines, up, "M0", s.lines[up]) if up is not None and up > s.off else None


# --- machines whose outputs hang on lines of their own ---------------------------------------------------


@fault("height control left on")
def _(s: Subject) -> Lines | None:
    m, lines = s.outcome.machine, s.lines
    on = [k for k in range(*s.here) if m.height_control_on and lines[k] == m.height_control_on]
    off = [k for k in range(*s.here) if on and k > on[-1] and lines[k] == m.height_control_off]
    return changed(lines, off[0]) if off else None


@fault("height control on with the light-up")
def _(s: Subject) -> Lines | None:
    on, lines = s.outcome.machine.height_control_on, s.lines
    found = [k for k in range(*s.here) if on and lines[k] == on]
    if not found:
        return None
    light = s.light
    lines.pop(found[0])
    return [*lines[: light + 1], on, *lines[light + 1 :]]


@fault("sense circuit left connected")
def _(s: Subject) -> Lines | None:
    off = s.outcome.machine.sense_off
    found = [k for k in range(*s.here) if off and s.lines[k] == off]
    return changed(s.lines, found[-1]) if found else None


@fault("sense circuit not connected")
def _(s: Subject) -> Lines | None:
    on = s.outcome.machine.sense_on
    found = [k for k in range(*s.here) if on and s.lines[k] == on]
    return changed(s.lines, found[0]) if found else None


@fault("torch lit again by its output number alone")
def _(s: Subject) -> Lines | None:
    """After the off word the output is switched on once more, spelled as no machine file spells it."""
    on = s.outcome.machine.torch_on
    if not re.fullmatch(r"M6[24] P\d+", on):
        return None
    return changed(s.lines, s.off, "M5", re.sub(r"M(\d+) P(\d+)", r"M0\1 P\2.0", on))
