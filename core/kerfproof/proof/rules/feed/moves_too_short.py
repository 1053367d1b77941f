"""Moves so short that the control can't hold the feed.

Finds: stretches of a cut where the moves that the control looks ahead are together so short that it must run at less
than half the feed, to be able to stop within them.

Matters: the torch stutters, the kerf widens and the edge shows steps.

Bad::

    Machine: contact-float lookahead_blocks=2
    Given: burning at 10 50
    G1 X10.1 F2200
    G1 X10.2 Y50.01
    G1 X10.3 Y50
    G1 X10.4 Y50.01
    G1 X10.5 Y50
    G1 X30

Good::

    Machine: contact-float lookahead_blocks=2
    Given: burning at 10 50
    G1 X15 F2200
    G1 X30

Do: write arcs instead of short lines, or set the number of blocks that the control looks ahead.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, mm_min, say

SHARE = 0.5


def _judge(e: Evidence) -> Iterator[Hit]:
    seen = e.machine.lookahead_blocks
    rows = np.flatnonzero(e.travels & e.moves & e.trace.torch & (e.trace.feed > 0))
    if len(rows) <= seen:
        return
    way = np.concatenate([[0.0], np.cumsum(e.length[rows])])
    ahead = way[seen + 1 :] - way[1 : len(way) - seen]  # what lies behind each row within sight
    first = rows[: len(ahead)]
    run = np.searchsorted(e.first_rows, rows, side="right")
    inside = run[seen:][: len(ahead)] == run[: len(ahead)]
    reached = np.sqrt(2 * e.machine.acceleration_mm_s2 * ahead)
    slow = inside & (reached < SHARE * e.trace.feed[first] / 60)
    told: set[int] = set()
    for k in np.flatnonzero(slow).tolist():
        if int(run[k]) not in told:
            told.add(int(run[k]))
            row = int(first[k])
            message = say(
                "{seen} moves of {ahead} together: no more than {reached} is safe",
                seen=seen,
                ahead=mm(ahead[k], ".2f"),
                reached=mm_min(reached[k] * 60),
            )
            yield at_row(e, row, message, "write arcs instead of short lines")


RULE = Rule("moves-too-short", Severity.WARNING, _judge)
