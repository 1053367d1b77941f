from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QLineEdit

from kerfproof.gcode.machine_control import control_of
from kerfproof.shop.machine_file import parse_machine
from kerfproof.shop.profile import StartKind, TouchOff
from kerfproof_app.shop import defaults, store
from kerfproof_app.window.shop.first_run import FirstRun
from support.app import panels
from support.shop import shop


@pytest.fixture(autouse=True)
def _config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KERFPROOF_CONFIG", str(tmp_path / "config"))


@pytest.fixture
def first(tmp_path: Path, qtbot) -> FirstRun:
    made = FirstRun(panels.empty(tmp_path))
    qtbot.addWidget(made)
    made.resize(900, 600)
    made.show()
    return made


def card(first: FirstRun, title: str):
    groups = (*first.starts.buttons(), *first.finds.buttons(), *first.units.buttons())
    return next(b for b in groups if b.accessibleName() == title)


def type_into(first: FirstRun, key: str, text: str, qtbot) -> None:
    line = next(f.editor for f in first.fields if f.keys[-1] == key and f.keys[0] != "control")
    assert isinstance(line, QLineEdit)
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)


def machine(name: str):
    return parse_machine(store.shop_file("machines", name).text, name)


def test_the_cautions_come_first(first: FirstRun) -> None:
    text = first.pages.currentWidget().toPlainText()
    assert first.on.text() == "I have read this"
    for word in ("licensed", "Shade 8", "Fumes", "extinguisher", "emergency stop"):
        assert word in text


def test_five_pages_make_a_machine_and_the_default(first: FirstRun, qtbot) -> None:
    first.on.click()
    card(first, "Contact start").click()
    card(first, "Floating head").click()
    first.on.click()
    type_into(first, "travel_x", "49 in", qtbot)
    type_into(first, "travel_y", "50 in", qtbot)
    type_into(first, "float", "0.8 in", qtbot)
    first.on.click()
    card(first, "Inches").click()
    first.name.selectAll()
    qtbot.keyClicks(first.name, "shed")
    first.on.click()
    with qtbot.waitSignal(first.finished, timeout=500) as told:
        first.on.click()
    assert told.args == ["shed"]
    made = machine("shed")
    assert (made.start, made.touch_off, made.inches) == (StartKind.CONTACT, TouchOff.FLOAT, True)
    assert made.travel_x == pytest.approx(49 * 25.4)
    assert made.float_travel == pytest.approx(0.8 * 25.4)
    assert defaults.settings().machine == "shed"
    text = store.shop_file("machines", "shed").text
    assert 'float = "0.8 in"' in text
    assert "# How far the carriage rises" in text


@pytest.mark.parametrize("start", ["Contact start", "Pilot arc"])
@pytest.mark.parametrize("find", ["Floating head", "Sense circuit", "By hand"])
@pytest.mark.parametrize("unit", ["Millimetres", "Inches"])
def test_every_table_that_can_be_chosen_cuts(first: FirstRun, start: str, find: str, unit: str) -> None:
    for title in (start, find, unit):
        card(first, title).click()
    assert first.draft.mistakes() == {}
    file = first.draft.write()
    made = parse_machine(file.text, file.name)
    control_of(made)
    outcome = shop.cut(shop.demo("gusset"), made)
    assert outcome.ok, [f.sentence() for f in outcome.findings]


def test_float_is_asked_for_only_where_the_head_floats(first: FirstRun) -> None:
    for _ in range(2):
        first.turn(1)
    fields = {f.keys[-1]: f for f in first.fields}
    assert fields["float"].isVisible()
    card(first, "Sense circuit").click()
    assert not fields["float"].isVisible()
    card(first, "Floating head").click()
    assert fields["float"].isVisible()


def test_an_impossible_value_says_why_at_its_field_and_nothing_is_written(first: FirstRun, qtbot) -> None:
    for _ in range(2):
        first.turn(1)
    type_into(first, "float", "90 mm", qtbot)
    stroke = next(f for f in first.fields if f.keys[-1] == "float_stroke")
    assert "hard stop" in stroke.said.text()
    for _ in range(2):
        first.turn(1)
    assert not first.on.isEnabled()
    assert "float stroke" in first.said.text()
    assert not (store.config_folder() / "machines").exists()


def test_a_name_that_is_taken_or_none_is_refused_at_once(first: FirstRun, qtbot) -> None:
    store.copy_shop_file("machines", "contact-float-mm", "shed")
    for _ in range(3):
        first.turn(1)
    for name, why in (("shed", "there already"), ("a b", "letters, digits")):
        first.name.selectAll()
        qtbot.keyClicks(first.name, name)
        assert why in first.said.text()
    first.turn(1)
    assert not first.on.isEnabled()


def test_it_can_be_left_for_later(first: FirstRun, qtbot) -> None:
    with qtbot.waitSignal(first.finished, timeout=500) as told:
        first.later.click()
    assert told.args == [""]
    assert defaults.settings().machine is None


def test_back_keeps_the_answers(first: FirstRun, qtbot) -> None:
    for _ in range(2):
        first.turn(1)
    type_into(first, "travel_x", "1.3 m", qtbot)
    first.back.click()
    card(first, "Pilot arc").click()
    first.on.click()
    assert next(f for f in first.fields if f.keys[-1] == "travel_x").editor.text() == "1.3 m"


def test_an_open_job_takes_the_new_machine(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, shop.demo("gusset"))
    first = FirstRun(session)
    qtbot.addWidget(first)
    for _ in range(5):
        first.turn(1)
    assert session.job.machine == "my-table"
    assert session.undo_label == "machine my-table"
    assert first.pages.currentIndex() == 0
    assert first.draft.name == "my-table-2"
