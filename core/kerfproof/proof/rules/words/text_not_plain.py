"""Characters beyond plain ASCII, or that the control takes for a command.

Finds: lines with letters that some controls can't read, in comments too. A warning where a comment holds a sign that
holds the motion on this control or goes on with it as soon as it arrives.

Matters: a control may stop, skip the line, or show nonsense. A hold leaves the arc burning in one place; a sign to go
on passes a stop that was to be looked at.

Bad::

    Given: head
    (Träger 4)
    G0 X10 Y10

Good::

    Given: head
    (Traeger 4)
    G0 X10 Y10

Do: keep to letters, digits and signs of ASCII; leave out of comments what the control takes for a command.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import counted


def _judge(e: Evidence) -> Iterator[Hit]:
    if not all(map(str.isascii, e.lines.different)):
        odd = [k + 1 for k in range(len(e.lines)) if not e.lines[k].isascii()]
        yield Hit(
            f"{counted(len(odd), 'line')} hold{'s' if len(odd) == 1 else ''} characters beyond ASCII",
            "keep to ASCII",
            odd[0],
        )
    signs = e.control.acts_at_once
    held = [line for line, text in e.trace.comments if not set(signs).isdisjoint(text)] if signs else []
    if held:
        many = f", and in {len(held) - 1} more" if len(held) > 1 else ""
        message = f"a comment holds a sign of {' '.join(signs)}, which this control obeys at once{many}"
        yield Hit(message, "take the sign out of the comment", held[0], None, Severity.WARNING)


RULE = Rule("text-not-plain", Severity.NOTE, _judge)
