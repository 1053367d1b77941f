"""What is told of a drawing: one screen of lines, plain data, a picture with the faults circled."""

from __future__ import annotations

import json
import re
from xml.etree import ElementTree

import pytest

from kerfproof import api
from kerfproof.report.inspection import hole_sizes, inspection_lines, inspection_picture, inspection_record
from kerfproof.report.picture.svg import draw
from support.shop.shop import dxf


def untidy(space) -> None:
    """Draw a plate with three sizes of holes, a gap, a double, an open line, a crossing contour, text and a point."""
    space.add_lwpolyline([(0, 0), (200, 0), (200, 100), (0, 100)], close=True)
    for x in (20, 40, 60):
        space.add_circle((x, 20), 3.25)
    space.add_circle((20, 20), 3.25)
    space.add_circle((100, 50), 10)
    space.add_lwpolyline([(140, 40), (160, 40), (160, 50), (140, 50)], close=True)
    space.add_line((20, 60), (50, 60))
    space.add_line((50.03, 60), (20, 80))
    space.add_line((20, 80), (20, 60))
    space.add_line((20, 90), (90, 90))
    space.add_lwpolyline([(300, 0), (350, 50), (350, 0), (300, 50)], close=True)
    space.add_point((120, 80))
    space.add_text("PART 7")


def looked(draw_it=untidy, units: int = 4):
    return api.inspect(dxf(draw_it, units), "untidy.dxf")


def test_one_screen_tells_size_parts_holes_material_mends_and_what_to_decide():
    rows = inspection_lines(looked())
    text = "\n".join(f"{key:<9} {value}" for key, value in rows)
    assert "350 x 100 mm (13.78 x 3.937 in)" in text
    assert "1 with 6 holes" in text
    assert "1 x 200 x 100 mm (7.87 x 3.94 in): holes 3 x D6.5, 1 x 20.0 x 10.0, 1 x 30.0 x 20.0, 1 x D20" in text
    assert "1 x loop closed (0.030 mm at 50.0" in text and "1 x duplicate removed" in text
    assert "1 x TEXT (text is not cut)" in text and "1 point, listed only" in text
    assert re.search(r"to decide +1 error .* 1 warning", text)
    assert len(rows) <= 20


def test_layers_are_told_with_what_is_done_with_them_and_marks_by_layer():
    def layered(space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        space.add_line((10, 10), (40, 10), dxfattribs={"layer": "ENGRAVE"})
        space.add_line((10, 50), (40, 50), dxfattribs={"layer": "BEND"})

    told = looked(layered)
    rows = dict(inspection_lines(told))
    assert rows["layers"] == "0 (1), BEND (1, ignored), ENGRAVE (1, mark)"
    assert rows["marks"] == "1, shown, not cut: 1 on ENGRAVE"
    data = inspection_record(told)
    assert data["roles"] == {"0": ["cut"], "BEND": ["ignore"], "ENGRAVE": ["mark"]}
    assert data["marks"] == {"ENGRAVE": 1}
    assert "marks" not in dict(inspection_lines(looked()))


def test_the_material_is_the_box_of_the_parts_and_the_metal_that_stays():
    def plate(space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 50), (0, 50)], close=True)
        space.add_lwpolyline([(10, 10), (30, 10), (30, 30), (10, 30)], close=True)

    (material,) = [value for key, value in inspection_lines(looked(plate)) if key == "material"]
    assert material.startswith("100 x 50 mm")
    assert "metal kept 46.0 cm2" in material and "0.0361 kg" in material and "0.38 m of edge" in material


def test_without_a_unit_no_material_is_worked_out_and_the_size_is_told_in_each():
    rows = dict(inspection_lines(looked(units=0)))
    assert "material" not in rows
    assert "if in: 8890 x 2540 mm" in rows["size"]


def test_a_hundred_kinds_of_parts_still_fit_on_the_screen():
    def many(space) -> None:
        for k in range(100):
            space.add_circle((50 * k, 0), 10 + 0.1 * k)

    rows = inspection_lines(looked(many))
    assert len(rows) < 20 and any("kinds more" in value for _, value in rows)


def test_the_record_lists_everything_as_plain_data():
    data = json.loads(json.dumps(inspection_record(looked()), allow_nan=False))
    assert data["size_mm"] == [350, 100]
    assert data["parts"][0]["hole_sizes"] == {"D6.5": 3, "20.0 x 10.0": 1, "30.0 x 20.0": 1, "D20": 1}
    assert [m["what"] for m in data["mends"]] == ["duplicate removed", "loop closed"]
    assert data["mends"][1]["size_mm"] == pytest.approx(0.03) and data["mends"][1]["handles"]
    assert [c["length_mm"] for c in data["open"]] == [70]
    assert len(data["refused"]) == 1 and data["points"] == [[120, 80]]
    assert {(f["what"], f["x"], f["y"]) for f in data["faults"]} == {
        ("open end", 20, 90), ("open end", 90, 90), ("crossing", 325, 25),
    }  # fmt: skip


def test_the_picture_circles_open_ends_and_crossings_where_they_are():
    shown = inspection_picture(looked())
    assert shown.verdict == "NOT READY TO CUT"
    assert {(r.what, r.at) for r in shown.rings} == {
        ("open end", (20.0, 90.0)), ("open end", (90.0, 90.0)), ("crossing", (325.0, 25.0)),
    }  # fmt: skip
    root = ElementTree.fromstring(draw(shown))
    circles = [e for e in root.iter() if e.tag.endswith("circle") and e.get("class") in ("open-end", "crossing")]
    assert len(circles) == 3
    scale = float(re.search(r"scale\(([\d.]+)", draw(shown))[1])
    by_x = sorted(float(c.get("cx")) for c in circles)
    assert by_x[1] - by_x[0] == pytest.approx(70 * scale, abs=0.2)
    assert "open end" in draw(shown) and {layer.role for layer in shown.layers} == {"part", "uncut"}


def test_what_is_ignored_is_drawn_faintly():
    def bent(space) -> None:
        space.add_circle((0, 0), 50)
        space.add_line((0, -50), (0, 50), dxfattribs={"layer": "BEND"})

    shown = inspection_picture(looked(bent))
    assert [layer.role for layer in shown.layers] == ["part", "ignored"]
    assert shown.verdict == "READY TO CUT"


def test_holes_are_grouped_to_a_twentieth():
    parts = looked().parts
    assert next(iter(hole_sizes(parts.parts[0].holes).items())) == ("D6.5", 3)
