"""Height control is on where it must be off.

Finds: height control that is still on when the torch lights (an error) or goes out (a warning).

Matters: with no arc or a young one the voltage says nothing, and the head dives into the plate.

Bad::

    Machine: pilot-height
    Given: head
    M64 P2
    M3

Good::

    Machine: pilot-height
    Given: head
    M65 P2
    M3
    M64 P2
    M65 P2
    M5

Do: switch it off before every off word, and on only at cut height.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.motion.trace import Step
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row
from kerfproof.verify.rules.sense_left_connected import switched_on


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.extra_lines.get("height_control_off"):
        return
    names = ("height_control_on", "height_control_off")
    for row in switched_on(e, *names, e.lights):
        yield at_row(e, row, "the torch lights with height control on", "switch it off first")
    out = e.rows(Step.TORCH_OFF)
    for row in switched_on(e, *names, out[e.trace.torch[out]]):
        yield at_row(e, row, "the torch goes out with height control on", "switch it off first", Severity.WARNING)


RULE = Rule("height-control-left-on", Severity.ERROR, _judge)
