"""A pierce in thin sheet over a slat.

Finds: in sheet up to 3 mm, a pierce within 5 mm of the line of a slat, where the machine file knows the slats.

Matters: the blow-back from the slat spoils the tip, and the sheet welds to it.

Bad::

    Machine: contact-float slat_pitch=100
    Given: burning at 102 50

Good::

    Machine: contact-float slat_pitch=100
    Given: burning at 150 50

Do: shift the job by a few millimetres, or choose another start.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm, say

THIN, NEAR = 3.0, 5.0


def _judge(e: Evidence) -> Iterator[Hit]:
    pitch = e.machine.slat_pitch
    if pitch <= 0 or e.process is None or e.process.thickness > THIN or not e.runs:
        return
    x = np.array([run.start[0] for run in e.runs])
    past = (x - e.machine.slat_offset) % pitch
    away = np.minimum(past, pitch - past)
    for run in e.runs:
        if away[run.number] < NEAR:
            message = say("the torch pierces {away} beside a slat", away=mm(away[run.number], ".1f"))
            yield Hit(message, "shift the job, or choose another start", run.light_line, run.start)


RULE = Rule("pierce-on-slat", Severity.NOTE, _judge)
