"""Pilot arc without touch-off: the operator sets Z zero with the tip on the plate."""

from kerfproof.machine.profile import StartKind, TouchOff
from kerfproof.motion.light import pierce_from_above
from kerfproof.motion.sequence import StartSequence
from kerfproof.motion.sequences.pilot_float import lower_to_pilot

SEQUENCE = StartSequence(
    start=StartKind.PILOT,
    touch_off=TouchOff.NONE,
    look="tip just over the plate, clamp on, face shield down",
    find=None,
    lower=lower_to_pilot,
    pierce=pierce_from_above,
)
