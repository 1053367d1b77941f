"""A dwell that looks like the other unit.

Finds: on a control that dwells in seconds, 50 s and more (an error with the torch on); on one that dwells in
milliseconds, less than 10 ms.

Matters: a dwell of 400 s stands in the crater, one of 0.4 ms leaves before the arc is lit.

Bad::

    Given: head
    G4 P400

Good::

    Given: head
    G4 P0.4

Do: check the dwell unit of the control in the machine file.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

LONG, SHORT = 50.0, 0.01


def _judge(e: Evidence) -> Iterator[Hit]:
    for row in e.rows(Step.DWELL).tolist():
        seconds = float(e.trace.value[row])
        if not e.control.dwell_in_ms and seconds >= LONG:
            severity = Severity.ERROR if e.trace.torch[row] else None
            yield at_row(e, row, f"a dwell of {seconds:g} s", "write seconds, not milliseconds", severity)
        elif e.control.dwell_in_ms and 0 < seconds < SHORT:
            yield at_row(e, row, f"a dwell of {seconds * 1000:g} ms", "write milliseconds, not seconds")


RULE = Rule("dwell-unit-doubt", Severity.WARNING, _judge)
