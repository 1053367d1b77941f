"""Pilot arc on a floating head: found like a contact torch, lit at the start height over the plate."""

from kerfproof.gcode.writer.sequence import Lines, StartSequence
from kerfproof.gcode.writer.torch_on import pierce_from_above
from kerfproof.gcode.writer.touch_off import find_plate
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.shop.profile import StartKind, TouchOff


def lower_to_pilot(given: WriteContext, stepped: bool) -> Lines:
    """Return the line to the start height of a pilot arc."""
    return [f"G1 Z{given.words.length(given.pilot_height)} {given.words.feed(given.z_feed(1000.0))}"]


SEQUENCE = StartSequence(
    start=StartKind.PILOT,
    touch_off=TouchOff.FLOAT,
    look="tip just over the plate, switch released, clamp on, face shield down",
    find=find_plate,
    lower=lower_to_pilot,
    pierce=pierce_from_above,
)
