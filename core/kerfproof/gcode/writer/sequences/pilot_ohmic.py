"""Pilot arc on a fixed head with a sense circuit, which is off before the torch lights."""

from kerfproof.gcode.writer.sequence import StartSequence
from kerfproof.gcode.writer.sequences.pilot_float import lower_to_pilot
from kerfproof.gcode.writer.torch_on import pierce_from_above
from kerfproof.gcode.writer.touch_off import find_plate
from kerfproof.shop.profile import StartKind, TouchOff

SEQUENCE = StartSequence(
    start=StartKind.PILOT,
    touch_off=TouchOff.OHMIC,
    look="tip just over the plate, sense circuit off, clamp on, face shield down",
    find=find_plate,
    lower=lower_to_pilot,
    pierce=pierce_from_above,
)
