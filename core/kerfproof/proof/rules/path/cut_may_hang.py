"""A closed cut that stops as soon as it closes.

Finds: closed cuts whose path goes on for less than a fifth of the thickness after closing.

Matters: the arc lags at the bottom of the cut; a web of metal stays and the piece hangs.

Bad::

    Program: good
    G3 X79.9499 Y51 I-10 J0 ->

Good::

    Given: burning at 70 50
    G1 X80 F2200
    G3 X60 Y50 I-10 J0
    G3 X80 Y50 I10 J0
    G3 X79.9499 Y51 I-10 J0
    M5

Do: over-burn by a quarter of the thickness, at least 1 mm.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, say


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None:
        return
    lag = 0.2 * e.process.thickness
    for stop in e.path.ring_stop.tolist():
        beyond = float(e.path.remaining[stop - 1])
        if beyond < 0.95 * lag:
            row = int(e.path.segments.index[stop - 1])
            yield at_row(
                e,
                row,
                say("the cut ends {beyond} after it closes", beyond=mm(beyond, ".2f")),
                say("over-burn at least {lag}", lag=mm(lag, ".2f")),
            )


RULE = Rule("cut-may-hang", Severity.WARNING, _judge)
