"""What is written is what was proven, or what the person was asked about, whatever happens meanwhile."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog

from kerfproof_app.window.pages import tip_line
from support.app.at_the_window import open_demo, press_shortcut, settle
from support.shop import shop

CTRL = Qt.KeyboardModifier.ControlModifier
FORCED = "Write it, marked NOT PROVEN"


@pytest.fixture
def torch(qtbot, window):
    """Return a window with a proven job and its settings."""
    open_demo(qtbot, window)
    window.show_page("torch")
    window.pages.torch_tabs.setCurrentIndex(0)
    assert window.session.verdict.startswith("PROVEN")
    return window


def type_over(qtbot, field, text):
    field.edit.setFocus()
    field.edit.selectAll()
    qtbot.keyClicks(field.edit, text)


def open_dialogs(window):
    return [dialog for dialog in window.findChildren(QFileDialog) if dialog.isVisible()]


def test_what_is_typed_and_not_entered_is_taken_and_checked_before_the_export_is_judged(qtbot, torch, tmp_path):
    type_over(qtbot, torch.pages.torch.delay, "55 s")
    press_shortcut(qtbot, torch, Qt.Key.Key_E, CTRL)
    assert torch.session.state == "checking"
    assert "exported as soon as" in torch.question.asks
    assert not open_dialogs(torch)
    settle(qtbot, torch)
    assert not open_dialogs(torch)
    assert "not proven" in torch.question.asks
    torch.question.button(FORCED).click()
    (dialog,) = open_dialogs(torch)
    dialog.fileSelected.emit(str(tmp_path / "x.nc"))
    dialog.reject()
    assert "NOT PROVEN" in (tmp_path / "x.nc").read_text()[:60]


def test_what_becomes_unproven_while_the_dialog_is_open_is_asked_about_before_it_is_written(qtbot, torch, tmp_path):
    torch.commands["export"].trigger()
    (dialog,) = open_dialogs(torch)
    torch.session.change("delay", pierce_delay_s=55.0)
    dialog.fileSelected.emit(str(tmp_path / "x.nc"))
    dialog.reject()
    settle(qtbot, torch)
    assert "not proven" in torch.question.asks
    assert not (tmp_path / "x.nc").exists()
    torch.session.undo()
    settle(qtbot, torch)
    assert not torch.question.asks
    torch.exports.program.export_to(tmp_path / "x.nc")
    assert (tmp_path / "x.nc").read_text() == torch.session.outcome.program.text


def test_an_export_that_waits_for_the_check_goes_on_by_itself_or_is_given_up(qtbot, torch, tmp_path):
    torch.session.change("kerf", kerf=1.45)
    torch.exports.program.export_to(tmp_path / "x.nc")
    assert "still being checked" in torch.question.asks
    settle(qtbot, torch)
    assert (tmp_path / "x.nc").read_text() == torch.session.outcome.program.text
    torch.session.change("kerf", kerf=1.4)
    torch.exports.program.export_to(tmp_path / "y.nc")
    torch.question.button("Don't export it").click()
    settle(qtbot, torch)
    torch.session.change("kerf", kerf=1.5)
    torch.exports.program.export_to(tmp_path / "y.nc")
    torch.session.change("kerf", kerf=1.6)
    settle(qtbot, torch)
    assert not (tmp_path / "y.nc").exists()


def test_questions_about_the_job_go_when_it_is_changed(qtbot, torch, monkeypatch):
    monkeypatch.setattr(tip_line, "tip_warning", lambda session: "the tip will be used up in the middle of this job")
    asks = {
        "The tip will be used up": torch.commands["export"].trigger,
        "Did the program stop before cut": torch.commands["go_on"].trigger,
        "Did cut": torch.commands["unlit"].trigger,
    }
    torch.session.select((3,))
    for kerf, (text, ask) in enumerate(asks.items(), 14):
        ask()
        assert text in torch.question.asks
        torch.session.change("kerf", kerf=kerf / 10)
        assert text not in torch.question.asks
        settle(qtbot, torch)


def answer_first(window, start):
    buttons = [window.question.buttons.itemAt(k).widget() for k in range(window.question.buttons.count())]
    next(button for button in buttons if button.text().startswith(start)).click()


def test_a_program_that_goes_on_is_offered_only_as_long_as_its_job_is_the_same(qtbot, torch, tmp_path):
    torch.session.go_to(20.0)
    torch.commands["go_on"].trigger()
    answer_first(torch, "From the start of cut")
    settle(qtbot, torch)
    assert "Proven together" in torch.question.asks
    torch.session.change("kerf", kerf=1.6)
    assert not torch.question.asks
    torch.exports.rest.save_to(tmp_path / "rest.nc")
    assert not (tmp_path / "rest.nc").exists()
    assert "changed" in torch.question.asks
    settle(qtbot, torch)
    torch.commands["go_on"].trigger()
    answer_first(torch, "From the start of cut")
    torch.session.change("kerf", kerf=1.7)
    settle(qtbot, torch)
    assert "Proven together" not in torch.question.asks


def test_a_field_that_cannot_be_read_holds_up_the_export_until_it_is_mended_or_put_back(qtbot, torch):
    kerf = torch.pages.torch.kerf
    type_over(qtbot, kerf, "abc")
    torch.commands["export"].trigger()
    assert not open_dialogs(torch)
    assert torch.question.asks.startswith('Kerf: "abc" is no length')
    qtbot.keyClick(kerf.edit, Qt.Key.Key_Escape)
    assert not kerf.said.text()
    assert "abc" not in kerf.edit.text()
    torch.commands["export"].trigger()
    assert len(open_dialogs(torch)) == 1
    open_dialogs(torch)[0].reject()
    torch.session.change("kerf", kerf=1.6)
    settle(qtbot, torch)
    type_over(qtbot, kerf, "abc")
    kerf.commit()
    torch.commands["undo"].trigger()
    assert "abc" not in kerf.edit.text()
    assert torch.session.job.kerf is None
    settle(qtbot, torch)


def test_while_a_unit_is_asked_for_the_work_behind_the_question_can_not_be_exported_or_changed(qtbot, torch, tmp_path):
    path = tmp_path / "plain.dxf"
    path.write_bytes(shop.dxf(lambda space: space.add_circle((0, 0), 30), units=0))
    torch.files.open([path])
    settle(qtbot, torch)
    assert torch.session.question is not None
    for name in ("export", "save", "undo", "add", "compare", "sheet", "go_on"):
        assert not torch.commands[name].isEnabled(), name
    press_shortcut(qtbot, torch, Qt.Key.Key_E, CTRL)
    torch.exports.program.export()
    torch.exports.program.export_to(tmp_path / "x.nc")
    assert not open_dialogs(torch)
    assert not (tmp_path / "x.nc").exists()
    torch.session.answer_unit(None)
    assert torch.commands["export"].isEnabled()
