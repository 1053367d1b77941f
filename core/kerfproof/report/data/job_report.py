"""The report: all that a job became, as plain data for a JSON file."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from kerfproof.box import Box
from kerfproof.errors import Finding
from kerfproof.outcome import Outcome
from kerfproof.parts.model.part import Feature, FeatureKind, Part
from kerfproof.proof.evidence.free_pieces import FreePiece
from kerfproof.proof.proof import PartProof, Proof, verdict_of
from kerfproof.report.data.figures import duty_share, figures
from kerfproof.report.data.loading import load_record
from kerfproof.shop.profile import Machine

FORMAT = 1
"""Version of the report's layout."""

Record = dict[str, Any]


def report(outcome: Outcome) -> Record:
    """Return the report on `outcome`: only dicts, lists, text, finite numbers, booleans and None.

    Lengths mm, feeds mm/min, times s, coordinates those of the program. What could not be reached is None or empty.
    """
    return {
        "format": FORMAT,
        "drawing": _drawing(outcome),
        "units": _units(outcome),
        "program": _program(outcome),
        "machine": _machine(outcome),
        "process": _process(outcome),
        "parts": [_part(outcome, part) for part in outcome.parts.parts],
        "drill": _drill(outcome),
        "cuts": _cuts(outcome),
        "findings": [finding_record(finding) for finding in outcome.findings],
        "proof": _proof(outcome),
        "load": load_record(outcome.proof, outcome.machine, outcome.process.amps) if outcome.proof else None,
        "skipped": _skipped(outcome),
    }


def verdict(outcome: Outcome) -> str:
    """Return ``PROVEN``, ``PROVEN WITH WARNINGS`` or ``NOT PROVEN``: the proof's word and all other findings'."""
    if outcome.proof is None or not outcome.proof.ok:
        return "NOT PROVEN"
    return verdict_of((*outcome.findings, *outcome.proof.findings))


def parts_bounds(outcome: Outcome) -> Box | None:
    """Return xmin, ymin, xmax, ymax of all kept metal, None without parts."""
    boxes = np.array([part.outline.contour.path.bounds() for part in outcome.parts.parts])
    if not len(boxes):
        return None
    x0, y0 = boxes[:, :2].min(axis=0)
    x1, y1 = boxes[:, 2:].max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def finding_record(finding: Finding) -> Record:
    """Return one finding as plain data."""
    return {
        "rule": finding.rule,
        "severity": str(finding.severity),
        "message": finding.message,
        "advice": finding.advice,
        "line": finding.line,
        "x": number(finding.x),
        "y": number(finding.y),
        "handle": finding.handle,
        "column": finding.column,
    }


