"""Modes, offsets, words that nobody knows, program ends: what the control is told or left with."""

from __future__ import annotations

import re

from kerfproof.gcode.machine_control import control_of
from support.faulty.subject import FAULTS, Fault, Lines, Planted, Subject, changed, fault, place, transformed
from support.faulty.torch import swap_words


def _in_mid_cut(line: str) -> Fault:
    """Plant a line between two moves of a cut, in the control's unit of time."""

    def plant(s: Subject) -> Lines | None:
        moves = s.cut_moves()
        new = line.replace("P1", "P1000") if control_of(s.outcome.machine).dwell_in_ms else line
        return changed(s.lines, moves[2], new, s.lines[moves[2]]) if len(moves) > 3 else None

    return plant


FAULTS["dwell in the middle of a cut"] = _in_mid_cut("G4 P1")
FAULTS["a G word that nobody knows"] = _in_mid_cut("G68.7")
FAULTS["an M word that nobody knows"] = _in_mid_cut("M111")
FAULTS["a call of text that is not there"] = _in_mid_cut("M98 P1000")


def _unit_word(everywhere: bool) -> Fault:
    def plant(s: Subject) -> Lines | None:
        words = (r"^G20$", "G21") if s.unit > 1 else (r"^G21$", "G20")
        return swap_words(*words, everywhere)(s)

    return plant


FAULTS["unit word changed"] = _unit_word(True)
FAULTS["unit word changed in one block"] = _unit_word(False)
FAULTS["unit word lost"] = lambda s: [line for line in s.lines if line not in ("G20", "G21")]
FAULTS["plane word changed"] = swap_words("G17", "G18", everywhere=False)
FAULTS["exact path left to blending"] = swap_words(r"^G61$", "G64")
FAULTS["plane word lost"] = swap_words("G17 ", "")
FAULTS["G91 left on"] = swap_words("G90", "G91", everywhere=False)
FAULTS["G90 lost"] = swap_words("G90 ", "")
FAULTS["inverse time feed"] = swap_words("G94", "G93", everywhere=False)
FAULTS["compensation on"] = swap_words("G40", "G41", everywhere=False)
FAULTS["tool length on"] = swap_words("G49", "G43 H1", everywhere=False)
FAULTS["another work offset"] = swap_words(r"^G54$", "G55", everywhere=False)
FAULTS["arc centre mode changed"] = swap_words(r"^G91\.1$", "G90.1", everywhere=False)
FAULTS["end word lost"] = lambda s: changed(s.lines, s.find(r"^M(2|30)$"))


def _wide_path(everywhere: bool, known: bool = True) -> Fault:
    """Let the control round corners by 5 mm where the machine is made for hundredths; `known`: it has a word for it."""

    def plant(s: Subject) -> Lines | None:
        if bool("{tolerance}" in control_of(s.outcome.machine).path_blend_word) is not known:
            return None
        return swap_words(r"^G6[14]( P\S+)?$", f"G64 P{round(5 / s.unit, 4):g}", everywhere)(s)

    return plant


FAULTS["path tolerance of 5 mm"] = _wide_path(True)
FAULTS["path tolerance of 5 mm in one block"] = _wide_path(False)
FAULTS["path tolerance that the control does not take"] = _wide_path(True, False)
FAULTS["path tolerance lost"] = swap_words(r"^G64 P\S+$", "G64", everywhere=False)


@fault("datum not cleared and no end word")
def _(s: Subject) -> Lines | None:
    """Drop both: an end word alone clears the shift (NISTIR 6556, 3.6.1)."""
    clear = s.find(r"^G92\.1")
    return None if clear is None else [x for k, x in enumerate(s.lines) if k != clear and x not in ("M2", "M30")]


@fault("program end too early")
def _(s: Subject) -> Lines | None:
    low, end = s.here[0], s.find(r"^M(2|30)$")
    return None if end is None else [*s.lines[:low], s.lines[end], *s.lines[low:]]


