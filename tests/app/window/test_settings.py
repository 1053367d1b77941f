from __future__ import annotations

import ast
import re
from dataclasses import fields, replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import QComboBox

from kerfproof.job.job import Job, LeadChoice, Mode, Order, Origin, Rests, SmallHoles
from kerfproof.job.job_file import parse_job
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof_app.window.pages.roles_table import DrawnLook, drawn_in
from support.app.at_the_window import open_demo, settle
from support.shop import shop


def typed(field, text):
    field.edit.setText(text)
    field.edit.setModified(True)
    field.commit()


def chosen(box: QComboBox, value) -> None:
    index = box.findData(value)
    assert index >= 0, f"{value!r} is not offered"
    box.setCurrentIndex(index)
    box.activated.emit(index)


def opened(qtbot, window, tmp_path, draw, units=4):
    path = tmp_path / "drawn.dxf"
    path.write_bytes(shop.dxf(draw, units=units))
    window.files.open([path])
    settle(qtbot, window)


def many_looks(space):
    space.add_lwpolyline([(0, 0), (160, 0), (160, 100), (0, 100)], close=True)
    space.add_circle((40, 50), 15, dxfattribs={"color": 1})
    space.add_circle((110, 50), 15, dxfattribs={"layer": "BEND"})
    space.add_line((10, 90), (150, 90), dxfattribs={"layer": "AXES", "linetype": "CENTER"})


def holes(window):
    return sum(len(part.holes) for part in window.session.outcome.parts.parts)


CHOICES = {
    "page": ("part", "page", PageFrames.CUT),
    "small_holes": ("part", "holes", SmallHoles.DRILL),
    "drill_marks": ("part", "marks", DrillKind.CROSS),
    "origin": ("part", "origin", Origin.DRAWING),
    "order": ("torch", "order", Order.HOLES_FIRST),
    "mode": ("torch", "mode", Mode.TOUR),
    "rests": ("torch", "rests", Rests.DWELL),
}
TYPED = {
    "plate": ("part", "plate", "48x24 in", (1219.2, 609.6)),
    "margin": ("part", "margin", "3/4 in", 19.05),
    "join_tolerance": ("part", "join", "0.2", 0.2),
    "drill_below": ("part", "below", '0.25"', 6.35),
    "layers": ("part", "layers", "0, CUT*", ("0", "CUT*")),
    "window": ("part", "box", "300,200,-1,-1", (-1.0, -1.0, 300.0, 200.0)),
    "kerf": ("torch", "kerf", "1.6 mm", 1.6),
    "feed_mm_min": ("torch", "feed", "90 in/min", 2286.0),
    "pierce_delay_s": ("torch", "delay", "400 ms", 0.4),
    "tab_width": ("torch", "tab_width", "3", 3.0),
}
HERE = "test_settings.py"
ELSEWHERE = {
    "drawings": (HERE, "test_the_unit_of_a_drawing_that_says_it_wrongly_is_put_right"),
    "machine": ("test_first_run.py", "test_an_open_job_takes_the_new_machine"),
    "chart": ("test_coupon_page.py", "test_the_kerf_is_measured_saved_to_a_copy_of_the_chart_and_used"),
    "material": (HERE, "test_current_and_material_of_the_chart_can_be_chosen"),
    "thickness": ("test_fields.py", "test_a_thickness_the_chart_does_not_know_is_refused_at_the_field"),
    "amps": (HERE, "test_current_and_material_of_the_chart_can_be_chosen"),
    "roles": (HERE, "test_roles_by_layer_colour_and_line_type_are_given_and_taken_back"),
    "contour_roles": ("test_fixes.py", "test_a_line_in_the_part_becomes_a_slit"),
    "pins": ("test_leads.py", "test_shape_and_size_for_many_and_choose_again"),
    "sequence": ("test_order.py", "test_a_cut_moved_in_the_list_is_cut_so_and_the_rest_stays"),
    "tab_places": ("test_tabs.py", "test_a_tab_is_set_where_the_scrubber_stands_and_taken_away_there"),
    **dict.fromkeys(
        ("spread", "sharp_corners", "leave_out", "bridges", "tabs", "leads", "rules"),
        (HERE, "test_tabs_sharp_corners_spread_lead_shape_and_rules"),
    ),
}
"""The file and the test that set each other setting by the window and look at the job."""


def test_every_setting_of_a_job_has_a_place_in_the_window():
    assert {f.name for f in fields(Job)} == set(CHOICES) | set(TYPED) | set(ELSEWHERE)


