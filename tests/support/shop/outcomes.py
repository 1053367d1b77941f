"""Small outcomes built by hand, for tests of what shows them."""

from __future__ import annotations

import math

import numpy as np

from kerfproof.cut_plan import Cut, CutPlan
from kerfproof.drawing.drawing import Drawing, Entity, Skipped, Units
from kerfproof.errors import Finding, Severity
from kerfproof.gcode.trace import Step, Trace
from kerfproof.gcode.writer.program import Block, Program
from kerfproof.geom.path import Path
from kerfproof.job.job import DrawingUse, Job
from kerfproof.outcome import Outcome
from kerfproof.parts.model.contour import Contour, Contours
from kerfproof.parts.model.part import Feature, FeatureKind, Part, Parts
from kerfproof.proof.evidence.runs import TorchRun
from kerfproof.proof.proof import PartProof, Proof
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine, StartKind, TouchOff

WARNING = Finding(
    "pierce-near-edge", Severity.WARNING, "Pierce 2 lies near an edge", "move it", line=31, x=62.0, y=60.0
)
ERROR = Finding(
    "gouge", Severity.ERROR, "The kerf cuts 0.4 mm into the part", "mind the lead", line=44, x=150.0, y=50.0
)


def machine(**changes: object) -> Machine:
    """Return a small contact-start table with a floating head."""
    values: dict[str, object] = {
        "name": "bench",
        "title": "Bench table",
        "travel_x": 600.0,
        "travel_y": 400.0,
        "travel_z": 80.0,
        "rapid_mm_min": 6000.0,
        "z_rapid_mm_min": 2000.0,
        "acceleration_mm_s2": 500.0,
        "z_acceleration_mm_s2": 300.0,
        "dialect": "ngc",
        "inches": False,
        "z_homed": True,
        "start": StartKind.CONTACT,
        "touch_off": TouchOff.FLOAT,
    }
    return Machine(**{**values, **changes})  # type: ignore[arg-type]


def process() -> Process:
    """Return a row for 3 mm mild steel."""
    return Process(
        material="mild steel",
        thickness=3.0,
        amps=45.0,
        feed_mm_min=2400.0,
        kerf=1.5,
        cut_height=1.5,
        min_hole=5.0,
        lead_radius=3.0,
        lead_straight=4.0,
    )


def parts() -> Parts:
    """Return a plate of 140 x 90 mm with a round hole of 30 mm and one of 10 mm."""
    outline = Feature(
        0, FeatureKind.OUTLINE, Contour(Path.rectangle(10, 10, 150, 100), ("1A",), "CUT"), 0, None, 0, None, "outline"
    )
    holes = tuple(
        Feature(n, FeatureKind.HOLE, Contour(Path.circle(at, d / 2), (f"2{n}",), "CUT"), 1, 0, 0, d, f"hole {n} D{d:g}")
        for n, at, d in ((1, (60.0, 55.0), 30.0), (2, (120.0, 70.0), 10.0))
    )
    return Parts((Part(0, "plate", outline, holes),))


def cuts() -> tuple[Cut, ...]:
    """Return the cuts of `parts`, the hole of 30 mm and then the outline, kept metal right of travel."""
    hole = Path.circle((60.0, 55.0), 14.25).opened()
    lead = Path([(60.0, 55.0, 1.0), (74.25, 55.0, 0.0)], False)
    t = math.tan(math.pi / 8)
    x0, y0, x1, y1, r = 10.0, 10.0, 150.0, 100.0, 0.75
    ring = [(x0, y0 - r, 0), (x1, y0 - r, t), (x1 + r, y0, 0), (x1 + r, y1, t)]
    ring += [(x1, y1 + r, 0), (x0, y1 + r, t), (x0 - r, y1, 0), (x0 - r, y0, t)]
    rim = Path(ring, True).reversed().opened()  # clockwise from (x0, y0 - r)
    common = {"part": "plate", "feed_mm_min": 2400.0, "kerf": 1.5}
    return (
        Cut(feature=1, kind="hole", label="hole 1 D30", pierce=(60, 55), lead_in=lead, contour=hole, **common),  # type: ignore[arg-type]
        Cut(
            feature=0,
            kind="outline",
            label="outline",
            pierce=(15.0, 4.0),
            lead_in=Path([(15.0, 4.0, 0.4), (10.0, 9.25, 0.0)], False),
            contour=rim,
            lead_out=Path.polyline([(10.0, 9.25), (7.0, 6.5)]),
            **common,  # type: ignore[arg-type]
        ),
    )


