"""The torch is switched on by another word than that of the machine.

Finds: M3 or M4 at a light-up where the machine file names another word.

Matters: it closes another output or none, and the contour is run cold.

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
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.lines import words_of
from kerfproof.verify.rule import Hit, Rule, at_row

_M_WORD = re.compile(r"M\d+")


def _judge(e: Evidence) -> Iterator[Hit]:
    wanted = next(iter(_M_WORD.findall(words_of(e.machine.torch_on))), "")
    for row in e.lights.tolist():
        word = e.trace.text[row].split()[:1]
        if word in (["M3"], ["M4"]) and word != [wanted]:
            message = f"{word[0]} switches the torch on, the on word of this machine is {e.machine.torch_on}"
            yield at_row(e, row, message, f"write {e.machine.torch_on}")


RULE = Rule("torch-word-differs", Severity.ERROR, _judge)
