from __future__ import annotations

import threading

import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.window.widgets.background_work import BackgroundWork


@pytest.fixture
def aside(qtbot):
    made = BackgroundWork()
    yield made
    made.close()


def test_what_is_asked_for_last_is_told_and_what_it_overtook_is_stopped(qtbot, aside):
    stopped, begun, got = threading.Event(), threading.Event(), []

    def long(watch):
        begun.set()
        try:
            while True:
                watch("long", 0.5)
        except KerfproofError:
            stopped.set()
            raise

    aside.do(long, got.append, got.append)
    assert begun.wait(5)
    aside.do(lambda watch: "short", got.append, got.append)
    qtbot.waitUntil(lambda: not aside.is_busy)
    assert stopped.is_set()
    assert got == ["short"]


def test_a_refusal_and_a_mistake_of_ours_come_as_one_sentence(qtbot, aside):
    told = []

    def refuse(watch):
        raise KerfproofError("there is no program")

    aside.do(refuse, told.append, lambda error: told.append(str(error)))
    qtbot.waitUntil(lambda: not aside.is_busy)
    aside.do(lambda watch: 1 / 0, told.append, lambda error: told.append(str(error)))
    qtbot.waitUntil(lambda: not aside.is_busy)
    assert told[0] == "there is no program"
    assert "should not have happened (ZeroDivisionError" in told[1]


def test_progress_is_told_and_closing_waits_for_the_end(qtbot, aside):
    seen, ended = [], threading.Event()

    def work(watch):
        watch("planning", 0.25)
        try:
            while True:
                watch("planning", 0.5)
        finally:
            ended.set()

    aside.progress.connect(lambda stage, share: seen.append((stage, share)))
    aside.do(work, seen.append, seen.append)
    qtbot.waitUntil(lambda: ("planning", 0.25) in seen)
    aside.close()
    assert ended.is_set()
    assert all(share in (0.25, 0.5) for _stage, share in seen)
