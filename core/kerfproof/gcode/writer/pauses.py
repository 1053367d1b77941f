"""Pauses between two cuts: rests, looks at the witness mark, new tips. Torch off, raised, and back where it was."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kerfproof.cut_plan import Pause, PauseKind, Point
from kerfproof.gcode.words import message, number
from kerfproof.gcode.writer.head import raise_to_top
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.sentence import option
from kerfproof.shop.profile import TouchOff

CHUNK = 30.0
"""A rest is written in dwells of at most this, each with what is left on the message line."""


def pause_lines(pause: Pause, end: Point, given: WriteContext) -> list[str]:
    """Return the lines of a pause after a cut that ended at `end`, the torch off and at travel height.

    They end at the same place and height. Z may be used, because the cut before has found the plate.
    """
    here = pause.at or end
    lines = [message(_words(pause, here, given)), "M1" if pause.kind is PauseKind.LOOK else "M0"]
    if pause.dwell:
        lines = _waiting(pause.seconds, here, given)
    if pause.at is None:
        return lines
    w, m = given.words, given.machine
    up = raise_to_top(given) or [f"G0 Z{w.length(m.park_height_max)}"]
    if pause.look:
        up += [message("freed pieces may stand up on the way: look, then go on"), "M0"]
    return [*up, _rapid(pause.at, given), *lines, _rapid(end, given), f"G0 Z{w.length(m.travel_height)}"]


def first_witness(pauses: Sequence[Pause], given: WriteContext, marked: bool = False) -> list[str]:
    """Return the lines that make the witness mark before the first cut, none where no pause looks at it.

    `marked`: the plate has it already, so that it tells whether XY zero is still the same.
    """
    m = given.machine
    if not m.witness_every or not (marked or any(pause.kind is PauseKind.WITNESS for pause in pauses)):
        return []
    at = (m.witness_x, m.witness_y)
    if marked:
        look = [message("to the witness mark first: look that no freed piece stands in the way"), "M0"]
        way = [] if m.touch_off is TouchOff.NONE else [*look, _rapid(at, given)]
        return [*way, message(f"witness {_place(at, given)}: over the old mark, else set XY zero anew"), "M0"]
    if m.touch_off is TouchOff.NONE:  # the way down from where the torch is parked belongs to the first cut alone
        return [message(f"the plate must be marked at {_place(at, given)} by now: the witness"), "M0"]
    return [_rapid(at, given), message(f"mark the plate under the tip: witness {_place(at, given)}"), "M0"]


def _words(pause: Pause, here: Point, given: WriteContext) -> str:
    if pause.kind is PauseKind.LOOK:
        again = f"{option('unlit').told(False)} {pause.after + 1}"
        return f"look: did cut {pause.after + 1} light and go through, else resume {again}"
    if pause.kind is PauseKind.WITNESS:
        return f"witness: the tip must stand over the mark, {_place(here, given)}"
    if pause.kind is PauseKind.TIP:
        return f"change the tip, switch the supply off first; at {_place(here, given)}"
    return f"rest {number(pause.seconds / 60.0, 1)} min, look at the tip; at {_place(here, given)}"


def _waiting(seconds: float, here: Point, given: WriteContext) -> list[str]:
    """Return a rest as dwells."""
    lines = []
    for k in range(math.ceil(seconds / CHUNK - 1e-9)):
        left = seconds - k * CHUNK
        lines.append(message(f"rest, {number(left, 0)} s left, supply on; at {_place(here, given)}"))
        lines += given.words.dwell(min(CHUNK, left))
    return lines


def _place(at: Point, given: WriteContext) -> str:
    w = given.words
    return f"X{w.length(at[0])} Y{w.length(at[1])}"


def _rapid(at: Point, given: WriteContext) -> str:
    return f"G0 {_place(at, given)}"