def trace() -> Trace:
    """Return a trace of one travel, one torch-on line and the end."""
    kind = np.array([Step.RAPID, Step.TORCH_ON, Step.FEED, Step.TORCH_OFF, Step.END], dtype=np.int64)
    n = len(kind)
    points = np.array([[0, 0, 20], [15, 4, 1.5], [15, 4, 1.5], [55, 4, 1.5], [55, 4, 1.5], [55, 4, 1.5]], dtype=float)
    return Trace(
        kind=kind,
        line=np.arange(1, n + 1),
        start=points[:-1],
        end=points[1:],
        center=np.zeros((n, 2)),
        sweep=np.zeros(n),
        feed=np.array([0.0, 0.0, 2400.0, 0.0, 0.0]),
        torch=np.array([False, False, True, True, False]),
        seconds=np.array([1.0, 0.0, 1.0, 0.0, 0.0]),
        frame_z=np.zeros((n, 2)),
        datum=np.zeros(n, dtype=np.int64),
        radius_gap=np.zeros(n),
        value=np.zeros(n),
        text=("G0", "M3", "G1", "M5", "M2"),
    )


def outcome(*findings: Finding, planned: bool = True) -> Outcome:
    """Return the outcome of `parts` with `cuts`; hole 2 is left out to be drilled."""
    made = parts()
    left = (made.parts[0].holes[1],)
    drawing = Drawing(
        "plate.dxf",
        (Entity("LWPOLYLINE", Path.rectangle(0, 0, 140, 90), "CUT", handle="1A"),),
        Units(1.0, "mm", "header"),
        skipped=(Skipped("TEXT", "NOTES", "3C", "text is not cut"),),
        entity_count=4,
        layers=("NOTES", "CUT"),
    )
    base = Outcome(
        job=Job(
            drawings=(DrawingUse(name="plate.dxf"),), machine="bench", chart="air", material="mild steel", thickness=3
        ),
        machine=machine(),
        process=process(),
        drawings=(drawing,),
        contours=(Contours((), (), (), (), ()),),
        parts=made,
        shift=(10.0, 10.0),
        left_out=left,
        drilled=left,
        findings=findings,
    )
    if not planned:
        return base
    plan = CutPlan(
        name="plate", cuts=cuts(), plate=(0.0, 0.0, 160.0, 110.0), machine=base.machine, process=base.process
    )
    proof = Proof(
        findings=tuple(f for f in findings if f.line is not None),
        parts=(PartProof(0, True, 0.0, 0.0002, 1, 1, 0.0),),
        runs=(TorchRun(0, 2, 4, (15.0, 4.0), (55.0, 4.0), 40.0, 1, 3),),
        trace=trace(),
        edges=None,
        worst_gouge=0.0001,
        worst_leftover=0.0002,
        edge_deviation=0.0002,
        holds_for="kerf 1.4 to 1.9 mm, plate within 4 mm; not covered: an arc that fails to light, lost steps",
    )
    program = Program("G0 X15 Y4\nM3\nG1 X55\nM5\nM2\n", (Block(0, 1, 2, 4), Block(1, 5, 6, 8)))
    values = {name: getattr(base, name) for name in Outcome.__slots__}
    return Outcome(**{**values, "plan": plan, "proof": proof, "program": program})
