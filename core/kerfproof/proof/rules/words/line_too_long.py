"""A line longer than the control reads.

Finds: lines with more characters than the dialect allows (256 in NISTIR 6556, 3.3).

Matters: the rest of the line is lost, or the program stops there.

Bad::

    Control: small
    Given: head
    G0 X10 Y10 (this comment is much longer than the eighty characters that the buffer of the control holds)

Good::

    Control: small
    Given: head
    G0 X10 Y10 (short)

Do: shorten the comment, or split the line.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule


def _judge(e: Evidence) -> Iterator[Hit]:
    length = np.fromiter(map(len, e.lines.different), np.int64, len(e.lines.different))[e.lines.which]
    for k in np.flatnonzero(length > e.control.line_limit).tolist():
        message = f"{length[k]} characters, the control reads {e.control.line_limit}"
        yield Hit(message, "shorten or split the line", k + 1)


RULE = Rule("line-too-long", Severity.ERROR, _judge)
