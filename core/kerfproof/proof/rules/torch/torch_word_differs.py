"""The torch is switched on by another word than that of the machine.

Finds: M3 or M4 at a light-up, or while the torch is lit, where the machine file names another word; a warning where the
analog output that lights the torch is set to another value than in the machine file.

Matters: it closes another output or none, or asks the power source for another current, and the contour is run cold or
at a power that nobody meant.

Bad::

    Given: touched
    M4
    G4 P0.4

Good::

    Given: touched
    M3
    G4 P0.4

Do: write the on word of the machine file, or mend it there.
"""

import re
from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.lines import words_of
from kerfproof.proof.rule import Hit, Rule, at_row

_M_WORD = re.compile(r"M\d+")
_WORD = re.compile(r"([A-Z])(-?[\d.]+)")


def _judge(e: Evidence) -> Iterator[Hit]:
    wanted = next(iter(_M_WORD.findall(words_of(e.machine.torch_on))), "")
    for row in e.rows(Step.TORCH_ON).tolist():  # one that is lit already may go out by it
        word = e.trace.text[row].split()[:1]
        if word in (["M3"], ["M4"]) and word != [wanted]:
            message = f"{word[0]} switches the torch on, the on word of this machine is {e.machine.torch_on}"
            yield at_row(e, row, message, f"write {e.machine.torch_on}")
    yield from _other_value(e)


def _other_value(e: Evidence) -> Iterator[Hit]:
    """Tell an analog torch output that is set to another value than that of the machine file, once for each value."""
    wanted = _analog(e.machine.torch_on)
    told: set[tuple[float, float]] = set()
    for row in e.rows(Step.TORCH_ON).tolist() if wanted else ():
        for output, value in _analog(e.trace.text[row]).items():
            if abs(value - wanted.get(output, value)) > 1e-6 and (output, value) not in told:
                told.add((output, value))
                message = f"the torch is lit with Q{value:g} on output E{output:g}, not with Q{wanted[output]:g}"
                yield at_row(e, row, message, f"write {e.machine.torch_on}", Severity.WARNING)


def _analog(line: str) -> dict[float, float]:
    """Return the value that each analog output is set to by what may be several lines."""
    out = {}
    for words in (_WORD.findall(words_of(one)) for one in line.split("\n")):
        value = {letter: float(number) for letter, number in words}
        if {("M", "67"), ("M", "68")} & set(words) and {"E", "Q"} <= value.keys():
            out[value["E"]] = value["Q"]
    return out


RULE = Rule("torch-word-differs", Severity.ERROR, _judge)
