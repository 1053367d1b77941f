"""The torch is still on when the program ends.

Finds: a program whose last torch word is the on word.

Matters: the arc burns on where the torch stands, or lights again at the next program.

Bad::

    Given: burning
    G1 X30 F2200
    M2

Good::

    Program: line
    M2

Do: put the off word after the last cut, and once more before the end.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.trace.stopped is not None:
        return
    if e.trace.modes.get("torch") == "on" and len(e.lights):
        row = int(e.lights[-1])
        yield at_row(e, row, "the torch is lit here and never put out", "put the off word after the cut")


RULE = Rule("torch-left-on", Severity.ERROR, _judge)
