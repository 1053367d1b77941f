"""What one job became, stage by stage."""

from __future__ import annotations

from dataclasses import dataclass

from kerfproof.cutplan import CutPlan
from kerfproof.drawing.drawing import Drawing
from kerfproof.errors import Finding, Severity
from kerfproof.job import Job, Pin
from kerfproof.machine.chart import Process
from kerfproof.machine.profile import Machine
from kerfproof.motion.program import Program
from kerfproof.parts.contour import Contours
from kerfproof.parts.part import Feature, Parts
from kerfproof.placing import CopyAt
from kerfproof.verify.proof import Proof


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Outcome:
    """A job with everything made from it. A stage that could not be reached is None.

    `parts` are in plate coordinates (drawing coordinates + `shift`). `left_out` are features that the job asked
    not to cut (drill list). `findings` are those of all stages.
    """

    job: Job
    machine: Machine
    process: Process
    drawings: tuple[Drawing, ...]
    contours: tuple[Contours, ...]
    parts: Parts
    shift: tuple[float, float] = (0.0, 0.0)
    left_out: tuple[Feature, ...] = ()
    plan: CutPlan | None = None
    program: Program | None = None
    proof: Proof | None = None
    findings: tuple[Finding, ...] = ()
    copies: tuple[CopyAt, ...] = ()
    pinned: tuple[tuple[int, Pin], ...] = ()
    """Features whose start the person pinned, with the pin's place in plate coordinates."""

    @property
    def ok(self) -> bool:
        """Whether a program stands and no finding is an error."""
        return self.program is not None and all(f.severity is not Severity.ERROR for f in self.findings)
