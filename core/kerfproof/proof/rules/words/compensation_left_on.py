"""The control's own kerf compensation is in use.

Finds: G41 or G42. The language leaves it to the control and its tool table how far aside it then moves, so what it
cuts can't be proven; still on at the end it is carried into the next program.

Matters: the control moves another path than the one that was proven.

Bad::

    Given: head
    G41 D1
    G0 X10 Y10
    M2

Good::

    Program: bad
    G41 D1 -> G40

Do: write paths with the kerf already in them, and G40 at the top.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule


def _judge(e: Evidence) -> Iterator[Hit]:
    used = [change for change in e.changes("compensation") if not change.word.startswith("G40")]
    if used:
        left = not e.trace.modes.get("compensation", "G40").startswith("G40")
        message = f"{used[0].word}: the control moves another path than the one written, which can't be proven"
        message += ", and it is still on at the end" if left else ""
        yield Hit(message, "write the path with the kerf in it", used[0].line)


RULE = Rule("compensation-left-on", Severity.ERROR, _judge)
