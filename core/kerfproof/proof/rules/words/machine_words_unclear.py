"""A line of the machine file does not say what it switches.

Finds: torch, height control or sense lines of the machine file that can't be read, switch nothing, or do not switch
off what the other one switches on; and torch and sense lines that wait for the next motion.

Matters: the proof knows by these lines alone when the torch burns. If they say nothing, nothing is proven.

Bad::

    Machine: output-not-undone
    Given: touched
    M64 P0
    G4 P0.4
    M65 P1

Good::

    Program: bad
    Machine: contact-output
    M65 P1 -> M65 P0

Do: mend the line in the machine file; kerfproof machines check tells all of them.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.gcode.reader.line_mistakes import line_mistakes
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule


def _judge(e: Evidence) -> Iterator[Hit]:
    for key, what, advice in line_mistakes(e.machine, e.control):
        yield Hit(f"the machine file says {key} = {what}", advice)


RULE = Rule("machine-words-unclear", Severity.ERROR, _judge)
