"""A small shop for tests of the writer: machines, a process and plans, all plain values."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from kerfproof.cut_plan import Cut, CutPlan
from kerfproof.geom.path import Path
from kerfproof.job.job import Mode
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine, StartKind, TouchOff

PLATE_6MM = Process(
    material="mild steel",
    thickness=6.0,
    amps=50.0,
    feed_mm_min=1100.0,
    kerf=1.7,
    cut_height=1.5,
    pierce_height=3.0,
    pierce_delay_s=0.7,
    min_hole=9.0,
    lead_radius=5.0,
    lead_straight=6.0,
)
SHEET_2MM = replace(PLATE_6MM, thickness=2.0, pierce_height=0.0, pierce_delay_s=0.4, feed_mm_min=2200.0, kerf=1.4)

QUARTER = math.tan(math.pi / 8)


def machine(start: StartKind = StartKind.CONTACT, touch_off: TouchOff = TouchOff.FLOAT, **changes: Any) -> Machine:
    """Return an unhomed mm machine with a float of 19.05, S = 25, W = 4 and at most 60 parked."""
    values: dict[str, Any] = {
        "name": "bench",
        "travel_x": 1200.0,
        "travel_y": 1200.0,
        "travel_z": 120.0,
        "rapid_mm_min": 6000.0,
        "z_rapid_mm_min": 2000.0,
        "acceleration_mm_s2": 500.0,
        "z_acceleration_mm_s2": 300.0,
        "dialect": "ngc",
        "inches": False,
        "z_homed": False,
        "start": start,
        "touch_off": touch_off,
    }
    if touch_off is TouchOff.OHMIC:
        values |= {"sense_on": "M64 P3", "sense_off": "M65 P3"}
    return Machine(**(values | changes))


def slit(*, feature: int = 0, **changes: Any) -> Cut:
    """Return a straight cut from (10, 10) to (20, 10)."""
    values: dict[str, Any] = {
        "feature": feature,
        "kind": "slit",
        "part": "bracket",
        "label": "slit 10",
        "pierce": (10.0, 10.0),
        "contour": Path.polyline([(10, 10), (20, 10)]),
        "feed_mm_min": 1100.0,
        "kerf": 1.7,
    }
    return Cut(**(values | changes))


def bow(*, feature: int = 1, **changes: Any) -> Cut:
    """Return a quarter turn to the left from (30, 20) to (20, 30) about (20, 20)."""
    values: dict[str, Any] = {
        "label": "bow",
        "pierce": (30.0, 20.0),
        "contour": Path([(30, 20, QUARTER), (20, 30, 0)], False),
    }
    return slit(feature=feature, **(values | changes))


def plan(shop: Machine, process: Process = PLATE_6MM, *cuts: Cut, mode: Mode = Mode.CUT) -> CutPlan:
    """Return the plan of `cuts`, by default the slit and the bow."""
    return CutPlan(
        name="bracket.dxf",
        cuts=cuts or (slit(), bow()),
        plate=(0.0, 0.0, 100.0, 100.0),
        machine=shop,
        process=process,
        mode=mode,
        heading=(("kerf", "1.7"),),
    )


def words_of(text: str) -> list[str]:
    """Return the program's lines without comments other than messages."""
    return [line for line in text.splitlines() if not line.startswith("(") or line.startswith("(MSG")]
