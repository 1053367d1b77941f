"""A program that is there already, proven: its proof, and all that was found on it and its drawings."""

from __future__ import annotations

from dataclasses import dataclass

from kerfproof.box import Box
from kerfproof.errors import Finding
from kerfproof.parts.model.contour import Contour
from kerfproof.programs.expected_contours import ExpectedContours
from kerfproof.proof.proof import Proof, verdict_of
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

UNLIT = ("dry", "frame", "tour")
"""Modes that light no torch."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ProvenProgram:
    """What is known of a program: `proof` is that of its text alone, `whole` the one that answers for the parts.

    They are one, but for a program that goes on with another: then `whole` is the proof of what was cut before and it.
    `drawn` and `slits` are what `whole` was compared with, `expected` what the text alone was.
    """

    text: str
    machine: Machine
    process: Process
    proof: Proof
    whole: Proof
    expected: ExpectedContours
    findings: tuple[Finding, ...]
    compared: bool
    against: str
    """The drawings it is compared with."""
    drawn: tuple[Contour, ...]
    slits: tuple[Contour, ...]
    plate: Box | None
    assumed: str = ""
    """What nobody said of the plate."""
    drill: tuple[tuple[str, float, float], ...] = ()
    """Label and middle of each feature that was left out on purpose."""
    mode: str = "cut"
    """What the program is for, as its heading says; all but ``cut`` light no torch."""

    @property
    def verdict(self) -> str:
        """The verdict of all findings."""
        return verdict_of(self.findings, self.compared)

    @property
    def inches(self) -> bool:
        """Whether the program's numbers are inches: by its first word for it, else by its machine."""
        words = self.proof.trace.changes.of("units")
        return bool(words[0].word == "G20" if words else self.machine.inches)

    def places_of(self, finding: Finding) -> tuple[tuple[float, float], ...]:
        """Return where a finding lies on the plate; one of a drawing lies on each of its copies."""
        if finding.x is None or finding.y is None:
            return ()
        if not finding.drawing:
            return ((finding.x, finding.y),)
        if self.proof.places:
            at = [place.matrix @ (finding.x, finding.y) + place.shift for place in self.proof.places]
            return tuple((float(x), float(y)) for x, y in at)
        shifts = (shift for name, shift in self.expected.shifts if name == finding.drawing)
        return tuple((finding.x + x, finding.y + y) for x, y in shifts)
