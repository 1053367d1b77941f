from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLineEdit, QPlainTextEdit

from kerfproof.shop.machine_file import MachineFile, parse_machine
from kerfproof_app.shop import defaults, store
from kerfproof_app.window.findings.fixes import FIELDS
from kerfproof_app.window.shop.machine_editor import MachineEditor
from kerfproof_app.window.widgets.scroll_safe_inputs import ChoiceBox
from kerfproof_app.work.session import Session
from support.app import panels
from support.shop import shop


@pytest.fixture(autouse=True)
def _config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KERFPROOF_CONFIG", str(tmp_path / "config"))


@pytest.fixture
def session(tmp_path: Path) -> Session:
    return panels.opened(tmp_path, shop.demo("gusset"))


@pytest.fixture
def editor(session: Session, qtbot) -> MachineEditor:
    made = MachineEditor(session, FIELDS)
    qtbot.addWidget(made)
    made.resize(1000, 640)
    made.show()
    return made


@pytest.fixture
def own(editor: MachineEditor) -> MachineEditor:
    editor.name.setText("shed")
    editor.copy.click()
    return editor


def type_into(editor: MachineEditor, key: str, text: str, qtbot) -> None:
    line = editor.field(key).editor
    assert isinstance(line, QLineEdit)
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)


def test_there_is_a_field_for_every_key_with_its_explanation(editor: MachineEditor) -> None:
    keys = {".".join(map(str, field.keys)) for field in editor.fields()}
    wanted = set()
    for name, info in MachineFile.model_fields.items():
        section = info.annotation
        if isinstance(section, type) and hasattr(section, "model_fields"):
            wanted |= {f"{name}.{i.alias or n}" for n, i in section.model_fields.items()}
        else:
            wanted.add(info.alias or name)
    assert keys == wanted
    for field in editor.fields():
        assert field.text.text() == field.info.description
        assert field.editor.accessibleName()


def test_the_job_s_machine_is_shown_first(session: Session, editor: MachineEditor) -> None:
    assert editor.document.file.name == session.job.machine == "contact-float-mm"
    assert editor.files.currentItem().data(Qt.ItemDataRole.UserRole) == "contact-float-mm"
    assert editor.field("touch_off.float").editor.text() == "19 mm"
    assert editor.field("touch_off.float").unit.text() == "= 0.748 in"


def test_built_in_machines_can_t_be_changed(editor: MachineEditor, qtbot) -> None:
    assert editor.field("touch_off.float").editor.isReadOnly()
    assert not editor.field("torch.start").editor.isEnabled()
    assert not editor.save.isVisible()
    type_into(editor, "touch_off.float", "12 mm", qtbot)
    assert not editor.document.changed
    assert "Copy it to mine" in editor.state.text()


def test_copy_to_mine_makes_an_own_file_to_change(own: MachineEditor) -> None:
    assert store.own_path("machines", "shed").is_file()
    assert own.document.file.name == "shed"
    assert not own.field("touch_off.float").editor.isReadOnly()
    assert own.save.isVisible()


def test_a_copy_under_a_bad_name_says_why(editor: MachineEditor) -> None:
    editor.name.setText("a/b")
    editor.copy.click()
    assert "no name for a file" in editor.said.text()


def test_a_mistake_stands_beside_its_field_as_it_is_typed(own: MachineEditor, qtbot) -> None:
    type_into(own, "touch_off.float", "banana", qtbot)
    field = own.field("touch_off.float")
    assert field.said.isVisible()
    assert field.said.text().startswith('"banana" is no length')
    assert field.editor.property("wrong") is True
    assert '"banana"' in field.editor.accessibleDescription()
    assert not own.save.isEnabled()
    assert own.state.text() == "One place to mend before it can be saved."
    type_into(own, "touch_off.float", "0.75 in", qtbot)
    assert not field.said.isVisible()
    assert own.save.isEnabled()


def test_a_contradiction_stands_at_the_field_that_it_is_about(own: MachineEditor, qtbot) -> None:
    type_into(own, "touch_off.float", "40 mm", qtbot)
    assert "hard stop" in own.field("touch_off.float_stroke").said.text()


def test_a_warning_stands_beside_its_field_and_does_not_forbid(own: MachineEditor, qtbot) -> None:
    type_into(own, "torch.preload", "0.2 mm", qtbot)
    assert "without contact at light-up" in own.field("torch.preload").said.text()
    assert own.save.isEnabled()


@pytest.mark.parametrize(
    ("typed", "stands"),
    [("19.4", "19.4 mm"), ('3/4"', '3/4"'), ("0.75 in", "0.75 in"), ("2 cm", "2 cm")],
)
def test_a_bare_number_takes_the_unit_that_stood_there(own: MachineEditor, qtbot, typed: str, stands: str) -> None:
    type_into(own, "touch_off.float", typed, qtbot)
    assert own.document.get(("touch_off", "float")) == stands
    own.field("touch_off.float").editor.editingFinished.emit()
    assert own.field("touch_off.float").editor.text() == stands


def test_each_kind_of_key_has_its_kind_of_field(own: MachineEditor) -> None:
    kinds = {key: type(own.field(key).editor) for key in ("torch.start", "z.homed", "control.header", "note", "name")}
    assert kinds == {
        "torch.start": ChoiceBox, "z.homed": QCheckBox, "control.header": QPlainTextEdit, "note": QPlainTextEdit,
        "name": QLineEdit,
    }  # fmt: skip
    box = own.field("control.dialect").editor
    assert isinstance(box, ChoiceBox)
    assert box.findData("ngc_blend") >= 0


