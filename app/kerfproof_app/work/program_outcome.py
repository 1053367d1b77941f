"""What a program opened by itself comes to, in place of the outcome of a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kerfproof.errors import Finding
from kerfproof.outcome import Outcome

if TYPE_CHECKING:
    from kerfproof.programs.proven_program import ProvenProgram


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ProgramOutcome(Outcome):
    """A program opened by itself: no plan and no parts, but its proof, and the drawing under it if there is one."""

    proved: ProvenProgram

    def places_of(self, finding: Finding) -> tuple[tuple[float, float], ...]:
        """Return where a finding lies on the plate; one of a drawing lies on each of its copies."""
        return self.proved.places_of(finding)
