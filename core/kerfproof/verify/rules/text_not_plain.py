"""Characters beyond plain ASCII.

Finds: lines with letters that some controls can't read, in comments too.

Matters: a control may stop, skip the line, or show nonsense.

Bad::

    Given: head
    (Träger 4)
    G0 X10 Y10

Good::

    Given: head
    (Traeger 4)
    G0 X10 Y10

Do: keep to letters, digits and signs of ASCII.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.rule import Hit, Rule
from kerfproof.wording import counted


def _judge(e: Evidence) -> Iterator[Hit]:
    if not all(map(str.isascii, e.lines.different)):
        odd = [k + 1 for k in range(len(e.lines)) if not e.lines[k].isascii()]
        yield Hit(
            f"{counted(len(odd), 'line')} hold{'s' if len(odd) == 1 else ''} characters beyond ASCII",
            "keep to ASCII",
            odd[0],
        )


RULE = Rule("text-not-plain", Severity.NOTE, _judge)