def test_choices_switches_and_lines_go_into_the_file(own: MachineEditor) -> None:
    box = own.field("control.units").editor
    box.setCurrentIndex(box.findData("inch"))
    own.field("z.homed").editor.setChecked(True)
    own.field("control.header").editor.setPlainText("M8\nM9\n")
    stops = own.field("control.optional_stops").editor
    stops.setCurrentIndex(stops.findData(True))
    machine = parse_machine(own.document.text, "shed")
    assert (machine.inches, machine.z_homed, machine.header_lines, machine.tip_stops) == (
        True,
        True,
        ("M8", "M9"),
        True,
    )
    stops.setCurrentIndex(0)
    assert parse_machine(own.document.text, "shed").tip_stops is None


def test_rules_that_count_otherwise_are_written_line_by_line(own: MachineEditor) -> None:
    field = own.field("rules")
    field.editor.setPlainText("line-too-long = note: the control reads longer lines")
    assert own.document.good, own.document.mistakes
    (choice,) = parse_machine(own.document.text, "shed").rules
    assert (choice.rule, choice.reason) == ("line-too-long", "the control reads longer lines")
    field.editor.setPlainText("line-too-long = perhaps")
    assert "ine-too-long must be error" in field.said.text()
    field.editor.setPlainText("")
    assert own.document.get(("rules",)) is None


def test_numbers_stay_numbers(own: MachineEditor, qtbot) -> None:
    type_into(own, "control.lookahead_blocks", "20", qtbot)
    assert own.document.get(("control", "lookahead_blocks")) == 20
    type_into(own, "control.lookahead_blocks", "many", qtbot)
    assert own.field("control.lookahead_blocks").said.text()


def test_a_key_emptied_is_taken_out(own: MachineEditor, qtbot) -> None:
    line = own.field("z.travel_height").editor
    line.setFocus()
    line.selectAll()
    qtbot.keyClick(line, Qt.Key.Key_Delete)
    assert own.document.get(("z", "travel_height")) is None
    assert line.placeholderText() == "without it: 25 mm"
    assert own.document.good


def test_saving_writes_the_file_with_its_comments_and_checks_the_job_anew(
    session: Session, own: MachineEditor, qtbot
) -> None:
    own.use.click()
    assert session.job.machine == "shed"
    assert session.undo_label == "machine shed"
    session.settle()
    type_into(own, "z.travel_height", "30 mm", qtbot)
    with qtbot.waitSignal(own.saved, timeout=500) as told:
        own.save.click()
    assert told.args == ["shed"]
    text = store.own_path("machines", "shed").read_text()
    assert '# Height of the tip over the plate between cuts, at most.\ntravel_height = "30 mm"' in text
    assert session.state == "checking"
    session.settle()
    assert "G0 Z30" in session.outcome.program.text


def test_undo_and_redo_work_in_the_editor(own: MachineEditor, qtbot) -> None:
    type_into(own, "torch.preload", "2 mm", qtbot)
    own.setFocus()
    while own.undo.isEnabled():
        own.undo.click()
    assert own.field("torch.preload").editor.text() == "1 mm"
    assert not own.document.changed
    while own.redo.isEnabled():
        own.redo.click()
    assert own.field("torch.preload").editor.text() == "2 mm"


def test_the_default_is_written_into_the_settings(own: MachineEditor) -> None:
    own.default.click()
    assert defaults.settings().machine == "shed"
    assert "shed" in own.state.text()


def test_a_file_broken_by_hand_opens_at_the_broken_field(session: Session, qtbot) -> None:
    store.copy_shop_file("machines", "contact-float-mm", "bent")
    path = store.own_path("machines", "bent")
    path.write_text(path.read_text().replace('preload = "1 mm"', 'preload = "a lot"'))
    editor = MachineEditor(session, FIELDS)
    qtbot.addWidget(editor)
    editor.resize(1000, 640)
    editor.show()
    editor.show_file("bent")
    field = editor.field("torch.preload")
    assert "a lot" in field.said.text()
    inside = editor._scroll.viewport().rect()
    place = field.mapTo(editor._scroll.viewport(), field.rect().center())
    assert inside.contains(place)


def test_a_file_that_is_no_toml_opens_at_the_broken_line(session: Session, qtbot) -> None:
    store.copy_shop_file("machines", "contact-float-mm", "bent")
    path = store.own_path("machines", "bent")
    path.write_text(path.read_text().replace("[torch]", "[torch"))
    line = path.read_text().splitlines().index("[torch")
    editor = MachineEditor(session, FIELDS)
    qtbot.addWidget(editor)
    editor.resize(1000, 640)
    editor.show()
    editor.show_file("bent")
    assert editor.pages.currentWidget() is editor.broken
    assert editor.broken.text.textCursor().blockNumber() == line
    assert f"line {line + 1}" in editor.broken.said.text().lower()
    editor.broken.text.setPlainText(path.read_text().replace("[torch", "[torch]"))
    assert editor.pages.currentWidget() is editor._form
    assert editor.save.isEnabled()


def test_it_opens_at_a_field_by_its_key(editor: MachineEditor) -> None:
    editor.show_file("contact-float-inch")
    editor.show_field("z.end_clears_datum")
    field = editor.field("z.end_clears_datum")
    place = field.mapTo(editor._scroll.viewport(), field.rect().center())
    assert editor._scroll.viewport().rect().contains(place)
    assert editor.document.file.name == "contact-float-inch"


def test_a_machine_that_is_not_there_says_so(editor: MachineEditor) -> None:
    editor.show_file("nowhere")
    assert "no machine is called" in editor.said.text()
    assert editor.document.file.name == "contact-float-mm"


def test_it_fits_a_small_window(editor: MachineEditor) -> None:
    editor.resize(900, 520)
    editor.grab()
    assert editor.minimumSizeHint().width() <= 960
    assert editor.minimumSizeHint().height() <= 560
