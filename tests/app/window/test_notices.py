"""What is told belongs to the state of the job that it was told of, and goes with it."""

from __future__ import annotations

from kerfproof_app.work import planning
from support.app.at_the_window import LEFT, cut_of, open_demo, settle


def wait_for_stop(self, watch):
    while True:
        watch("waiting", 0.5)


def test_a_notice_of_an_edit_stays_while_it_is_checked_and_goes_when_it_is_undone(qtbot, window):
    open_demo(qtbot, window)
    session = window.session
    session.select((cut_of(window, "hole").feature,))
    page = window.pages.cuts
    page._sized(100.0)
    assert "Not as wanted" in window.question.asks
    settle(qtbot, window)
    assert "Not as wanted" in window.question.asks, "the check of the edit it was told of takes nothing away"
    session.undo()
    assert window.question.asks == ""
    settle(qtbot, window)
    assert not window.question.isVisible()


def test_a_notice_below_a_question_does_not_come_back_of_another_job(qtbot, window):
    open_demo(qtbot, window)
    window.tell("this holds for the job as it is")
    window.question.ask("Shall it?", [("Stay", lambda: None)])
    window.session.change("kerf", kerf=1.7)
    settle(qtbot, window)
    assert window.question.asks == "Shall it?", "a question is not a notice"
    qtbot.mouseClick(window.question.button("Stay"), LEFT)
    assert window.question.asks == ""


def test_that_the_job_waits_is_no_longer_told_once_it_is_checked(qtbot, window, monkeypatch):
    open_demo(qtbot, window)
    with monkeypatch.context() as held:
        held.setattr(planning.Planning, "run", wait_for_stop)
        window.session.change("kerf", kerf=1.7)
        window.commands["export"].trigger()
        assert "still being checked" in window.question.asks
        window.commands["stop"].trigger()
        settle(qtbot, window)
    assert window.question.asks.startswith("The check was stopped. Check again")
    window.commands["export"].trigger()
    assert "check was stopped, so" in window.question.asks
    assert window.question.button("Check again") is not None
    window.question.drop()
    told = [window.header.cards["safe"].answer, window.area.findings.verdict.text(), window.question.asks]
    assert all("stopped" in words for words in told), told
    assert not any("can't be planned" in words for words in told)
    qtbot.mouseClick(window.question.button("Check again"), LEFT)
    settle(qtbot, window)
    assert window.session.verdict.startswith("PROVEN")
    assert window.question.asks == ""


def test_words_to_filter_by_go_when_another_drawing_is_opened(qtbot, window):
    open_demo(qtbot, window)
    window.area.findings.search.setText("zzz")
    window.session.change("kerf", kerf=1.7)
    settle(qtbot, window)
    assert window.area.findings.search.text() == "zzz", "the same drawing, so the same question"
    window.session._saved = window.session.document
    open_demo(qtbot, window, "pump-flange")
    assert window.area.findings.search.text() == ""
