"""The program has no end word.

Finds: a program that reaches its last line without M2, M30 or a closing percent sign.

Matters: some controls wait, run on into old memory, or keep all modes.

Bad::

    Given: head
    G0 X10 Y10

Good::

    Given: head
    G0 X10 Y10
    M2

Do: end with the end word of the control.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.trace.stopped is None and not e.trace.modes.get("end"):
        yield Hit("the program has no end word", f"write {e.control.end_word} last", len(e.lines) or None)


RULE = Rule("program-end-missing", Severity.WARNING, _judge)
