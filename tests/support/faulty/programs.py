"""The right programs in which faults are planted: more than six cuts each, so that the proof plays a shortened text.

Some hold what the demo drawings do not: slits, a narrow notch, two copies, rests, outputs for torch and height control.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

from kerfproof.job.job import DrawingUse, Rests, RoleRule
from kerfproof.shop.profile import Machine
from support.faulty.subject import Subject
from support.shop.shop import built_in, cut, demo, dxf, starts

COMB = "comb.dxf"


def comb(space: Any) -> None:
    """Draw a plate with five slits side by side, four holes, and two notches in its upper edge.

    The notches are narrower than two kerfs, one is 18 mm deep, the other 3 mm.
    """
    upper = [(160, 0), (160, 110), (91.2, 110), (91.2, 92), (88.8, 92), (88.8, 110)]
    upper += [(41.2, 110), (41.2, 107), (38.8, 107), (38.8, 110), (0, 110)]
    space.add_lwpolyline([(0, 0), *upper], close=True)
    for k in range(5):
        space.add_line((25 + 20 * k, 30), (25 + 20 * k, 62), dxfattribs={"layer": "SLITS"})
    for x, y in ((20, 90), (55, 90), (130, 90), (140, 18)):
        space.add_circle((x, y), 7)


def tag(space: Any) -> None:
    """Draw a small plate with three holes."""
    space.add_lwpolyline([(0, 0), (90, 0), (90, 50), (0, 50)], close=True)
    for x in (20, 45, 70):
        space.add_circle((x, 25), 7)


OUTPUTS = {
    "torch on an output at once": {"torch_on": "M64 P0", "torch_off": "M65 P0"},
    "height control on an output at once": {"height_control_on": "M64 P1", "height_control_off": "M65 P1"},
    "height control on an output with motion": {"height_control_on": "M62 P2", "height_control_off": "M63 P2"},
    "both on outputs": {
        "torch_on": "M64 P0", "torch_off": "M65 P0", "height_control_on": "M62 P1", "height_control_off": "M63 P1",
    },
}  # fmt: skip
"""Machines whose torch or height control hangs on outputs with a number; see also `sensing`."""


def _machine(**changes: Any) -> Machine:
    """Return the built-in machine, going up to one height between all cuts: blocks are moved about here."""
    return replace(built_in(), hop=False, **changes)


def sensing() -> Machine:
    """Return a machine whose sense circuit hangs on an output."""
    return replace(starts()["pilot ohmic"], sense_on="M64 P3", sense_off="M65 P3", hop=False)


def combed(machine: Machine) -> Subject:
    """Return the comb cut on a machine."""
    return Subject(cut(dxf(comb), machine, COMB, roles=(RoleRule(role="slit", layer="SLITS"),)))


def _plain(name: str, dialect: str, inches: bool) -> Subject:
    return Subject(cut(demo(name), _machine(dialect=dialect, inches=inches, path_tolerance=None)))


def _blended(**changes: Any) -> Machine:
    return _machine(dialect="ngc_blend", path_tolerance=0.05, **changes)


def _copies() -> Subject:
    use = DrawingUse(name="tag.dxf")
    return Subject(cut(dxf(tag), _machine(), "tag.dxf", drawings=(use, use)))


def _rested() -> Subject:
    machine = _machine(duty_percent=4.0, duty_ambient_c=40.0)
    return Subject(cut(demo("pump-flange"), machine, rests=Rests.DWELL))


PROGRAMS: dict[str, Callable[[], Subject]] = {
    "sheet, mm, published language": lambda: _plain("sluice-sheet", "ngc", False),
    "flange, inches, plain skip move": lambda: _plain("pump-flange", "skip", True),
    "comb, mm, path tolerance": lambda: combed(_blended()),
    "comb, inches, torch and height control on outputs": lambda: combed(
        _blended(inches=True, **OUTPUTS["both on outputs"])
    ),
    "flange, mm, small controller, torch on an output": lambda: Subject(
        cut(
            demo("pump-flange"),
            _machine(dialect="compact", path_tolerance=None, **OUTPUTS["torch on an output at once"]),
        )
    ),
    "flange, inches, macro tests, sense circuit on an output": lambda: Subject(
        cut(demo("pump-flange"), replace(sensing(), dialect="skip_macro", inches=True))
    ),
    "flange, inches, datum in the work offset": lambda: _plain("pump-flange", "compact_offset", True),
    "sheet, mm, touch-offs once or left out": lambda: Subject(
        cut(
            demo("sluice-sheet"),
            _blended(float_feed_mm_min=1000.0, touch_slow_mm_min=1000.0, float_spread=0.08, leave_touch_off_out=True),
        )
    ),
    "two copies": _copies,
    "flange with rests": _rested,
}


@cache
def program(name: str) -> Subject:
    """Return a right program, planned and proven once."""
    return PROGRAMS[name]()
