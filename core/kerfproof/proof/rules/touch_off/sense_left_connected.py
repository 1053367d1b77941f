"""The sense circuit is still connected when the torch lights.

Finds: on an ohmic touch-off, a light-up after the line that connects the sense circuit and before the one that
disconnects it, or within 0.1 s of that (warning).

Matters: the wire ties the control to a part that sees the open-circuit voltage of the supply.

Bad::

    Program: good
    M65 P1 ->
    G4 P0.2 ->

Good::

    Machine: contact-ohmic
    Given: head
    G0 X10 Y50
    M64 P1
    M65 P1
    G4 P0.2
    M3

Do: disconnect the sense circuit and wait 0.2 s before every light-up.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

RELAY = 0.1
"""A relay has let go after this (common practice, no source), s."""


def switched_on(e: Evidence, on: str, off: str, rows: Ints) -> list[int]:
    """Return which of the rows run while a line of the machine file has switched something on and none off again."""
    words = {e.extra_lines.get(on, "").strip(): True, e.extra_lines.get(off, "").strip(): False}
    words.pop("", None)
    outputs = [row for row in e.rows(Step.OUTPUT).tolist() if e.trace.text[row] in words]
    places = np.searchsorted(np.array(outputs, dtype=np.int64), rows)
    return [int(r) for r, k in zip(rows, places.tolist(), strict=True) if k and words[e.trace.text[outputs[k - 1]]]]


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.extra_lines.get("sense_off"):
        return
    for row in switched_on(e, "sense_on", "sense_off", e.lights):
        yield at_row(e, row, "the torch lights with the sense circuit connected", "disconnect it first")
    passed = np.concatenate([[0.0], np.cumsum(e.trace.seconds)])
    off = [row for row in e.rows(Step.OUTPUT).tolist() if e.trace.text[row] == e.extra_lines["sense_off"].strip()]
    stops = e.rows(Step.STOP, Step.OPTIONAL_STOP)
    for row in e.lights.tolist():
        place = int(np.searchsorted(off, row)) - 1
        if place < 0 or np.searchsorted(stops, off[place]) != np.searchsorted(stops, row):
            continue
        waited = float(passed[row] - passed[off[place]])
        if waited < RELAY:
            message = f"the torch lights {waited:.2f} s after the sense circuit was disconnected"
            yield at_row(e, row, message, "wait 0.2 s before the light-up", Severity.WARNING)


RULE = Rule("sense-left-connected", Severity.ERROR, _judge)
