"""A search that can't feel the plate: its sense circuit is not connected.

Finds: on an ohmic touch-off whose machine file names the line that connects the sense circuit, a search before that
line or after the one that disconnects it.

Matters: nothing closes the circuit, so the head is driven through the plate or the control stops.

Bad::

    Program: good
    M64 P1 ->

Good::

    Machine: contact-ohmic
    Given: head
    G0 X10 Y50
    M64 P1
    G4 P0.2
    G92 Z0
    G38.2 Z-84 F150

Do: connect the sense circuit before every search.
"""

from collections.abc import Iterator

from kerfproof.errors import Severity
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.proof.rules.touch_off.sense_left_connected import switched_on


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.extra_lines.get("sense_on"):
        return
    connected = set(switched_on(e, "sense_on", "sense_off", e.search_rows))
    for row in e.search_rows.tolist():
        if row not in connected:
            yield at_row(e, row, "a search with the sense circuit not connected", "connect it first")


RULE = Rule("search-without-sense", Severity.ERROR, _judge)
