"""The heading of a program: what its proof needs to be repeated from text and drawing.

`kerfproof.programs.read_header` reads it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence

from kerfproof.drawing.drawing import Drawing
from kerfproof.geom.path import Path
from kerfproof.job.job import Rests, RoleRule
from kerfproof.job.placing import Placed
from kerfproof.job.resolved_job import ResolvedJob
from kerfproof.parts.bridges import bridge_width
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.parts.model.part import Feature

CHOSEN = " chosen"
"""Ends a value that the person said instead of the chart (`kerfproof.programs.read_header` reads it)."""


def heading_of(
    resolved: ResolvedJob,
    drawings: Sequence[Drawing],
    placed: Placed,
    left: Sequence[Feature],
    sources: Mapping[str, bytes],
) -> tuple[tuple[str, str], ...]:
    """Return what the head of the program must hold so that the proof can be repeated from text and drawing."""
    job, machine, process, settings = resolved.job, resolved.machine, resolved.process, resolved.reading
    pairs = [
        ("machine", f"{machine.name} {digest(repr(machine).encode())}"),
        ("material", f"{process.material} {process.thickness:g} mm {process.amps:g} A"),
        ("kerf", f"{process.kerf:.3f} mm" + CHOSEN * (job.kerf is not None)),
        ("feed", f"{process.feed_mm_min:.0f} mm/min" + CHOSEN * (job.feed_mm_min is not None)),
        ("plate", " ".join(f"{v:.3f}" for v in placed.plate) + " mm"),
        ("mode", job.mode.value),
    ]
    for copy, use in enumerate(placed.uses):
        drawing, chosen = drawings[use], job.drawings[use]
        shift = " ".join(f"{v:.4f}" for v in placed.shifts[copy])
        pairs.append(("drawing", f"{chosen.name} {digest(sources[chosen.name])}"))
        pairs.append(("units", f"{drawing.units.mm_per_unit:g} mm {drawing.units.source}"))
        pairs.append(("shift", f"{shift} mm turn {chosen.turn_deg:g} deg{' mirrored' if chosen.mirror else ''}"))
    pairs += [("role", f"{rule.role} {rule_words(rule)}") for rule in job.roles]
    for spot in job.contour_roles:
        pairs.append(("contour-role", f"{spot.role} at {spot.x:.4f} {spot.y:.4f} mm of {spot.drawing}"))
    if job.drill_marks is not DrillKind.NONE:
        pairs.append(("drill-marks", f"{job.drill_marks.value} {job.drill_below:g} mm"))
    if job.bridges:
        pairs.append(("bridges", f"{bridge_width(process.thickness):g} mm"))
    if job.page is not PageFrames.AUTO:
        pairs.append(("page", job.page.value))
    pairs += [("layer", layer) for layer in settings.layers]
    if settings.window is not None:
        pairs.append(("window", " ".join(f"{v:.4f}" for v in settings.window) + " mm"))
    if job.pierce_delay_s is not None:
        pairs.append(("pierce-delay", f"{job.pierce_delay_s:g} s"))
    pairs += [("rule", f"{c.rule} {c.severity or 'off'} {c.reason}") for c in job.rules]
    pairs += [] if job.rests is Rests.TELL else [("rests", job.rests.value)]
    pairs.append(("join", f"{job.join_tolerance:g} mm"))
    for feature in left:
        x0, y0, x1, y1 = feature.contour.path.bounds()
        pairs.append(("left-out", f"{feature.label} at {(x0 + x1) / 2:.3f} {(y0 + y1) / 2:.3f} mm"))
    return tuple(pairs)


def rule_words(rule: RoleRule) -> str:
    """Return what a rule picks, as it stands in the heading of programs (`kerfproof.programs.read_header` reads it)."""
    marks = [f"color:{rule.color}"] if rule.color else []
    marks += [f"linetype:{rule.linetype}"] if rule.linetype else []
    marks += [f"kind:{rule.kind}"] if rule.kind else []
    return " ".join([*marks, f"layer:{rule.layer}" if marks and rule.layer else rule.layer]).strip()


def tab_words(tab: Path) -> str:
    """Return a tab as it stands in the heading of programs: x, y and bulge of each vertex, mm."""
    return " ".join(f"{value:.6f}" for value in tab.vertices.ravel().tolist())


def digest(data: bytes) -> str:
    """Return the first 16 hexadecimal digits of the SHA-256 of `data`."""
    return hashlib.sha256(data).hexdigest()[:16]
