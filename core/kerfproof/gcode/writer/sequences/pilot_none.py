"""Pilot arc without touch-off: the operator sets Z zero with the tip on the plate."""

from kerfproof.gcode.writer.sequence import StartSequence
from kerfproof.gcode.writer.sequences.pilot_float import lower_to_pilot
from kerfproof.gcode.writer.torch_on import pierce_from_above
from kerfproof.shop.profile import StartKind, TouchOff

SEQUENCE = StartSequence(
    start=StartKind.PILOT,
    touch_off=TouchOff.NONE,
    look="tip just over the plate, clamp on, face shield down",
    find=None,
    lower=lower_to_pilot,
    pierce=pierce_from_above,
)
