"""The control may leave the path further than the machine file says.

Finds: cuts in G64 where the machine file says exact path, or a smaller tolerance: without P the rounding of a square
corner is worked out from feed and acceleration. An error from 0.3 mm on, half of what an air plasma cut varies by.

Matters: the control cuts the corners short, and an outside corner of the part is lost.

Bad::

    Given: burning
    G64
    G1 X50 F2200

Good::

    Given: burning
    G64 P0.05
    G1 X50 F2200

Do: state G61, or G64 with the tolerance of the machine file.
"""

import re
from bisect import bisect_right
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.proof.rules.feed.path_mode_unstated import ROUNDING
from kerfproof.sentence import mm, say

MUCH = 0.3
"""Error from so much rounding (mm) on; the kerf of a hand-built table varies by 0.3 to 0.5 (common practice)."""

_INCH = 25.4
_TOLERANCE = re.compile(r"P([\d.]+)")
"""As the reader names it."""


def _judge(e: Evidence) -> Iterator[Hit]:
    modes = e.changes("path")
    allowed = e.machine.path_tolerance or 0.0
    if allowed and "{tolerance}" not in e.control.path_blend_word:
        return  # no limit can be stated on this control, and the machine file wants none
    rows = np.flatnonzero(e.travels & e.trace.torch & (e.trace.feed > 0))
    lines = e.trace.line[rows]
    starts, units = [0], [""]
    for change in e.changes("units"):
        starts.append(change.line)
        units.append(change.word)
    cuts = np.searchsorted(lines, [*(mode.line for mode in modes), len(e.lines) + 1]).tolist()
    for mode, (first, end) in zip(modes, pairwise(cuts), strict=True):
        inside = rows[first:end]
        word, _, limit = mode.word.partition(" ")
        if word != "G64" or not len(inside):
            continue
        row = int(inside[e.trace.feed[inside].argmax()])
        stated = _TOLERANCE.fullmatch(limit)
        if stated:
            rounding = float(stated[1]) * (_INCH if units[bisect_right(starts, mode.line) - 1] == "G20" else 1.0)
        else:
            rounding = ROUNDING * (float(e.trace.feed[row]) / 60) ** 2 / e.machine.acceleration_mm_s2
        if rounding > allowed + 1e-3:
            wanted = say("a tolerance of {allowed}", allowed=mm(allowed, "g")) if allowed else "exact path"
            message = say(
                "{word} may round a corner by {rounding}, the machine file says {wanted}",
                word=mode.word,
                rounding=mm(rounding, ".2f"),
                wanted=wanted,
            )
            severity = Severity.ERROR if rounding > MUCH else None
            yield at_row(e, row, message, "state the path mode of the machine file", severity)
            return


RULE = Rule("path-mode-differs", Severity.WARNING, _judge)