# --- what an earlier job left in the control ------------------------------------------------------------


def first(pattern: str, *before: str) -> Fault:
    """Put lines before the first line that matches."""

    def plant(s: Subject) -> Lines | None:
        at = s.find(pattern)
        return None if at is None else changed(s.lines, at, *before, s.lines[at])

    return plant


def _never(word: str) -> Fault:
    """Take a word out of every line."""

    def plant(s: Subject) -> Lines | None:
        lines = [re.sub(rf"(?<![A-Z0-9]){word}(?![0-9.])", "", line) for line in s.lines]
        return None if lines == s.lines else lines

    return plant


FAULTS["work offset never stated"] = _never("G54")
FAULTS["kerf compensation never cancelled"] = _never("G40")
FAULTS["feed mode never stated"] = _never("G94")
FAULTS["offsets of an earlier job restored"] = first(r"^M5", "G92.3")


@fault("machine zero of an unhomed Z")
def _(s: Subject) -> Lines | None:
    return None if s.outcome.machine.z_homed else first(r"^M5", "G53 G0 Z-2")(s)


@fault("stored work offset written")
def _(s: Subject) -> Lines | None:
    return first(r"^M5", "#5221=2")(s) if control_of(s.outcome.machine).expressions else None


# --- X and Y that hang on where the torch is parked or on what is stored ---------------------------------


@fault("first move relative to the parked torch")
def _(s: Subject) -> Lines | None:
    """Right where the torch is parked over X0 Y0, as on the table it was tried on."""
    go = s.find(r"^G0 .*X", s.here)
    return changed(s.lines, go, "G91", s.lines[go], "G90") if s.chosen == 0 and go is not None else None


@fault("no X and Y before the first pierce")
def _(s: Subject) -> Planted | None:
    """Right where the torch is parked over the first pierce: the program is shifted so that it is X0 Y0."""
    go = s.find(r"^G0 .*X", s.here)
    if s.chosen or go is None:
        return None
    dx, dy = place(s.lines, go + 1)
    right = transformed(s, (0, len(s.lines)), lambda x, y: (x - dx, y - dy))
    lines = changed(right, go)
    assert lines is not None
    return Planted(lines, right, True)


def _xy_set(*words: str) -> Fault:
    """Take the place of the parked torch for zero."""

    def plant(s: Subject) -> Lines | None:
        at = s.find(r"^G0 .*X", s.here)
        return changed(s.lines, at, *words, s.lines[at]) if s.chosen == 0 and at is not None else None

    return plant


FAULTS["X and Y zero set where the torch is parked"] = _xy_set("G92 X0 Y0")
FAULTS["X and Y zero set, G92.0"] = _xy_set("G92.0 X0 Y0")
FAULTS["X and Y zero set, g092"] = _xy_set("g092x0y0")
FAULTS["X and Y zero set, words turned round"] = _xy_set("Y0. X0. G92")


@fault("travel in machine coordinates")
def _(s: Subject) -> Lines | None:
    """Go to what is the same place as long as the work offset is zero."""
    go = s.find(r"^G0 .*X", s.here)
    return None if go is None else changed(s.lines, go, f"G53 {s.lines[go]}")


@fault("cut in machine coordinates")
def _(s: Subject) -> Lines | None:
    lines = s.lines
    at = next((k for k in s.cut_moves()[1:] if lines[k].startswith("G1") and "Z" not in lines[k]), None)
    return None if at is None else changed(lines, at, f"G53 {lines[at]}")


@fault("travel by a stored offset")
def _(s: Subject) -> Lines | None:
    go = s.find(r"^G0 .*X", s.here)
    if go is None or not control_of(s.outcome.machine).expressions:
        return None
    return changed(s.lines, go, re.sub(r"X(\S+) Y(\S+)", r"X[\1-#5221] Y[\2-#5222]", s.lines[go]))
