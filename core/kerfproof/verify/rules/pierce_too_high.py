"""The torch pierces too far above the plate.

Finds: a lit torch that rises, before it moves on, half as high again as the pierce height of the process (warning),
or so high that no arc reaches the plate (error).

Matters: the arc is drawn out until it goes out, and the cut that follows is run cold.

Bad::

    Given: touched
    M3
    G4 P0.4
    G1 Z8 F900
    G4 P0.3
    G1 Z1.5 F900
    G1 X30 F2200

Good::

    Given: touched
    M3
    G4 P0.4
    G1 Z3 F900
    G4 P0.3
    G1 Z1.5 F900
    G1 X30 F2200

Do: pierce at the height of the chart, or at twice the cut height.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.limits import PILOT_MOST
from kerfproof.verify.rule import Hit, Rule, at_row


def _judge(e: Evidence) -> Iterator[Hit]:
    if e.process is None:
        return
    usual = max(e.process.pierce_height, 2 * e.process.cut_height, 2.0)
    for run in e.runs:
        stop = e.first_travel(run)
        if stop is None or not e.known[run.first_row]:
            continue
        heights = e.height[run.first_row : stop, 1]
        row = run.first_row + int(heights.argmax())
        height = float(e.height[row, 1])
        if height > 1.5 * usual:
            message = f"the torch rises to {height:.1f} mm before it moves on, piercing is done at {usual:.1f}"
            grave = height > max(1.5 * usual, PILOT_MOST)
            yield at_row(e, row, message, "pierce at the height of the chart", None if grave else Severity.WARNING)


RULE = Rule("pierce-too-high", Severity.ERROR, _judge)
