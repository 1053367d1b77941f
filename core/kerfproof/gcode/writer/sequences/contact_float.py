"""Contact start on a floating head.

The head seats on the plate while the carriage runs on by the float until the switch trips. The datum says so:
the tip is on the plate at 0, the carriage stands a float below it. The carriage then rises under the seated head
to the preload, so that the tip still rests on the plate with the head's weight when the arc is drawn.
"""

from kerfproof.gcode.writer.sequence import Lines, StartSequence
from kerfproof.gcode.writer.torch_on import pierce_from_contact
from kerfproof.gcode.writer.touch_off import find_plate
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.shop.profile import StartKind, TouchOff


def _lower(given: WriteContext, stepped: bool) -> Lines:
    # From above the tip meets the plate on the way. Under the seated head the weight of the head keeps the contact.
    feed = given.z_feed(600.0) if stepped else given.machine.z_rapid_mm_min
    return [f"G1 Z{given.words.length(-given.preload)} {given.words.feed(feed)}"]


def _pierce(given: WriteContext, edge: bool) -> Lines:
    return pierce_from_contact(given, edge, -given.preload)


SEQUENCE = StartSequence(
    start=StartKind.CONTACT,
    touch_off=TouchOff.FLOAT,
    look="tip on plate, switch released, clamp on, face shield down",
    find=find_plate,
    lower=_lower,
    pierce=_pierce,
)
