"""The control's own kerf compensation is in use.

Finds: G41 or G42: an error if it is still on at the end, else a warning, because the path is proven as programmed.

Matters: the control then moves another path than the one that was proven, and goes on doing so in the next program.

Bad::

    Given: head
    G41 D1
    G0 X10 Y10
    M2

Good::

    Given: head
    G40
    G0 X10 Y10
    M2

Do: write paths with the kerf already in them, and G40 at the top.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule


def _judge(e: Evidence) -> Iterator[Hit]:
    used = [change for change in e.changes("compensation") if not change.word.startswith("G40")]
    if used:
        left = not e.trace.modes.get("compensation", "G40").startswith("G40")
        message = f"{used[0].word} is still on at the end" if left else f"{used[0].word} moves another path than proven"
        yield Hit(message, "write the path with the kerf in it", used[0].line, None, None if left else Severity.WARNING)


RULE = Rule("compensation-left-on", Severity.ERROR, _judge)
