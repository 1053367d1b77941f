"""A start sequence: from the torch raised over the spot to the torch cutting at cut height."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from kerfproof.errors import KerfproofError
from kerfproof.gcode.writer.touch_off import PlateKnowledge
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.registry import load_folder
from kerfproof.shop.profile import Machine, StartKind, TouchOff

Lines = list[str]

STEP_OVER = 5.0
"""Height over the plate of the way from a shifted touch-off to the pierce."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StartSequence:
    """One way to start. Each function returns program lines for what is given.

    `find(given, height, known)` finds the plate about `height` below; None where there is no touch-off.
    `lower(given, stepped)` goes to where the arc is lit, from the touch-off or, `stepped`, from above.
    `pierce(given, edge)` goes on from the lit arc to cutting at cut height; `edge` tells that there is nothing
    to pierce. `look` is what the operator is asked to see before the first light-up.
    """

    start: StartKind
    touch_off: TouchOff
    look: str
    find: Callable[[WriteContext, float, PlateKnowledge], Lines] | None
    lower: Callable[[WriteContext, bool], Lines]
    pierce: Callable[[WriteContext, bool], Lines]


def sequence_of(machine: Machine) -> StartSequence:
    """Return the start sequence for a machine.

    Raises
    ------
    KerfproofError
        If there is none for its torch and touch-off.
    """
    for sequence in load_folder("kerfproof.gcode.writer.sequences", "SEQUENCE").values():
        assert isinstance(sequence, StartSequence)
        if (sequence.start, sequence.touch_off) == (machine.start, machine.touch_off):
            return sequence
    raise KerfproofError(
        f"a {machine.start} start with touch-off {machine.touch_off} can't be written",
        where=f"machine {machine.name}",
        advice="choose another start or touch-off",
    )
