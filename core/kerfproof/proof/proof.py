"""The result of a proof, as values."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kerfproof.errors import Finding, Severity
from kerfproof.gcode.trace import Trace
from kerfproof.geom.path import Floats, Ints
from kerfproof.proof.evidence.free_pieces import FreePiece
from kerfproof.proof.evidence.placed import Placing
from kerfproof.proof.evidence.runs import TorchRun
from kerfproof.sentence import Phrase


@dataclass(frozen=True, slots=True, eq=False)
class EdgeSamples:
    """Deviation of the finished edge along the drawn contours.

    `points` (k, 2) on the drawn edges, `contour` (k,) their number, `deviation` (k,) mm: positive where metal
    is left over, negative where the kerf gouges. What a round kerf can't reach in an inside corner is 0.
    """

    points: Floats
    contour: Ints
    deviation: Floats


@dataclass(frozen=True, slots=True)
class PartProof:
    """What the program does to one drawn outline.

    `contour` numbers the outline among the drawn closed contours. `holes` drawn in it, `holes_cut` of them cut
    free. `corner_radius` is the largest rounding that the round kerf leaves in an inside corner.
    """

    contour: int
    comes_free: bool
    worst_gouge: float
    worst_leftover: float
    holes: int
    holes_cut: int
    corner_radius: float


@dataclass(frozen=True, slots=True, eq=False)
class Proof:
    """All that the proof found. `ok` means: no finding of severity error."""

    findings: tuple[Finding, ...]
    parts: tuple[PartProof, ...]
    runs: tuple[TorchRun, ...]
    trace: Trace
    edges: EdgeSamples | None
    worst_gouge: float
    worst_leftover: float
    edge_deviation: float
    """Largest distance of the finished edge from the drawn one, fit error of curves included, mm."""
    holds_for: Phrase
    """One line: for what the verdict holds, and what text alone can't know."""
    pieces: tuple[FreePiece, ...] = ()
    """What comes free, with sizes and holes, where there was no drawing to compare with."""
    places: tuple[Placing, ...] = ()
    """Where the drawing was found in a program that does not say how it lies; empty where that was given."""
    made_for: float | None = None
    """The kerf that the path was made for, where it is another than that of the process all over, mm."""

    @property
    def ok(self) -> bool:
        """Whether no finding is an error."""
        return all(f.severity is not Severity.ERROR for f in self.findings)

    @property
    def verdict(self) -> str:
        """``PROVEN``, ``PROVEN WITH WARNINGS`` or ``NOT PROVEN``."""
        return verdict_of(self.findings)


BY_RULES = ", BY RULES ALONE"
"""Follows the verdict on a program that was compared with no drawing."""


def verdict_of(findings: Iterable[Finding], compared: bool = True) -> str:
    """Return ``PROVEN``, ``PROVEN WITH WARNINGS`` or ``NOT PROVEN``; qualified if nothing was compared."""
    found = {finding.severity for finding in findings}
    if Severity.ERROR in found:
        return "NOT PROVEN"
    word = "PROVEN WITH WARNINGS" if Severity.WARNING in found else "PROVEN"
    return word if compared else word + BY_RULES
