"""What one job became, stage by stage."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from kerfproof.cut_plan import CutPlan
from kerfproof.drawing.drawing import Drawing
from kerfproof.errors import Finding, Severity
from kerfproof.gcode.writer.program import Program
from kerfproof.job.job import Job, Pin
from kerfproof.job.placing import CopyAt
from kerfproof.parts.model.contour import Contours
from kerfproof.parts.model.part import Feature, Parts
from kerfproof.proof.proof import Proof
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Outcome:
    """A job with everything made from it. A stage that could not be reached is None.

    `parts` are in plate coordinates (drawing coordinates + `shift`). `left_out` are features that are
    not cut by the job's choice. `findings` are those of all stages.
    """

    job: Job
    machine: Machine
    process: Process
    drawings: tuple[Drawing, ...]
    contours: tuple[Contours, ...]
    parts: Parts
    shift: tuple[float, float] = (0.0, 0.0)
    left_out: tuple[Feature, ...] = ()
    drilled: tuple[Feature, ...] = ()
    """Those of `left_out` that are holes for the drill."""
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

    def place_of(self, finding: Finding) -> tuple[float, float] | None:
        """Return where a finding lies on the plate; one of a drawing lies on its first copy."""
        return next(iter(self.places_of(finding)), None)

    def places_of(self, finding: Finding) -> tuple[tuple[float, float], ...]:
        """Return where a finding lies on the plate; one of a drawing lies on each of its copies."""
        if finding.x is None or finding.y is None:
            return ()
        if not finding.drawing:
            return ((finding.x, finding.y),)
        shifts = [c.shift for c in self.copies if self.job.drawings[c.use].name == finding.drawing]
        return tuple((finding.x + dx, finding.y + dy) for dx, dy in shifts or [self.shift])


def told_once(
    found: Sequence[Finding], planned: Sequence[Finding], features: Sequence[Feature], cut: Collection[int]
) -> tuple[Finding, ...]:
    """Return what the proof found without the contours for which an error of the plan says that they are not cut.

    The proof, which knows nothing of plans, misses those once more.
    `features` are all of the plate, `cut` the numbers of those that the plan cuts.
    """
    errors = {f.handle for f in planned if f.severity is Severity.ERROR}
    refused = [f for f in features if f.number not in cut and "/".join(f.contour.handles[:1]) in errors]
    starts = {(float(x), float(y)) for x, y in (f.contour.path.start for f in refused)}
    return tuple(f for f in found if f.rule != "feature-not-cut" or (f.x, f.y) not in starts)
