"""Another work offset than the one the zero was set in.

Finds: a work offset word that differs from the one before it (an error), or from that of the machine file (a warning);
motion in X or Y before the first such word (an error).

Matters: X and Y zero were set in one coordinate system; in another the rest of the cut lies somewhere else.

Bad::

    Given: head
    G0 X10 Y50
    G55
    G0 X30 Y50

Good::

    Program: bad
    G55 -> G54

Do: use one work offset all through, the one in which you set zero.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.proof.rules.height.travel_too_low import IN_MACHINE_FRAME


def _judge(e: Evidence) -> Iterator[Hit]:
    changes = e.changes("system")
    before = ""
    for change in changes:
        if before and change.word != before:
            message = f"{change.word} after {before}: what follows lies in another coordinate system"
            yield Hit(message, f"use {before} all through", change.line)
            return
        before = change.word
    yield from _moved_before(e)
    if before and before != e.machine.work_offset:
        message = f"the program works in {before}, the machine file says zero is set in {e.machine.work_offset}"
        yield Hit(message, "set zero in the program's system", changes[0].line, None, Severity.WARNING)


def _moved_before(e: Evidence) -> Iterator[Hit]:
    """Tell motion before the program says in which system: it runs in the one that an earlier job has left."""
    changes = e.changes("system")
    if not changes:
        return
    rows = np.flatnonzero(e.travels & (e.trace.line < changes[0].line))
    rows = rows[[not e.trace.text[row].startswith(IN_MACHINE_FRAME) for row in rows.tolist()]] if len(rows) else rows
    for row in rows[:1].tolist():
        message = f"X or Y moves before {changes[0].word}: in which work offset nobody knows"
        yield at_row(e, row, message, f"write {changes[0].word} before any motion")


RULE = Rule("work-offset-changed", Severity.ERROR, _judge)
