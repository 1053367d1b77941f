"""Contact start on a fixed head without touch-off: the operator sets Z zero with the tip on the plate."""

from kerfproof.gcode.writer.sequence import Lines, StartSequence
from kerfproof.gcode.writer.torch_on import pierce_from_contact
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.shop.profile import StartKind, TouchOff


def _lower(given: WriteContext, stepped: bool) -> Lines:
    w = given.words
    return [f"G0 Z{w.length(1.0)}", f"G1 Z0 {w.feed(given.z_feed(200.0))}"]


def _pierce(given: WriteContext, edge: bool) -> Lines:
    return pierce_from_contact(given, edge, 0.0)


SEQUENCE = StartSequence(
    start=StartKind.CONTACT,
    touch_off=TouchOff.NONE,
    look="tip on plate, clamp on, face shield down",
    find=None,
    lower=_lower,
    pierce=_pierce,
)
