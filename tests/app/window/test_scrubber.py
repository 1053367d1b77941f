from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from kerfproof_app.window.program.height_trace import HeightTrace
from kerfproof_app.window.program.program_view import ProgramView
from kerfproof_app.window.program.scrubber import SPEEDS, Scrubber
from kerfproof_app.work.session import Session
from support.app import panels
from support.shop import shop


@pytest.fixture
def session(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Session:
    monkeypatch.setenv("KERFPROOF_CONFIG", str(tmp_path / "config"))
    return panels.session_on(tmp_path, shop.demo("gusset"))


@pytest.fixture
def scrubber(session: Session, qtbot) -> Scrubber:
    made = Scrubber(session)
    qtbot.addWidget(made)
    made.resize(800, 40)
    made.show()
    return made


def test_slider_line_and_height_move_together(session: Session, scrubber: Scrubber, qtbot) -> None:
    program, trace = ProgramView(session), HeightTrace(session)
    for widget in (program, trace):
        qtbot.addWidget(widget)
        widget.show()
    scrubber.slider.setValue(30_000)
    moment = session.timeline.at(30.0)
    assert session.moment_s == 30.0
    assert program.text.present_line == moment.line
    assert "At 0:30" in trace.accessibleDescription()
    assert scrubber.words.text().startswith("0:30.0 of ")
    assert scrubber.words.text().endswith(f"line {moment.line}")


def test_the_slider_follows_whatever_moves_the_moment(session: Session, scrubber: Scrubber) -> None:
    session.go_to(12.5)
    assert scrubber.slider.value() == 12_500
    assert scrubber.slider.maximum() == round(session.timeline.seconds * 1000)


def test_speeds_reach_from_one_to_a_hundred(scrubber: Scrubber) -> None:
    offered = [scrubber.speed.itemData(k) for k in range(scrubber.speed.count())]
    assert offered == list(SPEEDS)
    assert (offered[0], offered[-1]) == (1, 100)


@pytest.mark.parametrize("times", SPEEDS)
def test_playing_takes_the_speed_chosen(session: Session, scrubber: Scrubber, times: int) -> None:
    scrubber.speed.setCurrentIndex(SPEEDS.index(times))
    scrubber.advance(0.25)
    assert session.moment_s == pytest.approx(min(0.25 * times, session.timeline.seconds))


def test_play_moves_the_program_until_its_end(session: Session, scrubber: Scrubber, qtbot) -> None:
    session.go_to(session.timeline.seconds - 2.0)
    scrubber.speed.setCurrentIndex(SPEEDS.index(100))
    scrubber.play.click()
    assert scrubber.playing
    assert scrubber.play.accessibleName() == "Pause"
    qtbot.waitUntil(lambda: not scrubber.playing, timeout=3000)
    assert session.moment_s == session.timeline.seconds
    assert not scrubber.play.isChecked()


def test_play_at_the_end_begins_anew(session: Session, scrubber: Scrubber) -> None:
    session.go_to(session.timeline.seconds)
    scrubber.play.click()
    assert session.moment_s < session.timeline.seconds
    scrubber.play.click()
    assert not scrubber.playing


def test_space_on_the_slider_plays_and_pauses(scrubber: Scrubber, qtbot) -> None:
    qtbot.keyClick(scrubber.slider, Qt.Key.Key_Space)
    assert scrubber.playing
    qtbot.keyClick(scrubber.slider, Qt.Key.Key_Space)
    assert not scrubber.playing


def test_the_jumps_go_from_light_up_to_light_up(session: Session, scrubber: Scrubber) -> None:
    lights = session.timeline.burning()[:, 0]
    scrubber.on.click()
    assert session.moment_s == pytest.approx(lights[0])
    scrubber.on.click()
    assert session.moment_s == pytest.approx(lights[1])
    assert session.moment.torch
    scrubber.back.click()
    scrubber.back.click()
    assert session.moment_s == 0.0


def test_a_click_beside_the_handle_brings_it_there(session: Session, scrubber: Scrubber, qtbot) -> None:
    slider = scrubber.slider
    qtbot.mousePress(slider, Qt.MouseButton.LeftButton, pos=slider.rect().center())
    qtbot.mouseRelease(slider, Qt.MouseButton.LeftButton, pos=slider.rect().center())
    assert session.moment_s == pytest.approx(session.timeline.seconds / 2, rel=0.03)


def test_it_stops_playing_when_hidden(scrubber: Scrubber) -> None:
    scrubber.play.click()
    scrubber.hide()
    assert not scrubber.playing


def test_without_a_program_nothing_can_be_played(tmp_path: Path, qtbot) -> None:
    scrubber = Scrubber(panels.empty(tmp_path))
    qtbot.addWidget(scrubber)
    assert not scrubber.play.isEnabled()
    assert not scrubber.slider.isEnabled()
    scrubber.to_light(1)
    scrubber.advance(1.0)
    assert scrubber.words.text() == ""
