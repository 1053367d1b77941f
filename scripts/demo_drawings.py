"""Make the demo drawings: the ironwork of a village mill's sluice. Same bytes each time.

``.venv/bin/python scripts/demo_drawings.py`` writes them into the resources; ``--check`` only tells whether what
lies there is what this script makes.
"""

from __future__ import annotations

import argparse
import io
import math
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import ezdxf
from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

FOLDER = Path(__file__).resolve().parent.parent / "resources" / "kerfproof_resources" / "drawings"
Corner = tuple[float, float, float]
"""x, y and the radius that rounds this corner."""


def document(unit: int) -> tuple[Drawing, Modelspace]:
    """Return an empty drawing with the layers CUT and NOTES."""
    doc = ezdxf.new("R2010", units=unit)
    doc.layers.add("CUT", color=7)
    doc.layers.add("NOTES", color=3)
    return doc, doc.modelspace()


def rounded(corners: Sequence[Corner]) -> list[tuple[float, float, float]]:
    """Return x, y, bulge of a closed polygon with rounded corners (radius 0: left sharp)."""
    points = []
    n = len(corners)
    for i, (x, y, radius) in enumerate(corners):
        before, after = corners[i - 1], corners[(i + 1) % n]
        if not radius:
            points.append((x, y, 0.0))
            continue
        u, v = unit((x, y), before), unit((x, y), after)
        turn = math.pi - math.acos(u[0] * v[0] + u[1] * v[1])
        back = radius * math.tan(turn / 2)
        left = (-u[0]) * v[1] - (-u[1]) * v[0] > 0
        bulge = math.tan(turn / 4) * (1 if left else -1)
        points.append((x + back * u[0], y + back * u[1], bulge))
        points.append((x + back * v[0], y + back * v[1], 0.0))
    return [(round(x, 9), round(y, 9), round(b, 12)) for x, y, b in points]


def unit(at: tuple[float, float], to: Corner) -> tuple[float, float]:
    """Return the direction from one point to another."""
    dx, dy = to[0] - at[0], to[1] - at[1]
    length = math.hypot(dx, dy)
    return dx / length, dy / length


def polygon(space: Modelspace, corners: Sequence[Corner]) -> None:
    """Draw a closed polyline with rounded corners on the layer CUT."""
    space.add_lwpolyline(rounded(corners), format="xyb", close=True, dxfattribs={"layer": "CUT"})


def slot(space: Modelspace, x: float, y: float, length: float, width: float) -> None:
    """Draw a level slot with round ends, from centre to centre of the ends `length` long."""
    r = width / 2
    points = [(x, y - r, 0.0), (x + length, y - r, 1.0), (x + length, y + r, 0.0), (x, y + r, 1.0)]
    space.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": "CUT"})


def circle(space: Modelspace, x: float, y: float, diameter: float) -> None:
    """Draw a circle on the layer CUT."""
    space.add_circle((x, y), diameter / 2, dxfattribs={"layer": "CUT"})


def gusset() -> Drawing:
    """Return a gusset for the corner of the gate frame: mm, four bolt holes, a lightening hole, a weld cope."""
    doc, space = document(units.MM)
    rim = rounded([(20, 0, 0), (200, 0, 6), (200, 40, 12), (50, 150, 12), (0, 150, 6), (0, 20, 0)])
    rim[-1] = (0.0, 20.0, -math.tan(math.pi / 8))  # the cope: a quarter circle round the inner corner
    space.add_lwpolyline(rim, format="xyb", close=True, dxfattribs={"layer": "CUT"})
    for x, y in ((65, 22), (165, 22), (22, 65), (22, 122)):
        circle(space, x, y, 14)
    circle(space, 82, 72, 44)
    space.add_text("GUSSET, SLUICE FRAME, 4 OFF", height=5, dxfattribs={"layer": "NOTES", "insert": (0, -15)})
    return doc


