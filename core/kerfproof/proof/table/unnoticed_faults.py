"""What weighs less than it sounds on other tables: what the machine is said not to do, and what no program need notice.

A program that checks its touch-offs must do so at every start. One that never does is right as long as nothing goes
wrong at the table, so it is told once what it would not notice. A plate that is missing is another matter: where the
control can notice that by itself, lighting all the same is always an error.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.gcode.dialect import Dialect
from kerfproof.proof.evidence.simulated_table import Fault
from kerfproof.proof.table.play import Played

UNGUARDED = "touch-off-miss-unguarded"
_WHAT = {
    Fault.STUCK: "a stuck switch",
    Fault.SLAT: "a slat taken for the plate",
    Fault.FALSE_TRIP: "a false trip by noise",
}
_LACKING = {
    Fault.STUCK: "a check that the search went down",
    Fault.SLAT: "a check against the last height, or a stop to look",
    Fault.FALSE_TRIP: "a second, short search",
}


class Heard:
    """What was found on other tables; `clean` is the run on the table as it should be."""

    def __init__(self, control: Dialect, clean: Played) -> None:
        self.back_off = control.control_back_off
        self.noticed = {Fault.FALSE_TRIP} if any(search.number > 1 for search in clean.searches) else set[Fault]()
        """The faults that the program is seen to notice: it stops there, or searches a second time."""
        self.told: list[Finding] = []
        self.lit: list[tuple[Fault, Finding]] = []

    def hear(self, played: Played, findings: Sequence[Finding]) -> None:
        """Take in one run, and what was found in it."""
        trouble = played.scenario.trouble
        if trouble is not None and _stopped(played):
            self.noticed.add(trouble.fault)
        unlikely = played.scenario.back_off > self.back_off  # the machine says that it does not
        for finding in findings:
            error = finding.severity is Severity.ERROR
            if error and trouble is not None and trouble.fault in _WHAT and finding.rule == UNGUARDED:
                self.lit.append((trouble.fault, finding))
            else:
                self.told.append(replace(finding, severity=Severity.WARNING) if error and unlikely else finding)

    def findings(self) -> list[Finding]:
        """Return all that is to be told; what nothing in the program notices as one warning."""
        return [*self.told, *(f for fault, f in self.lit if fault in self.noticed), *self._lacking()]

    def _lacking(self) -> list[Finding]:
        lit: dict[Fault, Finding] = {}
        for fault, finding in self.lit:
            if fault not in self.noticed:
                lit.setdefault(fault, finding)
        if not lit:
            return []
        what, do = ([words[fault] for fault in _WHAT if fault in lit] for words in (_WHAT, _LACKING))
        first = min(lit.values(), key=lambda finding: finding.line or 0)
        message = f"the torch would light all the same after {_listed(what, 'or')}: nothing in the program notices it"
        return [replace(first, severity=Severity.WARNING, problem=message, remedy=f"write {_listed(do, 'and')}")]


def _stopped(played: Played) -> bool:
    """Return whether the program stopped after a fault, before the torch was lit again."""
    faulty = [row for row, search in zip(played.probe_rows, played.searches, strict=False) if search.faulty]
    if not faulty or played.trace.stopped is None:
        return False
    return bool(np.searchsorted(played.light_rows, faulty[0]) == len(played.light_rows))


def _listed(items: Sequence[str], word: str) -> str:
    return f" {word} ".join(filter(None, [", ".join(items[:-1]), items[-1]]))
