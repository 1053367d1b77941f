from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QComboBox, QSpinBox

from kerfproof.units import FEED, LENGTH
from kerfproof_app.window.widgets.fields import QuantityField, SizeField
from support.app.at_the_window import open_demo, settle


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
    typed(window.pages.torch.thickness, "80 mm")
    settle(qtbot, window)
    assert window.session.job is before
    assert "no row for mild steel" in window.pages.torch.thickness.said.text()
    typed(window.pages.torch.thickness, "1/4 in")
    settle(qtbot, window)
    assert window.session.job.thickness == pytest.approx(6.35)
    assert window.session.outcome.process.thickness == pytest.approx(6.35)


def test_roles_of_selected_contours_and_of_layers(qtbot, window):
    open_demo(qtbot, window)
    page = window.pages.part
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
    box = window.pages.part.boxes[0]
    box.quarter.click()
    box.count.setValue(2)
    settle(qtbot, window)
    use = window.session.job.drawings[0]
    assert (use.count, use.turn_deg) == (2, 90.0)
    assert len(window.session.outcome.parts.parts) == 2
    assert window.session.verdict.startswith("PROVEN")


def test_a_touched_field_keeps_the_value_that_it_shows_rounded(qtbot):
    field = QuantityField("Kerf", LENGTH)
    qtbot.addWidget(field)
    seen = []
    field.changed.connect(seen.append)
    for value, inches, text in ((1.5875, True, "0.0625 in"), (3.0, True, "0.1181 in"), (1.5875, False, "1.5875 mm")):
        field.show_value(value, None, inches)
        assert field.edit.text() == text
        typed(field, f"{text} ")
        assert seen == []
        assert not field.edit.isModified()
    typed(field, "1.59")
    assert seen == [1.59]


def test_a_thickness_is_refused_in_the_unit_shown_and_in_few_digits(qtbot, window):
    open_demo(qtbot, window)
    window.session.show_inches(True)
    window.show_page("torch")
    field = window.pages.torch.thickness
    typed(field, "3")
    assert "of 3 in" in field.said.text()
    assert " mm" not in field.said.text()
    typed(field, "1e99")
    assert len(field.said.text()) < 200
    assert "e+99" in field.said.text()


IMPOSSIBLE = {"kerf": "20 in", "feed": "1e9 mm/min", "delay": "500 s", "radius": "900 mm", "straight": "900 mm"}


def test_a_value_that_no_table_can_cut_with_is_refused_at_its_field(qtbot, window):
    open_demo(qtbot, window)
    before = window.session.job
    window.show_page("torch")
    for name, text in IMPOSSIBLE.items():
        field = getattr(window.pages.torch, name)
        typed(field, text)
        assert "check the value and its unit" in field.said.text(), name
        assert window.session.job is before, name
    window.session.select((window.session.outcome.plan.cuts[0].feature,))
    typed(window.pages.cuts.size_field, "900 mm")
    assert "a lead of 900 mm" in window.pages.cuts.size_field.said.text()
    assert window.session.job is before


def turn_the_wheel(widget):
    """Turn the wheel over a list or a count and return whether that changed it."""
    before = what_stands_in(widget)
    middle = QPointF(widget.rect().center())
    how = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False
    event = QWheelEvent(middle, widget.mapToGlobal(middle), QPoint(), QPoint(0, -120), *how)
    QApplication.sendEvent(widget, event)
    return what_stands_in(widget) != before


def what_stands_in(widget):
    return widget.currentIndex() if isinstance(widget, QComboBox) else widget.value()


def test_scrolling_over_a_list_or_a_count_changes_it_only_if_it_has_the_focus(qtbot, window):
    open_demo(qtbot, window)
    window.show_page("torch")
    window.show_page("part")
    window.shop_pages.show_machine()
    before = window.session.job
    boxes = [box for kind in (QComboBox, QSpinBox) for box in window.findChildren(kind)]
    assert len(boxes) > 20
    assert not [box.accessibleName() for box in boxes if turn_the_wheel(box) or box.hasFocus()]
    assert window.session.job == before
    window.shop_pages.leave()
    window.show_page("torch")
    machine = window.pages.torch.machine.box
    machine.setFocus()
    name = machine.currentData()
    assert turn_the_wheel(machine)
    assert machine.currentData() != name
    assert window.session.job.machine == machine.currentData()
    settle(qtbot, window)
