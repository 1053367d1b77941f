"""Pilot arc on a fixed head with a sense circuit, which is off before the torch lights."""

from kerfproof.machine.profile import StartKind, TouchOff
from kerfproof.motion.light import pierce_from_above
from kerfproof.motion.sequence import StartSequence
from kerfproof.motion.sequences.pilot_float import lower_to_pilot
from kerfproof.motion.touch import find_plate

SEQUENCE = StartSequence(
    start=StartKind.PILOT,
    touch_off=TouchOff.OHMIC,
    look="tip just over the plate, sense circuit off, clamp on, face shield down",
    find=find_plate,
    lower=lower_to_pilot,
    pierce=pierce_from_above,
)
