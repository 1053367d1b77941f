"""The known plate: 100 x 60 mm with a D20 hole, cut with kerf 1.5, as a hand-made plan and as contours.

The paths are worked out by hand: the outline's is the rectangle grown by 0.75 with corners rolled round, of length
2 (100 + 60) + 2 pi 0.75 = 324.712; the hole's a circle of radius 9.25, of length 58.119.
"""

from __future__ import annotations

import math
from dataclasses import replace

from kerfproof.cut_plan import Cut, CutPlan
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.job.job import Mode
from kerfproof.parts.model.contour import Contour
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine, StartKind, TouchOff

PLATE = (0.0, 0.0, 140.0, 100.0)
X, Y = 20.0, 20.0
"""Where the part's lower left corner lies on the plate."""

MACHINE = Machine(
    name="contact-float",
    travel_x=600.0,
    travel_y=600.0,
    travel_z=120.0,
    rapid_mm_min=6000.0,
    z_rapid_mm_min=3000.0,
    acceleration_mm_s2=500.0,
    z_acceleration_mm_s2=300.0,
    dialect="ngc_blend",
    inches=False,
    z_homed=False,
    start=StartKind.CONTACT,
    touch_off=TouchOff.FLOAT,
)
MACHINES = {
    "contact-float": MACHINE,
    "contact-float-homed": replace(MACHINE, z_homed=True),
    "contact-ohmic": replace(
        MACHINE, touch_off=TouchOff.OHMIC, sense_on="M64 P1", sense_off="M65 P1", touch_fast_mm_min=300.0
    ),
    "contact-none": replace(MACHINE, touch_off=TouchOff.NONE),
    "pilot-float": replace(MACHINE, start=StartKind.PILOT),
    "pilot-none": replace(MACHINE, start=StartKind.PILOT, touch_off=TouchOff.NONE),
}
PROCESS = Process(
    material="mild steel",
    thickness=3.0,
    amps=40.0,
    feed_mm_min=2200.0,
    kerf=1.5,
    cut_height=1.5,
    pierce_height=3.0,
    pierce_delay_s=0.3,
    min_hole=6.0,
    lead_radius=3.5,
    lead_straight=4.5,
)


def rolled(w: float, h: float, r: float, x: float = X, y: float = Y) -> Path:
    """Return the path round a rectangle of w x h at distance r, clockwise, from the middle of the left side."""
    b = -math.tan(math.pi / 8)  # a quarter turn to the right
    return Path(
        [
            (x - r, y + h / 2, 0.0),
            (x - r, y + h, b),
            (x, y + h + r, 0.0),
            (x + w, y + h + r, b),
            (x + w + r, y + h, 0.0),
            (x + w + r, y, b),
            (x + w, y - r, 0.0),
            (x, y - r, b),
            (x - r, y, 0.0),
        ],
        True,
    )


def cut(path: Path, lead: Path, kind: str, feature: int, over: float, out: float, kerf: float = 1.5) -> Cut:
    """Return one cut round a closed path with its lead, over-burn and a straight lead-out to the left."""
    s = path.segments()
    over_burn = path.part(0.0, over)
    end = over_burn.end
    tangent = s.tangents(s.index[:1], s.index[:1] * 0.0 + 1.0)[0]
    lead_out = None
    if out:
        away = (end[0] - tangent[1] * 0.2 * out + tangent[0] * out, end[1] + tangent[0] * 0.2 * out + tangent[1] * out)
        lead_out = Path.polyline([end, away])
    return Cut(
        feature=feature,
        kind=kind,
        part="plate",
        label=f"{kind} {feature}",
        pierce=(float(lead.start[0]), float(lead.start[1])),
        contour=path.opened(),
        lead_in=lead,
        over_burn=over_burn,
        lead_out=lead_out,
        feed_mm_min=2200.0 if kind == "outline" else 1320.0,
        kerf=kerf,
    )


def cuts(r: float = 0.75) -> tuple[Cut, ...]:
    """Return hole, then outline; leads are a quarter arc outside and a straight one inside."""
    hole = Path.circle((X + 50, Y + 30), 10.0 - r)
    lead = Path.polyline([(X + 50, Y + 30), (X + 60 - r, Y + 30)])
    outline = rolled(100.0, 60.0, r)
    bulge = -math.tan(math.pi / 8)
    outer = Path([(X - r - 4, Y + 26, bulge), (X - r, Y + 30, 0.0)], False)
    return (cut(hole, lead, "hole", 0, 1.0, 0.0), cut(outline, outer, "outline", 1, 1.0, 2.0))


def plan(machine: Machine = MACHINE, items: tuple[Cut, ...] | None = None, mode: Mode = Mode.CUT) -> CutPlan:
    """Return the plan of the known plate."""
    return CutPlan(
        name="known", cuts=cuts() if items is None else items, plate=PLATE, machine=machine, process=PROCESS, mode=mode
    )


def program(control: Dialect, machine: Machine = MACHINE, items: tuple[Cut, ...] | None = None) -> str:
    """Return the program of the known plate."""
    return write(plan(machine, items), control).text


def drawn() -> tuple[Contour, ...]:
    """Return the drawn contours on the plate."""
    return (
        Contour(Path.rectangle(X, Y, X + 100, Y + 60), ("1",), "0"),
        Contour(Path.circle((X + 50, Y + 30), 10.0), ("2",), "0"),
    )
