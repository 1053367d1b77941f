"""The program stops or changes tools with the torch on.

Finds: M0, M1, M6, G28, G30 or a tool word between torch on and torch off; a wait for an input (M66) once the cut has
begun.

Matters: the arc burns on in one place until the tip or the part is gone, and hands come near.

Bad::

    Given: burning
    G1 X30 F2200
    M0
    G1 X50
    M5

Good::

    Given: burning
    G1 X30 F2200
    M5
    M0

Do: put the torch out before every stop.
"""

import re
from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

_TOOL = re.compile(r"M6|T\d+")
"""A tool change or a tool word, as the reader names them."""
_WAIT = re.compile(r"M66\b.*\bL0*[1-9]")
"""A wait for an input; without L, or with L0, it is read at once."""


def _judge(e: Evidence) -> Iterator[Hit]:
    kinds = (Step.STOP, Step.OPTIONAL_STOP, Step.OUTPUT, Step.RAPID)
    for row in np.flatnonzero(e.trace.torch & np.isin(e.trace.kind, kinds)).tolist():
        kind, text = int(e.trace.kind[row]), e.trace.text[row]
        tool = kind == Step.OUTPUT and _TOOL.fullmatch(text) is not None
        if kind in (Step.STOP, Step.OPTIONAL_STOP) or tool or text.startswith(("G28", "G30")):
            yield at_row(e, row, f"{text} with the torch on", "put the torch out first")
        elif kind == Step.OUTPUT and _WAIT.search(text) and _begun(e, row):
            yield at_row(e, row, f"{text} waits for an input in the middle of a cut", "wait before the cut begins")


def _begun(e: Evidence, row: int) -> bool:
    """Return whether the torch that is lit at a row has moved in the plane since its light-up."""
    run = int(np.searchsorted(e.first_rows, row, side="right")) - 1
    return run >= 0 and 0 <= int(e.first_travels[run]) < row


RULE = Rule("stop-with-torch-on", Severity.ERROR, _judge)
