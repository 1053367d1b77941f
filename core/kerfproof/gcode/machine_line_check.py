"""A machine whose lines say what they switch, or a refusal with all mistakes by their keys."""

from __future__ import annotations

from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.reader.line_mistakes import line_mistakes, refusals
from kerfproof.shop.file_model import refuse
from kerfproof.shop.profile import Machine


def check_words(machine: Machine, where: str) -> None:
    """Refuse a machine whose torch, height control or sense lines do not say what they switch.

    Raises
    ------
    KerfproofError
        With all such lines, each with its key, or if the machine names no control that there is.
    """
    refuse(refusals(line_mistakes(machine, control_of(machine))), where)
