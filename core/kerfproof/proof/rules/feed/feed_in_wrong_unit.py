"""A feed that is off by the factor of another unit.

Finds: cutting feeds 20-30 or 50-70 times above or below the feed of the process: mm and inches, or minutes and
seconds, mixed up.

Matters: the torch stands in its own crater, or races off without cutting.

Bad::

    Given: burning
    G1 X30 F87

Good::

    Given: burning
    G1 X30 F2200

Do: write feeds in units per minute of the program's unit.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm_min, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None:
        return
    rows = np.flatnonzero(e.travels & e.trace.torch & (e.trace.feed > 0))
    ratio = e.trace.feed[rows] / e.process.feed_mm_min
    factor = np.maximum(ratio, 1 / ratio)
    odd = rows[((factor > 20) & (factor < 30)) | ((factor > 50) & (factor < 70))]
    if len(odd):
        row = int(odd[0])
        message = say(
            "cutting at {feed}, the process has {feed_mm_min}",
            feed=mm_min(e.trace.feed[row], ".4g"),
            feed_mm_min=mm_min(e.process.feed_mm_min),
        )
        yield at_row(e, row, message, "check units of length and time")


RULE = Rule("feed-in-wrong-unit", Severity.ERROR, _judge)
