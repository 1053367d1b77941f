"""The on word lacks the S word that the output needs.

Finds: a light-up before any S word on a machine whose output needs one.

Matters: the output never closes and the contour is run cold.

Bad::

    Machine: contact-float torch_on_speed=1000
    Given: touched
    M3
    G4 P0.4

Good::

    Machine: contact-float torch_on_speed=1000
    Given: touched
    M3 S1000
    G4 P0.4

Do: write the S word with the on word.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.machine.torch_on_speed is None:
        return
    for row in e.lights.tolist():
        speed = e.state("speed", e.line(row))
        if speed in ("", "S0"):
            yield at_row(e, row, "the on word stands without S", f"write S{e.machine.torch_on_speed:g} with it")


RULE = Rule("on-word-incomplete", Severity.ERROR, _judge)
