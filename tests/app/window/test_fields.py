from __future__ import annotations

import pytest

from at_the_window import open_demo, settle
from kerfproof_app.window.fields import FEED, LENGTH, QuantityField, SizeField


def typed(field, text):
    field.edit.setText(text)
    field.edit.setModified(True)
    field.commit()


@pytest.mark.parametrize(
    ("text", "inches", "value"),
    [("1/4 in", False, 6.35), ("6", False, 6.0), ('0.236"', False, 5.9944), ("6", True, 152.4), ("6 mm", True, 6.0)],
)
def test_a_length_takes_any_unit_and_a_bare_number_has_the_one_shown(qtbot, text, inches, value):
    field = QuantityField("Thickness", LENGTH)
    qtbot.addWidget(field)
    field.show_value(3.0, None, inches)
    seen = []
    field.changed.connect(seen.append)
    typed(field, text)
    assert seen == [pytest.approx(value)]


def test_what_is_impossible_says_why_at_the_field_and_changes_nothing(qtbot):
    field = QuantityField("Kerf", LENGTH, above=0.0)
    qtbot.addWidget(field)
    field.show_value(None, 1.45)
    seen = []
    field.changed.connect(seen.append)
    for text, word in (("-1 mm", "more than 0"), ("four", ""), ("3 kg", "")):
        typed(field, text)
        assert not field.said.isHidden()
        assert word in field.said.text()
        assert len(field.said.text()) > 5
    assert seen == []


def test_what_differs_from_the_chart_is_shown_and_can_be_taken_back(qtbot):
    field = QuantityField("Feed", FEED)
    qtbot.addWidget(field)
    field.show_value(2000.0, 2200.0)
    assert "2200 mm/min" in field.hint.text()
    seen = []
    field.changed.connect(seen.append)
    field.back.click()
    assert seen == [None]
    field.show_value(None, 2200.0)
    assert field.hint.isHidden()
    assert field.edit.placeholderText() == "2200 mm/min"


def test_a_plate_is_read_with_its_unit(qtbot):
    field = SizeField("Size")
    qtbot.addWidget(field)
    seen = []
    field.changed.connect(seen.append)
    typed(field, "48x24 in")
    typed(field, "0 x 5")
    assert seen == [(pytest.approx(1219.2), pytest.approx(609.6))]
    assert not field.said.isHidden()


def test_a_thickness_the_chart_does_not_know_is_refused_at_the_field(qtbot, window):
    open_demo(qtbot, window)
    before = window.session.job
    window.show_page("torch")
    typed(window.torch_page.thickness, "80 mm")
    settle(qtbot, window)
    assert window.session.job is before
    assert "no row for mild steel" in window.torch_page.thickness.said.text()
    typed(window.torch_page.thickness, "1/4 in")
    settle(qtbot, window)
    assert window.session.job.thickness == pytest.approx(6.35)
    assert window.session.outcome.process.thickness == pytest.approx(6.35)


def test_roles_of_selected_contours_and_of_layers(qtbot, window):
    open_demo(qtbot, window)
    page = window.part_page
    hole = next(f for f in window.session.outcome.parts.features if f.diameter == 44.0)
    window.session.select((hole.number,))
    page.role_buttons["ignore"].click()
    settle(qtbot, window)
    assert all(f.diameter != 44.0 for f in window.session.outcome.parts.features)
    assert window.session.verdict.startswith("PROVEN")
    page.given.click()
    settle(qtbot, window)
    assert any(f.diameter == 44.0 for f in window.session.outcome.parts.features)


def test_two_of_a_drawing_turned_a_quarter(qtbot, window):
    open_demo(qtbot, window)
    box = window.part_page.boxes[0]
    box.quarter.click()
    box.count.setValue(2)
    settle(qtbot, window)
    use = window.session.job.drawings[0]
    assert (use.count, use.turn_deg) == (2, 90.0)
    assert len(window.session.outcome.parts.parts) == 2
    assert window.session.verdict.startswith("PROVEN")
