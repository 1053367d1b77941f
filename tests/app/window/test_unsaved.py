"""Nothing that a person changed is lost without a question, whatever they do next."""

from __future__ import annotations

import os

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QLineEdit

from support.app.at_the_window import open_demo, settle
from support.shop import shop


@pytest.fixture
def changed(qtbot, window):
    """Return a window with a job that was changed."""
    open_demo(qtbot, window)
    window.session.change("kerf", kerf=1.6)
    settle(qtbot, window)
    return window


def other_drawing(tmp_path):
    path = tmp_path / "pump-flange.dxf"
    path.write_bytes(shop.demo("pump-flange"))
    return path


def ways_away(window, tmp_path):
    return {
        "open": lambda: window.files.open([other_drawing(tmp_path)]),
        "demo": lambda: window.files.open_demo("pump-flange"),
        "close the work": window.commands["close"].trigger,
        "quit": window.commands["quit"].trigger,
    }


@pytest.mark.parametrize("way", ["open", "demo", "close the work", "quit"])
def test_every_way_away_from_a_changed_job_asks_first_and_stay_stays(qtbot, changed, tmp_path, way):
    job = changed.session.job
    ways_away(changed, tmp_path)[way]()
    assert '"gusset.dxf" has changes that are not saved' in changed.question.asks
    changed.question.button("Stay").click()
    settle(qtbot, changed)
    assert changed.session.job is job
    assert changed.isVisible()


def test_an_untouched_drawing_is_left_without_a_question(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    window.files.open([other_drawing(tmp_path)])
    settle(qtbot, window)
    assert window.session.name == "pump-flange.dxf"
    assert not window.question.isVisible()


def test_saved_on_the_way_out_by_the_dialog_and_then_opened(qtbot, changed, tmp_path):
    changed.files.open([other_drawing(tmp_path)])
    changed.question.button("Save").click()
    dialog = changed.findChild(QFileDialog)
    assert dialog is not None
    target = tmp_path / "kept.kerfproof.toml"
    dialog.fileSelected.emit(str(target))
    dialog.done(0)
    settle(qtbot, changed)
    assert "1.6" in target.read_text()
    assert changed.session.name == "pump-flange.dxf"


def test_a_change_taken_back_after_saving_differs_from_the_file_and_is_asked_about(qtbot, changed, tmp_path):
    changed.session.save(tmp_path / "job.kerfproof.toml")
    assert not changed.session.unsaved
    assert "*" not in changed.windowTitle()
    changed.session.undo()
    assert changed.session.unsaved
    assert "*" in changed.windowTitle()
    assert not changed.close()
    changed.question.button("Save").click()
    assert not changed.isVisible()
    assert "kerf" not in (tmp_path / "job.kerfproof.toml").read_text()


def test_recovered_work_is_asked_about_until_it_is_saved(qtbot, changed):
    session = changed.session
    session.keep()
    kept = session.memory.folder / "unfinished"
    (kept / str(os.getpid())).rename(kept / "999999999")
    session.close()
    changed.files.offer_recovery()
    changed.question.button("Go on with it").click()
    settle(qtbot, changed)
    assert not changed.close()
    assert "not saved" in changed.question.asks
    changed.question.button("Don't save").click()
    assert not changed.isVisible()


def test_recovering_over_a_changed_job_asks_first(qtbot, changed):
    session = changed.session
    session.keep()
    kept = session.memory.folder / "unfinished"
    (kept / str(os.getpid())).rename(kept / "999999999")
    changed.files.offer_recovery()
    changed.question.button("Go on with it").click()
    assert "has changes that are not saved" in changed.question.asks
    changed.question.button("Stay").click()
    assert (kept / "999999999").exists()


def test_changes_in_an_editor_are_asked_about_before_the_window_closes(qtbot, changed):
    changed.shop_pages.show_machine()
    editor = changed.shop_pages.made["machine"]
    editor.name.setText("shed")
    editor.copy.click()
    line = editor.field("title").editor
    assert isinstance(line, QLineEdit)
    line.selectAll()
    qtbot.keyClicks(line, "the table in the shed")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert changed.shop_pages.unsaved == ["shed"]
    assert not changed.close()
    assert "shed" in changed.question.asks
    changed.shop_pages.leave()
    changed.question.button("Show them").click()
    assert changed.shop_pages.shown == "machine"
    assert editor.document.file.name == "shed"
    assert not changed.close()
    changed.question.button("Close without saving them").click()
    assert '"gusset.dxf" has changes' in changed.question.asks, "the job is asked about, too"
    changed.question.button("Don't save").click()
    assert not changed.isVisible()


def test_an_editor_that_saved_everything_asks_nothing(qtbot, window):
    window.shop_pages.show_machine()
    editor = window.shop_pages.made["machine"]
    editor.name.setText("shed")
    editor.copy.click()
    line = editor.field("title").editor
    line.selectAll()
    qtbot.keyClicks(line, "the table in the shed")
    editor.save.click()
    assert window.close()
