"""The built-in shop for tests of the whole way: machines in every dialect, unit and start kind, demo drawings."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache

import ezdxf

from kerfproof import api
from kerfproof.job.job import DrawingUse, Job
from kerfproof.outcome import Outcome
from kerfproof.shop.chart_file import parse_chart
from kerfproof.shop.machine_file import parse_machine
from kerfproof.shop.profile import Machine, TouchOff
from kerfproof_resources import chart_text, drawing_bytes, machine_text

DIALECTS = ("compact", "compact_offset", "ngc", "ngc_blend", "skip", "skip_macro")
DEMOS = ("gusset", "pump-flange", "sluice-sheet")
BENCH = api.Bench()
"""Tests that follow each other with one drawing read and join it once; what comes out is the same."""


@cache
def built_in(name: str = "contact-float-mm") -> Machine:
    """Return a built-in machine."""
    return parse_machine(machine_text(name), name)


def starts() -> dict[str, Machine]:
    """Return a machine for each start kind and touch-off, millimetre programs, published language."""
    contact, pilot = (
        replace(built_in(name), dialect="ngc", path_tolerance=None) for name in ("contact-float-mm", "pilot-ohmic-mm")
    )
    float_head = {
        "touch_off": TouchOff.FLOAT, "float_travel": contact.float_travel, "float_stroke": contact.float_stroke,
        "float_feed_mm_min": contact.float_feed_mm_min, "touch_fast_mm_min": contact.touch_fast_mm_min,
        "touch_slow_mm_min": contact.touch_slow_mm_min, "travel_z": contact.travel_z, "sense_on": "", "sense_off": "",
    }  # fmt: skip
    fixed = {"touch_fast_mm_min": 300.0, "touch_slow_mm_min": 120.0, "preload": 0.0}
    return {
        "contact float": contact,
        "contact ohmic": replace(contact, touch_off=TouchOff.OHMIC, sense_on="M8", sense_off="M9", **fixed),
        "contact none": replace(contact, touch_off=TouchOff.NONE, **fixed),
        "pilot float": replace(pilot, **float_head),
        "pilot ohmic": pilot,
    }


@cache
def chart() -> api.CutChart:
    """Return the built-in chart."""
    return parse_chart(chart_text("air-50a"), "air-50a")


def dxf(draw: object, units: int = 4) -> bytes:
    """Return the DXF bytes of what `draw` puts into the model space it is given."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = units
    draw(doc.modelspace())  # type: ignore[operator]
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode()


def cut(data: bytes, machine: Machine | None = None, name: str = "part.dxf", **changes: object) -> Outcome:
    """Return what a job on one drawing becomes: mild steel 3 mm unless told otherwise."""
    values: dict[str, object] = {
        "drawings": (DrawingUse(name=name),), "machine": "m", "chart": "air-50a", "material": "mild steel",
        "thickness": 3.0,
    }  # fmt: skip
    job = Job(**(values | changes))  # type: ignore[arg-type]
    return BENCH.plan(job, {use.name: data for use in job.drawings}, api.Shop(machine or built_in(), chart()))


def demo(name: str) -> bytes:
    """Return a demo drawing."""
    return drawing_bytes(name)
