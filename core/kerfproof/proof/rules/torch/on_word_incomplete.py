"""The S word that the torch output needs is missing, another, or taken away.

Finds: on a machine whose output needs an S word, a light-up with none in force or with S0, or with less than half of
the machine file's (an error) or another value (a warning); and an S word while the torch is lit that is not that value.

Matters: the output never closes, or drops out in the cut, and the contour is run cold.

Bad::

    Machine: contact-float torch_on_speed=1000
    Given: touched
    M3
    G4 P0.4

Good::

    Program: bad
    M3 -> M3 S1000

Do: write the S word with the on word.
"""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    wanted = e.machine.torch_on_speed
    if wanted is None:
        return
    said = e.changes("speed")
    lines, values = np.array([change.line for change in said]), [float(change.word[1:]) for change in said]
    advice = f"write S{wanted:g} with it"
    for row in e.lights.tolist():
        place = int(np.searchsorted(lines, e.line(row), side="right")) - 1
        value = values[place] if place >= 0 else 0.0
        if value == 0:
            yield at_row(e, row, "the on word stands without S", advice)
        elif abs(value - wanted) > 1e-6:
            severity = None if value < wanted / 2 else Severity.WARNING
            yield at_row(e, row, f"the torch is lit with S{value:g} instead of S{wanted:g}", advice, severity)
    for run in e.runs:
        low, high = np.searchsorted(lines, [run.light_line, run.off_line], side="right").tolist()
        for before, now in pairwise([wanted, *values[low:high]]):
            if abs(now - wanted) > 1e-6 and now != before:
                severity = None if now < wanted / 2 else Severity.WARNING
                row = run.first_row
                yield at_row(e, row, f"S{now:g} is written while the torch is lit", "leave the S word alone", severity)


RULE = Rule("on-word-incomplete", Severity.ERROR, _judge)