@pytest.mark.parametrize("key", ELSEWHERE)
def test_a_setting_that_is_set_elsewhere_is_looked_at_there(key):
    file, name = ELSEWHERE[key]
    text = Path(__file__).with_name(file).read_text(encoding="utf-8")
    test = next(node for node in ast.parse(text).body if isinstance(node, ast.FunctionDef) and node.name == name)
    assert re.search(rf"\bjob\.{key}\b", ast.get_source_segment(text, test))


def test_every_choice_is_taken_shown_and_undone(qtbot, window):
    open_demo(qtbot, window)
    before = window.session.job
    for key, (page, name, value) in CHOICES.items():
        field = getattr(getattr(window.pages, page), name)
        chosen(field.box, value)
        assert window.session.job == replace(before, **{key: value}), key
        assert field.box.currentData() == value
        window.session.undo()
        assert field.box.currentData() == getattr(before, key)


def holds(job, key, value) -> bool:
    """Whether a setting has a value: names exactly, lengths as near as units can be turned."""
    now = getattr(job, key)
    return now == value if key == "layers" else now == pytest.approx(value)


def test_every_typed_setting_takes_units_and_is_shown_again(qtbot, window):
    open_demo(qtbot, window)
    before = replace(window.session.job, drill_marks=DrillKind.PIERCE)
    window.session.edit(before, "for the test")
    for key, (page, name, text, value) in TYPED.items():
        field = getattr(getattr(window.pages, page), name)
        typed(field, text)
        assert holds(window.session.job, key, value), key
        assert window.session.job == replace(before, **{key: getattr(window.session.job, key)}), key
        assert field.said.isHidden(), field.said.text()
        assert field.edit.text()
        again = field.edit.text()
        typed(field, again)
        assert holds(window.session.job, key, value), again
        window.session.edit(before, "back")
    assert window.session.job == before


@pytest.mark.parametrize(
    ("page", "name", "text", "why"),
    [("part", "box", "1,2,3", "no box"), ("part", "box", "1,2,1,5", "without a size"),
     ("part", "below", "-1", "at least 0"), ("torch", "tab_width", "0", "more than 0"),
     ("torch", "rules", "line-too-long = note", "reason"),
     ("torch", "rules", "nonsense = off: why", "no rule"), ("part", "join", "", "needed")],
)  # fmt: skip
def test_an_impossible_value_says_why_at_its_field_and_changes_nothing(qtbot, window, page, name, text, why):
    open_demo(qtbot, window)
    window.session.edit(replace(window.session.job, drill_marks=DrillKind.PIERCE), "for the test")
    before, field = window.session.job, getattr(getattr(window.pages, page), name)
    typed(field, text)
    assert why in field.said.text()
    assert not field.said.isHidden()
    assert window.session.job is before


def test_tabs_sharp_corners_spread_lead_shape_and_rules(qtbot, window):
    open_demo(qtbot, window)
    page = window.pages.torch
    page.tabs.spin.setValue(3)
    page.sharp.click()
    window.pages.part.leave_out.click()
    window.pages.part.bridges.click()
    page.spread.click()
    chosen(page.shape.box, "straight")
    typed(page.rules, "line-too-long = note: my control takes them")
    settle(qtbot, window)
    job = window.session.job
    assert (job.tabs, job.sharp_corners, job.spread, job.leads) == (3, True, True, LeadChoice(shape="straight"))
    assert job.leave_out and job.bridges
    assert [(r.rule, str(r.severity), r.reason) for r in job.rules] == [
        ("line-too-long", "note", "my control takes them")
    ]
    assert len(window.session.outcome.plan.tabs) == 3
    assert "straight" in {c.lead_shape for c in window.session.outcome.plan.cuts if c.kind == "outline"}
    assert page.rules.edit.text() == "line-too-long = note: my control takes them"


def test_current_and_material_of_the_chart_can_be_chosen(qtbot, window):
    open_demo(qtbot, window)
    page = window.pages.torch
    materials = [page.material.box.itemData(k) for k in range(page.material.box.count())]
    other = next(m for m in materials if m != "mild steel")
    chosen(page.material.box, other)
    settle(qtbot, window)
    assert (window.session.job.material, window.session.outcome.process.material) == (other, other)
    window.session.undo()
    settle(qtbot, window)
    usual = window.session.outcome.process.amps
    typed(page.amps, "1 A")
    assert not page.amps.said.isHidden()
    assert window.session.job.amps is None
    typed(page.amps, f"{usual:g}")
    assert window.session.job.amps == usual


