"""A pierce in plate that can't be pierced.

Finds: a light-up inside the plate where the chart row says edge or drilled start only.

Matters: the blow-back destroys the tip before the arc is through.

Bad::

    Process: steel 10
    Plate: 0 0 200 100
    Given: burning at 100 50
    G1 X60 F480
    M5

Good::

    Program: bad
    Given: burning at 0 50

Do: start on the edge, or drill a start hole.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm, say
from kerfproof.shop.chart import PierceRating


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None or e.process.pierce is not PierceRating.NO:
        return
    for run in e.runs:
        if not e.on_plate_edge(run.start, e.process.kerf):
            message = say(
                "{thickness} is too thick to pierce at {amps:g} A",
                thickness=mm(e.process.thickness, "g"),
                amps=e.process.amps,
            )
            yield Hit(message, "start on the edge or in a drilled hole", run.light_line, run.start)


RULE = Rule("pierce-too-thick", Severity.ERROR, _judge)
