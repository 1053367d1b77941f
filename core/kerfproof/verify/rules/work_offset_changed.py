"""Another work offset than the one the zero was set in.

Finds: a work offset word that differs from the one before it (an error), or from that of the machine file (a warning).

Matters: X and Y zero were set in one coordinate system; in another the rest of the cut lies somewhere else.

Bad::

    Given: head
    G0 X10 Y50
    G55
    G0 X30 Y50

Good::

    Given: head
    G0 X10 Y50
    G54
    G0 X30 Y50

Do: use one work offset all through, the one in which you set zero.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule


def _judge(e: Evidence) -> Iterator[Hit]:
    changes = e.changes("system")
    before = ""
    for change in changes:
        if before and change.word != before:
            message = f"{change.word} after {before}: what follows lies in another coordinate system"
            yield Hit(message, f"use {before} all through", change.line)
            return
        before = change.word
    if before and before != e.machine.work_offset:
        message = f"the program works in {before}, the machine file says zero is set in {e.machine.work_offset}"
        yield Hit(message, "set zero in the program's system", changes[0].line, None, Severity.WARNING)


RULE = Rule("work-offset-changed", Severity.ERROR, _judge)