def test_the_unit_of_a_drawing_that_says_it_wrongly_is_put_right(qtbot, window):
    open_demo(qtbot, window)
    box = window.pages.part.boxes[0]
    assert box.unit.box.currentData() is None
    chosen(box.unit.box, 10.0)
    settle(qtbot, window)
    assert window.session.job.drawings[0].mm_per_unit == 10.0
    assert "drawn in" in box.drawn.text()


def test_the_table_tells_what_is_drawn_how_much_and_what_is_usual(qtbot, window, tmp_path):
    opened(qtbot, window, tmp_path, many_looks)
    looks = drawn_in(window.session.drawings)
    assert DrawnLook("layer", "BEND", 1, "ignore") in looks
    assert DrawnLook("layer", "0", 2, "cut") in looks
    assert DrawnLook("color", "red", 1, "") in looks
    assert DrawnLook("linetype", "CENTER", 1, "ignore") in looks
    table = window.pages.part.table
    assert set(table.boxes) == {(look.kind, look.name) for look in looks}
    assert table.boxes["layer", "BEND"].currentText() == "usual: ignore"
    assert [look.count for look in looks if look.kind == "linetype"] == [1, 3], "Continuous and CONTINUOUS are one"


def test_roles_by_layer_colour_and_line_type_are_given_and_taken_back(qtbot, window, tmp_path):
    opened(qtbot, window, tmp_path, many_looks)
    table = window.pages.part.table
    assert holes(window) == 1
    chosen(table.boxes["layer", "BEND"], "cut")
    settle(qtbot, window)
    assert holes(window) == 2
    chosen(table.boxes["color", "red"], "ignore")
    settle(qtbot, window)
    assert holes(window) == 1
    chosen(table.boxes["linetype", "CENTER"], "slit")
    settle(qtbot, window)
    assert any(cut.kind == "slit" for cut in window.session.outcome.plan.cuts)
    assert [box.currentData() for box in table.boxes.values()].count("") == len(table.boxes) - 3
    for key in (("layer", "BEND"), ("color", "red"), ("linetype", "CENTER")):
        chosen(table.boxes[key], "")
    settle(qtbot, window)
    assert window.session.job.roles == ()
    assert holes(window) == 1


def test_texts_are_left_out_unless_they_are_given_a_role(qtbot, window, tmp_path):
    def draw(space):
        space.add_lwpolyline([(0, 0), (160, 0), (160, 100), (0, 100)], close=True)
        space.add_text("O", height=40, dxfattribs={"insert": (60, 30)})

    opened(qtbot, window, tmp_path, draw)
    box = window.pages.part.table.boxes["kind", "TEXT"]
    assert box.currentText() == "usual: ignore"
    assert holes(window) == 0
    chosen(box, "cut")
    settle(qtbot, window)
    assert holes(window) > 0
    chosen(window.pages.part.table.boxes["kind", "TEXT"], "")
    settle(qtbot, window)
    assert holes(window) == 0


def test_a_drawing_of_which_nothing_is_cut_still_lists_its_layers(qtbot, window, tmp_path):
    opened(
        qtbot, window, tmp_path,
        lambda space: space.add_lwpolyline([(0, 0), (90, 0), (90, 60)], close=True, dxfattribs={"layer": "Bend"}),
    )  # fmt: skip
    assert window.session.state == "failed"
    chosen(window.pages.part.table.boxes["layer", "Bend"], "cut")
    settle(qtbot, window)
    assert window.session.verdict.startswith("PROVEN")


def test_layers_and_box_to_read_are_kept_in_the_job_file(qtbot, window, tmp_path):
    opened(qtbot, window, tmp_path, many_looks)
    typed(window.pages.part.layers, "0")
    typed(window.pages.part.box, "-1,-1,80,101 mm")
    settle(qtbot, window)
    assert [f.diameter for f in window.session.outcome.parts.features] == [30.0], "only the hole lies in the box"
    typed(window.pages.part.box, "-1,-1,161,101 mm")
    settle(qtbot, window)
    assert {e.layer for e in window.session.outcome.drawings[0].entities} == {"0"}
    saved = window.session.save(tmp_path / "kept")
    job = parse_job(saved.read_text(), "kept")
    assert (job.layers, job.window) == (("0",), (-1.0, -1.0, 161.0, 101.0))
