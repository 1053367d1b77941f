"""A plate at the limit of piercing.

Finds: light-ups inside the plate where the chart row says that the plate can just be pierced, or as a last resort.

Matters: the blow-back wears tips fast, and now and then one is gone after a start.

Bad::

    Process: steel 8
    Plate: 0 0 200 100
    Given: burning at 100 50
    G1 X60 F480
    M5

Good::

    Program: bad
    Given: burning at 0 50

Do: expect short tip life, keep spare tips at hand; or start on the edge.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule
from kerfproof.sentence import mm, say
from kerfproof.shop.chart import PierceRating


def _judge(e: Evidence) -> Iterator[Hit]:
    p = e.process
    if p is None or p.pierce not in (PierceRating.LIMIT, PierceRating.LAST_RESORT):
        return
    for run in e.runs:
        if not e.on_plate_edge(run.start, p.kerf):
            plate = say(
                "{thickness} {material} at {amps:g} A", thickness=mm(p.thickness, "g"), material=p.material, amps=p.amps
            )
            message = say("{plate} is at the limit of piercing ({value})", plate=plate, value=p.pierce.value)
            yield Hit(message, "expect short tip life, keep spare tips at hand", run.light_line, run.start)
            return  # it holds for every start


RULE = Rule("pierce-at-limit", Severity.WARNING, _judge)
