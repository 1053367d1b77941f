"""A line with a slash that the safety of the cut hangs on.

Finds: lines that begin with ``/`` and switch the torch, search, set the datum, wait or move. They are read as if the
block-delete switch is off; with the switch on the control leaves them out. A warning where they only stop, and the
program need not stop for a look at the touch-off.

Matters: with the switch on, a torch off, a touch-off or a raise is missing.

Bad::

    Given: burning
    G1 X30 F2200
    /M5

Good::

    Given: burning
    G1 X30 F2200
    M5

Do: take the slash away.
"""

import re
from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.dialect import Guard, ProbeMiss
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import counted

_STOP = re.compile(r"/+M(0|1|60)")


def _judge(e: Evidence) -> Iterator[Hit]:
    deleted = [words.startswith("/") and bool(words.strip("/")) for words in e.lines.words]
    lines = np.flatnonzero(np.array(deleted, dtype=np.bool_)[e.lines.which]) + 1
    if len(lines):
        first = int(lines[0])
        many = f", and {counted(len(lines) - 1, 'more line')} like it" if len(lines) > 1 else ""
        message = f"{e.line_words(first)} is left out when the block-delete switch is on{many}"
        stops = all(_STOP.fullmatch(e.line_words(line)) for line in lines.tolist())
        needed = e.control.probe_miss is ProbeMiss.SILENT and e.control.guard is Guard.NONE
        severity = Severity.WARNING if stops and not needed else None
        yield Hit(message, "take the slash away", first, None, severity)


RULE = Rule("block-delete-matters", Severity.ERROR, _judge)