def number(value: float | None) -> float | None:
    """Return `value` rounded to a nanometre, None for what JSON can't say."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), 6) + 0.0  # no minus zero


def _box(bounds: Box | None) -> list[float | None] | None:
    return None if bounds is None else [number(bounds[2] - bounds[0]), number(bounds[3] - bounds[1])]


def _drawing(outcome: Outcome) -> Record:
    drawings = outcome.drawings
    return {
        "name": drawings[0].name if drawings else "",
        "names": [drawing.name for drawing in drawings],
        "entities": sum(drawing.entity_count for drawing in drawings),
        "size_mm": _box(parts_bounds(outcome)),
        "layers": sorted({layer for drawing in drawings for layer in drawing.layers}),
        "mends": [
            {"what": m.what, "x": number(m.x), "y": number(m.y), "size_mm": number(m.size), "handles": list(m.handles)}
            for contours in outcome.contours
            for m in contours.mends
        ],
    }


def _units(outcome: Outcome) -> Record:
    units = outcome.drawings[0].units if outcome.drawings else None
    return {
        "source": units.source if units else "unknown",
        "mm_per_unit": number(units.mm_per_unit) if units else None,
        "name": units.name if units else "",
    }


def _program(outcome: Outcome) -> Record:
    plan, program = outcome.plan, outcome.program
    plate = plan.plate if plan else None
    return {
        "name": plan.name if plan else None,
        "mode": str(plan.mode) if plan else None,
        "units": "in" if outcome.machine.inches else "mm",
        "dialect": outcome.machine.dialect,
        "lines": program.text.count("\n") if program else None,
        "plate": [number(v) for v in plate] if plate else None,
        "plate_mm": _box(plate),
        "shift": [number(v) for v in outcome.shift],
        **_times(outcome),
    }


def _times(outcome: Outcome) -> Record:
    """Return lengths and times of the program as it was read back, None when there is none."""
    if outcome.proof is None:
        return dict.fromkeys(TIMES)
    return times(outcome.proof, outcome.machine, outcome.process.amps)


TIMES = (
    "pierces", "cut_length_mm", "below_half_feed_mm", "torch_on_s", "run_s", "idle_s_per_start", "arc_share",
    "duty_arc_share",
)  # fmt: skip


def times(proof: Proof, machine: Machine, amps: float | None) -> Record:
    """Return starts, lengths and times of a proven program; `below_half_feed_mm` of the cut is slower than half.

    `arc_share` is that of the run, `duty_arc_share` what the duty rating allows at this current.
    """
    f = figures(proof, machine)
    return {
        "pierces": f.pierces,
        "cut_length_mm": number(f.cut_length),
        "below_half_feed_mm": number(f.slow_length),
        "torch_on_s": number(f.torch_on_s),
        "run_s": number(f.run_s),
        "idle_s_per_start": number(f.idle_s),
        "arc_share": number(f.arc_share),
        "duty_arc_share": number(duty_share(machine, amps)),
    }


def piece_record(piece: FreePiece) -> Record:
    """Return a piece that comes free as plain data."""
    return {
        "number": piece.number,
        "line": piece.line,
        "size_mm": [number(piece.width), number(piece.height)],
        "at": [number(v) for v in piece.at],
        "area_mm2": number(piece.area),
        "rests": piece.rests,
        "holes": [
            {"size_mm": [number(o.width), number(o.height)], "at": [number(v) for v in o.at],
             "diameter_mm": number(o.diameter)}
            for o in piece.openings
        ],
    }  # fmt: skip


def _machine(outcome: Outcome) -> Record:
    machine = outcome.machine
    return {
        "name": machine.name,
        "title": machine.title,
        "start": str(machine.start),
        "touch_off": str(machine.touch_off),
        "travel_mm": [number(machine.travel_x), number(machine.travel_y), number(machine.travel_z)],
    }


def _process(outcome: Outcome) -> Record:
    process = outcome.process
    return {
        "chart": outcome.job.chart,
        "material": process.material,
        "thickness_mm": number(process.thickness),
        "amps": number(process.amps),
        "kerf_mm": number(process.kerf),
        "feed_mm_min": number(process.feed_mm_min),
        "cut_height_mm": number(process.cut_height),
        "pierce_height_mm": number(process.pierce_height),
        "pierce_delay_s": number(process.pierce_delay_s),
        "min_hole_mm": number(process.min_hole),
        "estimated": process.estimated,
        "source": process.source,
    }


def _part(outcome: Outcome, part: Part) -> Record:
    proof = part_proof(outcome, part)
    return {
        "number": part.number,
        "name": part.name,
        "size_mm": _box(part.outline.contour.path.bounds()),
        "holes": len(part.holes),
        "slits": len(part.slits),
        "marks": len(part.marks),
        "inside": part.inside,
        "comes_free": proof.comes_free if proof else None,
        "left_out": [_left_out(f) for f in outcome.left_out if f.part == part.number],
    }


def _drill(outcome: Outcome) -> list[Record]:
    """Return the drill table: every hole that is left to the drill."""
    names = {part.number: part.name for part in outcome.parts.parts}
    return [{"part": names.get(f.part, ""), **_left_out(f)} for f in outcome.drilled]


def _left_out(feature: Feature) -> Record:
    x0, y0, x1, y1 = feature.contour.path.bounds()
    return {
        "label": feature.label,
        "diameter_mm": number(feature.diameter),
        "center": [number((x0 + x1) / 2), number((y0 + y1) / 2)],
    }


def part_proof(outcome: Outcome, part: Part) -> PartProof | None:
    """Return what the proof says of `part`, None if nothing.

    The proof numbers the drawn closed contours in the order it was given them: that of the features, without
    those left out.
    """
    if outcome.proof is None:
        return None
    gone = {f.number for f in outcome.left_out}
    kinds = (FeatureKind.OUTLINE, FeatureKind.HOLE)
    closed = [f.number for f in outcome.parts.features if f.kind in kinds and f.number not in gone]
    for proof in outcome.proof.parts:
        if proof.contour < len(closed) and closed[proof.contour] == part.outline.number:
            return proof
    return None


def _cuts(outcome: Outcome) -> list[Record]:
    if outcome.plan is None:
        return []
    blocks = {block.cut: block for block in outcome.program.blocks} if outcome.program else {}
    handles = {f.number: f.contour.handles for f in outcome.parts.features}
    return [
        {
            "feature": cut.feature,
            "kind": cut.kind,
            "part": cut.part,
            "label": cut.label,
            "pierce": [number(cut.pierce[0]), number(cut.pierce[1])],
            "length_mm": number(cut.length()),
            "feed_mm_min": number(cut.feed_mm_min),
            "kerf_mm": number(cut.kerf),
            "lead": cut.lead_shape,
            "line": blocks[index].light if index in blocks else None,
            "handles": list(handles.get(cut.feature, ())),
        }
        for index, cut in enumerate(outcome.plan.cuts)
    ]


def _proof(outcome: Outcome) -> Record:
    proof = outcome.proof
    return {
        "ok": verdict(outcome) != "NOT PROVEN",
        "verdict": verdict(outcome),
        "worst_gouge_mm": number(proof.worst_gouge) if proof else None,
        "worst_leftover_mm": number(proof.worst_leftover) if proof else None,
        "edge_deviation_mm": number(proof.edge_deviation) if proof else None,
        "holds_for": f"for {proof.holds_for}" if proof else "",
        "parts": [_part_record(outcome, part) for part in outcome.parts.parts] if proof else [],
    }


def _part_record(outcome: Outcome, part: Part) -> Record:
    proof = part_proof(outcome, part)
    return {
        "part": part.name,
        "comes_free": proof.comes_free if proof else False,
        "worst_gouge_mm": number(proof.worst_gouge) if proof else None,
        "worst_leftover_mm": number(proof.worst_leftover) if proof else None,
        "holes": proof.holes if proof else len(part.holes),
        "holes_cut": proof.holes_cut if proof else None,
        "corner_radius_mm": number(proof.corner_radius) if proof else None,
    }


def _skipped(outcome: Outcome) -> list[Record]:
    return [
        {"drawing": drawing.name, "kind": s.kind, "layer": s.layer, "handle": s.handle, "reason": s.reason}
        for drawing in outcome.drawings
        for s in drawing.skipped
    ]
