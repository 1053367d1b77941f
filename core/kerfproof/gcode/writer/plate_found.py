"""How each cut of a plan finds the plate: by two touches, by one, or by the touch-off of a cut before."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from enum import Enum, auto

from kerfproof.cut_plan import Cut, Pause
from kerfproof.gcode.writer.sequence import sequence_of
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.shop.profile import StartKind
from kerfproof.shop.touch_limits import MOST_LEFT_OUT, TWICE_BEYOND, TWICE_EVERY


class Found(Enum):
    """How the plate is found."""

    TWICE = auto()
    """By a fast and a slow touch."""
    ONCE = auto()
    """By one touch of a steady head."""
    NOT = auto()
    """Not for this cut: the last touch-off counts, or the operator set Z zero."""


def plate_found(cuts: Sequence[Cut], pauses: Mapping[int, Collection[Pause]], given: WriteContext) -> Iterator[Found]:
    """Yield for each cut how it finds the plate.

    `pauses` are those after a cut, by its number; any of them ends what the last touch-off told.
    """
    if sequence_of(given.machine).find is None:
        yield from (Found.NOT for _ in cuts)
        return
    contact = given.machine.start is StartKind.CONTACT
    within, once = given.leaves_out_within, given.touch_once is not None
    last, left_out, since_twice = -1, 0, 0
    for number, cut in enumerate(cuts):
        before = pauses.get(number - 1, ())
        away = _apart(cut, cuts[last]) if last >= 0 else math.inf
        fresh = last < 0 or bool(before) or cut.full_raise or cut.trial is not None
        if not fresh and away < within and (not contact or (left_out < MOST_LEFT_OUT and cut.tip_sound)):
            how = Found.NOT
            left_out += 1
        elif not fresh and once and away <= TWICE_BEYOND and since_twice + 1 < TWICE_EVERY:
            how = Found.ONCE
        else:
            how = Found.TWICE
        if how is not Found.NOT:
            last, left_out = number, 0
        since_twice = 0 if how is Found.TWICE else since_twice + 1
        yield how


def _apart(cut: Cut, other: Cut) -> float:
    return math.dist(cut.touch_at or cut.pierce, other.touch_at or other.pierce)
