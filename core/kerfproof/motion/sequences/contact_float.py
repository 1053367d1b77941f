"""Contact start on a floating head.

The head seats on the plate while the carriage runs on by the float until the switch trips. The datum says so:
the tip is on the plate at 0, the carriage stands a float below it. The carriage then rises under the seated head
to the preload, so that the tip still rests on the plate with the head's weight when the arc is drawn.
"""

from kerfproof.machine.profile import StartKind, TouchOff
from kerfproof.motion.given import Given
from kerfproof.motion.light import pierce_from_contact
from kerfproof.motion.sequence import Lines, StartSequence
from kerfproof.motion.touch import find_plate


def _lower(given: Given, stepped: bool) -> Lines:
    feed = given.z_feed(600.0 if stepped else 1000.0)  # from above the tip meets the plate on the way
    return [f"G1 Z{given.words.length(-given.preload)} {given.words.feed(feed)}"]


def _pierce(given: Given, edge: bool) -> Lines:
    return pierce_from_contact(given, edge, -given.preload)


SEQUENCE = StartSequence(
    start=StartKind.CONTACT,
    touch_off=TouchOff.FLOAT,
    look="tip on plate, switch released, clamp on, face shield down",
    find=find_plate,
    lower=_lower,
    pierce=_pierce,
)
