"""Contact start on a fixed head with a sense circuit through the tip.

The tip stays where it touched: there is no float to hold it down. The circuit must be disconnected before the
torch lights, because the part it hangs on then sees the open-circuit voltage.
"""

from kerfproof.errors import KerfproofError
from kerfproof.gcode.writer.sequence import Lines, StartSequence
from kerfproof.gcode.writer.torch_on import pierce_from_contact
from kerfproof.gcode.writer.touch_off import PlateKnowledge, find_plate
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.shop.profile import StartKind, TouchOff


def _find(given: WriteContext, height: float, known: PlateKnowledge) -> Lines:
    if not given.machine.sense_off:
        raise KerfproofError(
            "the sense circuit of a contact-start torch must be disconnected before the torch lights",
            where=f"machine {given.machine.name}",
            advice="give sense_off, the line that disconnects it",
        )
    return find_plate(given, height, known)


def _lower(given: WriteContext, stepped: bool) -> Lines:
    return [f"G1 Z0 {given.words.feed(given.z_feed(200.0))}"] if stepped else []


def _pierce(given: WriteContext, edge: bool) -> Lines:
    return pierce_from_contact(given, edge, 0.0)


SEQUENCE = StartSequence(
    start=StartKind.CONTACT,
    touch_off=TouchOff.OHMIC,
    look="tip on plate, sense circuit off, clamp on, face shield down",
    find=_find,
    lower=_lower,
    pierce=_pierce,
)
