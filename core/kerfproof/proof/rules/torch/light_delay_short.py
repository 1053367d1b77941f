"""The torch moves before the arc can be lit.

Finds: less dwell between torch on and the next move than the machine's light delay, the control's own delay
counted, where no line waits for arc transfer.

Matters: relay, gas and ignition take 0.2-0.6 s. A tip that leaves the plate before that has no arc, and the whole
contour is run cold.

Bad::

    Given: touched
    M3
    G1 Z3 F900

Good::

    Given: touched
    M3
    G4 P0.4
    G1 Z3 F900

Do: dwell for the machine's light delay before anything moves.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    wanted = e.machine.light_delay_s - e.machine.torch_on_delay_s
    waited, following = e.waits_after(e.lights)
    for k in np.flatnonzero(waited < wanted - 1e-3).tolist():
        row = int(e.lights[k])
        if not e.waits_for_arc(row, int(following[k])):
            message = f"only {waited[k]:.2f} s between torch on and the first move, {wanted:.2f} s are needed"
            yield at_row(e, row, message, f"dwell {wanted:.2f} s after the on word")


RULE = Rule("light-delay-short", Severity.ERROR, _judge)
