"""The torch lights where the plate was not found first.

Finds: a light-up on a machine with touch-off that has no tripped search of its own within 15 mm, unless one may be
left out there: on a pilot torch nearer to the last one than the machine file says; on a contact torch with the consent
in the machine file, within 100 mm, 4 times in a row, on plate of 3 mm and up, with the tip's face on sound plate, no
operator's stop since, and held so far below zero that a plate 1.5 mm lower is still touched. Within 15 mm of the
touch-off of another cut it is a warning. An operator's stop since the touch-off, with the torch raised or away, ends
what it told.

Matters: plate is never flat. A contact torch that does not touch does not light and the whole contour is run cold;
one pressed too hard loses steps.

Bad::

    Program: line
    G0 X80 Y60
    G0 Z2
    G1 Z-1 F1000
    M3
    G4 P0.4

Good::

    Given: burning
    G1 X30 F2200
    M5

Do: touch off at every pierce, or consent in the machine file (leave_touch_off_out) and write the program again.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.touch_offs import guarded
from kerfproof.proof.limits import CONTACT_GAP, SHIFTED_TOUCH
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.proof.rules.touch_off.touch_off_near_void import SLACK, freed, over_kerf
from kerfproof.sentence import Phrase, mm, say
from kerfproof.shop.profile import StartKind
from kerfproof.shop.touch_limits import LEAST_THICKNESS, MOST_LEFT_OUT, PLATE_MOVES, leaves_out_within

ROUNDED = 0.01
"""Places in a program are rounded, mm."""


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches:
        return
    t = e.found
    for k, row in enumerate(e.lights.tolist()):
        number, away = int(t.search[k]), float(t.apart[k])
        if number < 0:
            yield at_row(e, row, "the torch lights and the plate was never found", "touch off first")
        elif not e.searches[number].probed.tripped:
            yield at_row(e, row, "the torch lights after a search that found nothing", "guard the touch-off")
        elif t.own[k] and away <= SHIFTED_TOUCH:
            if t.halted_after[k]:
                stopped = "the program stops between this touch-off and the light with the torch raised or away"
                yield at_row(e, row, stopped, "touch off after the stop")
        elif (why := _why_not(e, k)) is not None:
            near = away <= SHIFTED_TOUCH and t.left_out[k] <= MOST_LEFT_OUT and not t.halted[k]
            message = say("the torch lights {away} from the last touch-off: {why}", away=mm(away, ".1f"), why=why)
            yield at_row(e, row, message, "touch off here too", Severity.WARNING if near else None)


def _why_not(e: Evidence, k: int) -> Phrase | str | None:
    """Return why the touch-off of this light-up may not be left out, None where it may."""
    if e.found.halted[k]:
        return "the program stopped since, and what was done then nobody knows"
    thickness = e.process.thickness if e.process is not None else None
    within = leaves_out_within(e.machine, thickness, guarded(e.control))
    if within <= 0:
        thin = thickness is None or thickness < LEAST_THICKNESS
        if e.machine.leave_touch_off_out and e.machine.start is StartKind.CONTACT and thin:
            return say("on plate under {least} none is left out", least=mm(LEAST_THICKNESS, "g"))
        return "the machine file lets none be left out"
    if e.found.apart[k] > within + ROUNDED:
        return say("one may be left out within {within}", within=mm(within, "g"))
    return _seated(e, k) if e.machine.start is StartKind.CONTACT else None


def _seated(e: Evidence, k: int) -> Phrase | str | None:
    """Return why the tip of a contact torch may not be in touch here, None where it is."""
    if e.found.left_out[k] > MOST_LEFT_OUT:
        return f"{e.found.left_out[k]} starts in a row rely on it, at most {MOST_LEFT_OUT} may"
    row, machine = int(e.lights[k]), e.machine
    height = float(e.height[row, 1])
    deepest = -(machine.float_travel - machine.switch_hysteresis - 2.0)
    if height + PLATE_MOVES > CONTACT_GAP or not deepest < height:
        return say(
            "held {height} below zero the tip does not touch a plate that lies {moves} lower or higher",
            height=mm(-height, ".1f"),
            moves=mm(PLATE_MOVES, "g"),
        )
    place, run = np.array([e.at(row)]), np.searchsorted(e.first_rows, [row]).astype(np.int64)
    face = machine.tip_face_radius
    if len(e.path.segments) and (freed(e, place, run)[0] >= 0 or over_kerf(e, place, run, face)[0] < face - SLACK):
        return "the tip's face does not stand on sound plate here"
    return None


RULE = Rule("torch-on-without-touch-off", Severity.ERROR, _judge)
