"""Long work, undo, saving, exporting, recovery, what the window remembers."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading

import pytest
from PySide6.QtCore import Qt

from kerfproof.errors import Cancelled
from kerfproof.job.job import SmallHoles
from kerfproof_app.shop import store
from kerfproof_app.shop.preferences import Memory
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change
from support.app.at_the_window import cut_of, drag, open_demo, settle
from support.drawings import faulty_drawings
from support.shop import shop


def test_the_newest_edit_wins_and_an_older_proof_is_never_shown_as_new(qtbot, window):
    open_demo(qtbot, window)
    shown = []
    window.session.listen(
        lambda change: change is Change.OUTCOME and shown.append((window.session.outcome.job, window.session.job))
    )
    for kerf in (1.5, 1.6, 1.7, 1.8):
        window.session.change("kerf", kerf=kerf)
        assert window.session.state == "checking"
        assert window.header.cards["safe"].answer.startswith("checking")
    settle(qtbot, window)
    assert window.session.outcome.process.kerf == 1.8
    assert all(made is wanted for made, wanted in shown)


def test_a_stopped_check_says_so_and_can_be_taken_up_again(qtbot, window, monkeypatch):
    open_demo(qtbot, window)
    reached = []

    def slow(self, watch):
        reached.append(self)
        while True:
            watch("slow", 0.5)

    from kerfproof_app.work import planning

    monkeypatch.setattr(planning.Planning, "run", slow)
    window.session.change("kerf", kerf=1.6)
    qtbot.waitUntil(lambda: bool(reached), timeout=5000)
    assert window.header.stop.isVisible()
    window.header.stop.click()
    qtbot.waitUntil(lambda: window.session.state == "failed", timeout=5000)
    assert "stopped" in window.session.problem.what
    assert window.session.why_not()
    monkeypatch.undo()
    os.environ["KERFPROOF_CONFIG"] = str(window.session.memory.folder)
    window.commands["check"].trigger()
    settle(qtbot, window)
    assert window.session.outcome.process.kerf == 1.6


def test_stop_is_answered_at_once_and_what_is_wanted_meanwhile_waits_for_the_thread(qtbot, window, monkeypatch):
    from kerfproof_app.work import planning

    open_demo(qtbot, window)
    whole, deaf, heard = planning.Planning.run, threading.Event(), threading.Event()
    at_once, ended = [], []

    def run(self, watch):
        at_once.append(self.document.job.kerf)
        assert len(at_once) - len(ended) == 1, "never two at a time"
        try:
            if not deaf.is_set():
                heard.set()
                deaf.wait(10)
            return whole(self, watch)
        finally:
            ended.append(True)

    monkeypatch.setattr(planning.Planning, "run", run)
    window.session.change("kerf", kerf=1.6)
    qtbot.waitUntil(heard.is_set, timeout=5000)
    window.header.stop.click()
    assert window.session.state == "failed", "said before the thread has noticed"
    assert not window.header.stop.isVisible()
    assert window.worker.is_busy
    window.session.change("kerf", kerf=1.7)
    assert window.session.state == "checking"
    deaf.set()
    settle(qtbot, window)
    assert at_once == [1.6, 1.7]
    assert window.session.outcome.process.kerf == 1.7
    assert window.session.state == "current"


def test_an_opening_that_is_stopped_lets_the_check_it_overtook_go_on(qtbot, window, monkeypatch, tmp_path):
    from kerfproof_app.work import opening

    open_demo(qtbot, window)
    reached = threading.Event()

    def slow(self, watch):
        reached.set()
        while True:
            watch("reading", 0.5)

    monkeypatch.setattr(opening.Opening, "run", slow)
    window.session.change("kerf", kerf=1.6)
    window.files.open([tmp_path / "big.dxf"], add=True)
    qtbot.waitUntil(reached.is_set, timeout=5000)
    assert window.header.cards["safe"].answer.startswith("opening")
    window.commands["stop"].trigger()
    settle(qtbot, window)
    assert window.session.state == "current"
    assert window.session.outcome.process.kerf == 1.6
    assert [use.name for use in window.session.job.drawings] == ["gusset.dxf"]


def test_a_fault_in_the_work_is_a_sentence_not_a_traceback(qtbot, window, monkeypatch):
    from kerfproof_app.work import planning

    def broken(self, watch):
        raise ZeroDivisionError("planted")

    monkeypatch.setattr(planning.Planning, "run", broken)
    path = window.session.memory.folder / "gusset.dxf"
    open_demo(qtbot, window)
    assert window.session.state == "failed"
    assert "should not have happened" in window.session.problem.what
    assert window.question.isVisible()
    assert path.exists()


def test_undo_and_redo_reach_every_change(qtbot, window):
    open_demo(qtbot, window)
    session = window.session
    jobs = [session.job]
    session.change("kerf", kerf=1.7)
    jobs.append(session.job)
    session.change("role", roles=())
    session.change("margin", margin=20.0)
    jobs.append(session.job)
    window.commands["switch_unit"].trigger()
    for job in reversed(jobs[:-1]):
        session.undo()
        assert session.job == job
    for job in jobs[1:]:
        session.redo()
        assert session.job == job
    settle(qtbot, window)
    assert "margin" in window.commands["undo"].text()


def test_a_job_is_saved_reopened_and_exported_byte_for_byte(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    drag(window.canvas, cut_of(window, "outline").pierce, (60.0, 100.0), (11.0, 90.0))
    settle(qtbot, window)
    folder = tmp_path / "jobs"
    folder.mkdir()
    path = window.session.save(folder / "bracket.kerfproof.toml")
    window.exports.program.export_to(folder / "one.nc")
    text = path.read_bytes()
    assert (folder / "gusset.dxf").exists()
    window.files.close_work()
    window.files.open([path])
    settle(qtbot, window)
    assert not window.session.unsaved
    window.session.save()
    assert path.read_bytes() == text
    window.exports.program.export_to(folder / "two.nc")
    assert (folder / "two.nc").read_bytes() == (folder / "one.nc").read_bytes()


def test_export_keeps_the_file_before_and_remembers_folder_and_pattern(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    target = tmp_path / "out" / "gusset-3mm.nc"
    target.parent.mkdir()
    target.write_text("the program of yesterday")
    window.exports.program.export_to(target)
    assert target.read_text() == window.session.outcome.program.text
    assert (target.parent / "gusset-3mm.nc.bak").read_text() == "the program of yesterday"
    assert window.exports.program.export_folder == target.parent
    window.files.close_work()
    open_demo(qtbot, window, "pump-flange")
    assert window.exports.program.export_name == "pump-flange-3mm.nc"


def hole_too_small(path):
    path.write_bytes(faulty_drawings.plate_with_tiny_hole())
    return path


def test_an_unproven_program_is_written_only_after_a_plain_question(qtbot, window, tmp_path):
    window.files.open([hole_too_small(tmp_path / "tiny.dxf")])
    settle(qtbot, window)
    window.session.change("for the test", small_holes=SmallHoles.ERROR)
    settle(qtbot, window)
    assert window.session.verdict == "NOT PROVEN"
    window.commands["export"].trigger()
    assert "not proven" in window.question.asks
    assert window.question.button("No") is not None
    window.question.button("No").click()
    assert not window.question.isVisible()
    target = tmp_path / "tiny.nc"
    window.exports.program.export_to(target)
    assert not target.exists()
    window.question.button("Write it, marked NOT PROVEN").click()
    assert target.read_text().splitlines()[0].startswith("(NOT PROVEN") or "NOT PROVEN" in target.read_text()[:200]


def test_unsaved_changes_are_asked_about_in_the_window_before_it_closes(qtbot, window):
    open_demo(qtbot, window)
    window.session.change("kerf", kerf=1.6)
    settle(qtbot, window)
    assert not window.close()
    assert window.isVisible()
    assert "not saved" in window.question.asks
    window.question.button("Stay").click()
    assert window.isVisible()
    window.close()
    window.question.button("Don't save").click()
    assert not window.isVisible()


def test_work_is_recovered_after_a_crash(qtbot, window):
    open_demo(qtbot, window)
    session = window.session
    session.change("kerf", kerf=1.77)
    session.keep()
    kept = session.memory.folder / "unfinished"
    own = kept / str(os.getpid())
    assert own.is_dir()
    own.rename(kept / "999999999")  # as if the process that wrote it had died
    session.close()
    window.files.offer_recovery()
    open_demo(qtbot, window, "pump-flange")
    window.files.close_work()
    assert "gusset.dxf" in window.question.asks
    window.question.button("Go on with it").click()
    settle(qtbot, window)
    assert session.job.kerf == 1.77
    assert session.verdict.startswith("PROVEN")
    assert not (kept / "999999999").exists()


KILLED = """
import os, signal, sys
from pathlib import Path
from PySide6.QtCore import QEventLoop, QTimer
from kerfproof_app.window.start import application, opened
app = application()
window = opened([Path(sys.argv[1])])
loop = QEventLoop()
window.worker.made.connect(lambda scene: loop.quit())
loop.exec()
window.session.change("kerf", kerf=1.77)
window._autosave.timeout.connect(lambda: os.kill(os.getpid(), signal.SIGKILL))
app.exec()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such signal")
def test_a_window_that_was_killed_is_taken_up_by_the_next(qtbot, window, tmp_path):
    path = tmp_path / "gusset.dxf"
    path.write_bytes(shop.demo("gusset"))
    surroundings = {**os.environ, store.CONFIG_VARIABLE: str(window.session.memory.folder)}
    done = subprocess.run([sys.executable, "-c", KILLED, str(path)], env=surroundings, check=False, timeout=60)
    assert done.returncode == -signal.SIGKILL
    window.files.offer_recovery()
    assert "gusset.dxf" in window.question.asks
    qtbot.mouseClick(window.question.button("Go on with it"), Qt.MouseButton.LeftButton)
    settle(qtbot, window)
    assert window.session.job.kerf == 1.77
    assert window.session.verdict.startswith("PROVEN")
    assert window.session.unsaved


