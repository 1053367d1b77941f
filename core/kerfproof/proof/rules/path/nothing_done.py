"""The program does nothing of what it is for.

Finds: a program in which nothing moves, as a file has it that was cut off within its heading, and one that should cut
and never lights the torch.

Matters: half a file looks like a whole one in a list of names, and there is nothing in it that could be proven.

Bad::

    Given: head
    G0 X10 Y10
    M2

Good::

    Given: burning
    G1 X30 F2200
    M5

Do: write or copy the program again, or name the machine whose on word it has.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.trace.stopped is not None:
        return
    if not len(e.moving):
        message = "nothing moves in the program: it was cut off, or is none"
        yield Hit(message, "write or copy it again", len(e.lines) or None)
    elif e.mode == "cut" and not e.runs:
        message = f"the program is to cut, but {e.machine.torch_on} never lights the torch in it"
        yield Hit(message, "write or copy it again, or name the right machine", len(e.lines) or None)


RULE = Rule("nothing-done", Severity.ERROR, _judge)
