"""The session without a window."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from functools import partial

import pytest

from kerfproof import api
from kerfproof.errors import Cancelled, KerfproofError
from kerfproof.job import inspect_drawing, reading
from kerfproof.job.job import Pin
from kerfproof.planning import plan_job, write_and_prove
from kerfproof_app.shop import store
from kerfproof_app.shop.load_shop import shop_for
from kerfproof_app.shop.preferences import Memory
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change
from support.shop import shop


@pytest.fixture
def session(tmp_path, monkeypatch):
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "config"))
    path = tmp_path / "gusset.dxf"
    path.write_bytes(shop.demo("gusset"))
    made = Session(Memory(tmp_path / "config"))
    made.open([path])
    made.settle()
    return made


def test_listeners_are_told_of_each_change_and_can_stop(session):
    heard = []
    stop = session.listen(heard.append)
    session.change("kerf", kerf=1.6)
    session.settle()
    assert heard[:2] == [Change.STATE, Change.JOB]
    assert heard[-2:] == [Change.OUTCOME, Change.STATE]
    stop()
    session.undo()
    assert len(heard) == 4


def test_a_result_of_an_older_edit_is_dropped(session):
    session.change("kerf", kerf=1.6)
    old = session.next_task()
    session.change("kerf", kerf=1.7)
    result = old.run(lambda stage, share: None)
    session.take(old, result)
    assert session.state == "checking"
    assert session.outcome is not result
    session.settle()
    assert session.outcome.process.kerf == 1.7


def test_a_drawing_is_read_once_and_a_moved_lead_plans_only_what_changed(session, monkeypatch):
    done = Counter()
    for home, name in (
        (reading, "read_dxf"),
        (inspect_drawing, "join_contours"),
        (plan_job, "prepare"),
        (write_and_prove, "prove"),
    ):
        monkeypatch.setattr(home, name, partial(_counted, done, name, getattr(home, name)))
    session.open([session.document.folder / "gusset.dxf"])
    session.settle()
    assert done == {"read_dxf": 1, "join_contours": 1, "prepare": 1, "prove": 1}
    before = session.outcome.program.text
    job = session.job
    session.change("move a lead", pins=(Pin(drawing="gusset.dxf", x=0.0, y=80.0),))
    session.settle()
    assert done == {"read_dxf": 1, "join_contours": 1, "prepare": 1, "prove": 2}
    assert session.outcome.program.text != before
    assert session.outcome.program.text == fresh_text(session)
    assert session.findings == fresh_plan(session).findings
    session.undo()
    session.settle()
    assert session.job == job
    assert session.outcome.program.text == before


def _counted(done, name, stage, *args, **named):
    done[name] += 1
    return stage(*args, **named)


def fresh_plan(session):
    return api.plan(session.job, session.sources, shop_for(session.job.machine, session.job.chart))


def fresh_text(session):
    return fresh_plan(session).program.text


def test_a_run_that_was_stopped_leaves_nothing_behind_that_the_next_could_take_for_whole(session):
    for stop_at in ("leads", "comparing with the drawing"):
        session.change("kerf", kerf=1.6)
        task = session.next_task()

        def stopping(stage, share, stop_at=stop_at):
            if stage == stop_at:
                raise Cancelled("stopped")

        with pytest.raises(Cancelled):
            task.run(stopping)
        session.undo()
        session.change("kerf and margin", kerf=1.7, margin=12.0)
        session.settle()
        assert session.outcome.program.text == fresh_text(session)
        session.undo()


def test_a_failed_plan_keeps_the_last_picture_and_says_why(session):
    before = session.outcome
    session.change("thickness", thickness=80.0)
    session.settle()
    assert session.state == "failed"
    assert session.outcome is before
    assert "no row" in session.problem.what
    with pytest.raises(KerfproofError):
        session.export(session.document.folder / "x.nc", anyway=True)


def test_the_job_saved_beside_another_drawing_of_that_name_is_refused(session, tmp_path):
    folder = tmp_path / "other"
    folder.mkdir()
    (folder / "gusset.dxf").write_bytes(b"something else")
    with pytest.raises(KerfproofError, match="another drawing"):
        session.save(folder / "job.kerfproof.toml")
    assert not (folder / "job.kerfproof.toml").exists()


def test_a_job_without_its_drawing_is_refused_with_the_place(session, tmp_path):
    folder = tmp_path / "job"
    folder.mkdir()
    path = session.save(folder / "job.kerfproof.toml")
    (folder / "gusset.dxf").unlink()
    session.open([path])
    session.settle()
    assert "gusset.dxf is missing" in session.notice


def test_drawings_and_a_job_together_are_refused(session, tmp_path):
    path = session.save(tmp_path / "job.kerfproof.toml")
    session.open([path, tmp_path / "gusset.dxf"])
    session.settle()
    assert "only drawings" in session.notice


def test_two_drawings_of_one_name_are_told_apart(session, tmp_path):
    other = tmp_path / "more" / "gusset.dxf"
    other.parent.mkdir()
    other.write_bytes(shop.demo("pump-flange"))
    session.open([other], add=True)
    session.settle()
    assert [use.name for use in session.job.drawings] == ["gusset.dxf", "gusset (2).dxf"]
    session.remove_drawing(0)
    session.settle()
    assert [use.name for use in session.job.drawings] == ["gusset (2).dxf"]


def test_a_machine_that_is_gone_is_a_sentence(session):
    session.change("machine", machine="no-such-machine")
    session.settle()
    assert session.state == "failed"
    assert "no-such-machine" in str(session.problem)


@pytest.mark.slow
def test_the_command_line_never_loads_qt_nor_the_session_does():
    code = (
        "import sys, kerfproof_app.work.session, kerfproof_app.__main__ as m; m.build(); m.main(['--help']); "
        "sys.exit(any(name.startswith('PySide6') for name in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