def test_a_closed_window_leaves_nothing_to_recover(qtbot, window):
    open_demo(qtbot, window)
    window.files.closing = True
    window.close()
    assert Memory(window.session.memory.folder).unfinished() == ()


def test_theme_units_and_page_are_remembered(qtbot, window):
    window.show_theme("dark")
    window.session.show_inches(True)
    window.show_page("torch")
    window.area.show_trace(False)
    again = Memory(window.session.memory.folder)
    assert again.get("theme") == "dark"
    assert Session(again).shown_inches
    assert again.get("page") == "torch"
    assert again.get("trace") is False


def test_a_broken_memory_is_as_none(tmp_path):
    (tmp_path / "window.json").write_text("{not json")
    memory = Memory(tmp_path)
    assert memory.recent == ()
    memory.put("theme", "dark")
    assert Memory(tmp_path).get("theme") == "dark"


def test_what_cannot_be_planned_is_said_with_a_way_back(qtbot, window):
    open_demo(qtbot, window)
    window.session.change("thickness", thickness=80.0)
    settle(qtbot, window)
    assert window.session.state == "failed"
    assert "no row for mild steel" in window.question.asks
    window.question.button("Undo").click()
    settle(qtbot, window)
    assert window.session.verdict.startswith("PROVEN")
    assert not window.question.isVisible()


@pytest.mark.parametrize("stopped", [Cancelled("x")])
def test_a_cancelled_opening_leaves_nothing(tmp_path, stopped):
    session = Session(Memory(tmp_path))
    session.open([tmp_path / "none.dxf"])
    session.fail(session.next_task(), stopped)
    assert session.next_task() is None
    assert session.state == "empty"