def pump_flange() -> Drawing:
    """Return a flange with a flat for the hand pump: inches, loose arcs and lines, six bolt holes."""
    doc, space = document(units.IN)
    flat, radius = -2.5, 3.0
    half = math.sqrt(radius**2 - flat**2)
    start = math.degrees(math.atan2(flat, half))
    space.add_arc((0, 0), radius, start, 180 - start, dxfattribs={"layer": "CUT"})
    space.add_line((half, flat), (-half, flat), dxfattribs={"layer": "CUT"})
    circle(space, 0, 0, 2.375)
    for k in range(6):
        angle = math.radians(30 + 60 * k)
        circle(space, round(2.125 * math.cos(angle), 9), round(2.125 * math.sin(angle), 9), 0.5625)
    space.add_circle((0, 0), 2.125, dxfattribs={"layer": "NOTES"})
    space.add_text("PUMP FLANGE 1/4", height=0.2, dxfattribs={"layer": "NOTES", "insert": (-1.2, -3.2)})
    return doc


def sluice_sheet() -> Drawing:
    """Return a sheet of parts: mm, two hinge straps from one block, a ring with a disc in it, a curved guard."""
    doc, space = document(units.MM)
    strap = doc.blocks.new("STRAP")
    polygon(strap, [(0, 0, 8), (120, 0, 20), (120, 40, 20), (0, 40, 8)])
    circle(strap, 96, 20, 16)
    slot(strap, 20, 20, 34, 11)
    space.add_blockref("STRAP", (0, 0), dxfattribs={"layer": "CUT"})
    space.add_blockref("STRAP", (120, 70), dxfattribs={"layer": "CUT", "xscale": -1})
    circle(space, 235, 75, 150)
    circle(space, 235, 75, 100)
    circle(space, 235, 75, 62)
    circle(space, 235, 75, 20)
    guard(space, 0.0, 170.0)
    space.add_text("SLUICE, SHEET 1", height=8, dxfattribs={"layer": "NOTES", "insert": (0, 325)})
    return doc


def guard(space: Modelspace, x: float, y: float) -> None:
    """Draw a chain guard with a wavy top, two slots and an oval window."""
    top = [(300, 70), (270, 120), (225, 138), (170, 105), (115, 82), (60, 118), (25, 125), (0, 80)]
    space.add_spline([(x + u, y + v) for u, v in top], dxfattribs={"layer": "CUT"})
    for a, b in (((0, 80), (0, 20)), ((20, 0), (280, 0)), ((300, 20), (300, 70))):
        space.add_line((x + a[0], y + a[1]), (x + b[0], y + b[1]), dxfattribs={"layer": "CUT"})
    space.add_arc((x + 20, y + 20), 20, 180, 270, dxfattribs={"layer": "CUT"})
    space.add_arc((x + 280, y + 20), 20, 270, 360, dxfattribs={"layer": "CUT"})
    slot(space, x + 30, y + 25, 50, 12)
    slot(space, x + 220, y + 25, 50, 12)
    space.add_ellipse((x + 150, y + 50), major_axis=(42, 0), ratio=0.55, dxfattribs={"layer": "CUT"})


DRAWINGS: dict[str, Callable[[], Drawing]] = {
    "gusset.dxf": gusset,
    "pump-flange.dxf": pump_flange,
    "sluice-sheet.dxf": sluice_sheet,
}


def drawing_bytes(make: Callable[[], Drawing]) -> bytes:
    """Return a drawing as the bytes of a file, without dates and random names."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        stream = io.StringIO()
        make().write(stream)
        return with_classes_in_order(stream.getvalue().replace("\r\n", "\n")).encode("utf-8")
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def with_classes_in_order(text: str) -> str:
    """Return a file with the records of its class section in alphabetical order; the library's order varies."""
    start = text.index("  2\nCLASSES\n") + len("  2\nCLASSES\n")
    end = text.index("  0\nENDSEC\n", start)
    mark = "  0\nCLASS\n"
    return text[:start] + mark.join(["", *sorted(text[start:end].split(mark)[1:])]) + text[end:]


def main(arguments: list[str]) -> int:
    """Write or check all drawings; return 1 if one is not what this script makes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true", help="write nothing, tell which drawings differ")
    check = parser.parse_args(list(arguments)).check
    FOLDER.mkdir(parents=True, exist_ok=True)
    wrong = 0
    for name, make in DRAWINGS.items():
        path, data = FOLDER / name, drawing_bytes(make)
        if check:
            if not path.is_file() or path.read_bytes() != data:
                print(f"{name}: differs", file=sys.stderr)
                wrong = 1
        else:
            path.write_bytes(data)
            print(name)
    return wrong


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
