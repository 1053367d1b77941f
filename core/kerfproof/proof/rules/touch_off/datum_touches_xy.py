"""A datum word moves the zero of X or Y.

Finds: G92, G10 or G52 with X or Y, G92.3 where it brings back what another job left, a write to the parameters that
hold the stored origins (5161 to 5390, NISTIR 6556), and a clear of all axes where the machine file says that XY zero
lives in G92.

Matters: the whole job moves on the plate.

Bad::

    Given: head
    G92 X0 Y0 Z0
    G0 X10 Y10

Good::

    Given: head
    G92 Z0
    G0 X10 Y10

Do: name only Z in every datum word.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule

_SYSTEMS = ("G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3")
_AXES = "XYZABC"


def _judge(e: Evidence) -> Iterator[Hit]:
    stored = True
    for change in e.changes("origin"):
        if {"X", "Y"} & {word[0] for word in change.word.split()}:
            yield Hit("a datum word names X or Y", "name only Z", change.line)
        elif change.word.startswith("G92.3") and stored:
            message = "G92.3 brings back the X, Y and Z offsets that an earlier job stored"
            yield Hit(message, "leave it out: G92 with Z alone sets the datum", change.line)
        elif e.machine.xy_zero_in_g92 and change.word.startswith(("G92.1", "G92.2")):
            yield Hit("this word clears the XY zero too, which lives in G92", "set Z alone", change.line)
        stored = stored and not change.word.startswith(("G92 ", "G92.1"))
    for change in e.changes("parameter"):
        yield Hit(f"{change.word} writes {_held(change.word)} past all datum words", "leave it out", change.line)


def _held(setting: str) -> str:
    """Return what the stored-origin parameter of a setting holds (NISTIR 6556, 3.2.1)."""
    number = int(setting[1:].partition("=")[0])
    if number == 5220:
        return "the number of the work offset"
    for first, name in ((5161, "the home place of G28"), (5181, "the home place of G30"), (5211, "the G92 offset")):
        if first <= number < first + 9:
            return name + _axis(number - first)
    system, axis = divmod(number - 5221, 20)
    if not 0 <= system < len(_SYSTEMS):
        return "a stored origin"
    return f"the work offset {_SYSTEMS[system]}" + _axis(axis)


def _axis(which: int) -> str:
    return f" of {_AXES[which]}" if which < len(_AXES) else ""


RULE = Rule("datum-touches-xy", Severity.ERROR, _judge)
