"""The torch burns in one place for too long.

Finds: between arc lit and the first move in the plane more than twice the pierce delay of the process and half a
second more: dwells, Z moves and the control's own delay together.

Matters: the arc burns a crater that can reach the edge to keep, and wears the tip for nothing.

Bad::

    Program: light-up
    G4 P0.3 -> G4 P5.3

Good::

    Program: light-up

Do: wait as long as the chart says, then move on.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.proof.rules.pierce.no_pierce_delay import piercing

SPARE = 0.5
"""Starts of the arc differ by so much (common practice, no source), s."""


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None:
        return
    most = 2 * e.process.pierce_delay_s + SPARE
    _, rows, spent = piercing(e)
    for k in np.flatnonzero(spent > most).tolist():
        message = f"the arc burns {spent[k]:.2f} s in one place, piercing takes {e.process.pierce_delay_s:.2f} s"
        yield at_row(e, int(rows[k]) - 1, message, "dwell as long as the chart says")


RULE = Rule("pierce-too-long", Severity.WARNING, _judge)
