"""The torch hangs on a word that waits for a motion, and the motion is the wrong one or none.

Finds: a torch that M62 or M67 lights as a move begins that leads it away; one that M63 or M67 should put out or light
where no motion stands between that word and a stop or the end (errors); and one switched by such a word where the line
of the machine file acts at once (a warning). A move along Z of at most 0.05 mm behind such a word is no move: a program
that nudges Z and then waits is right.

Matters: what waits for the arc waits in vain, and the torch is dragged off unlit or before it is through; or it burns
on beside the operator. That these words switch as the next motion begins is common practice, from memory.

Bad::

    Machine: contact-output
    Given: touched
    M62 P0
    G4 P0.4
    G1 Z1.5 F900
    G1 X30 F2200
    M65 P0

Good::

    Program: bad
    M62 P0 -> M64 P0
    G4 P0.3
    M0

Do: light the torch by M64 or M68 and put it out by M65 or M68, which act at once.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.reader.modes import TORCH_ON, WAITING
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.lines import waits_for_motion
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    yield from _other_word(e)
    yield from _lit_in_motion(e)
    yield from _never(e)


def _lit_in_motion(e: Evidence) -> Iterator[Hit]:
    """Tell a torch that is lit as a move begins."""
    moving = set(e.moving.tolist())
    for row in e.lights.tolist():
        word = e.trace.text[row]
        if row + 1 in moving and waits_for_motion(word):
            message = f"{word} lights the torch as this move begins, not before: nothing waits for the arc"
            yield at_row(e, row, message, "light it by a word that acts at once")


def _never(e: Evidence) -> Iterator[Hit]:
    """Tell a word that still waits for its motion where the program stops."""
    switches, stops = e.rows(Step.TORCH_ON, Step.TORCH_OFF), e.rows(Step.STOP, Step.OPTIONAL_STOP, Step.END)
    for row in e.rows(Step.OUTPUT).tolist():
        text = e.trace.text[row]
        does = next((does for does in WAITING.values() if text.endswith(does)), "")
        if not does:
            continue
        word, lights = text.removesuffix(does), does == WAITING[TORCH_ON]
        later = stops[np.searchsorted(stops, row) :]
        until = int(later[0]) if len(later) else len(e.trace)
        if any(e.trace.text[k] == word for k in switches[(switches > row) & (switches < until)].tolist()):
            continue
        if lights:
            message = f"{text}, but the program stops before that: it may light unlooked for"
            yield at_row(e, row, message, "light it by a word that acts at once")
        elif e.trace.torch[row]:
            message = f"{text}, but the program stops before that: it burns on"
            yield at_row(e, row, message, "put it out by a word that acts at once")


def _other_word(e: Evidence) -> Iterator[Hit]:
    """Tell a torch that is switched late where the line of the machine file acts at once."""
    own = {Step.TORCH_ON: e.machine.torch_on, Step.TORCH_OFF: e.machine.torch_off}
    for row in e.rows(Step.TORCH_ON, Step.TORCH_OFF).tolist():
        text, line = e.trace.text[row], own[Step(int(e.trace.kind[row]))]
        if text != line and waits_for_motion(text) and not waits_for_motion(line):
            message = f"{text} switches the torch with the next motion, the machine file's {line} at once"
            yield at_row(e, row, message, f"write {line}", Severity.WARNING)
            return


RULE = Rule("torch-switched-late", Severity.ERROR, _judge)
