"""Plate, program and height trace show one moment, and all of them say when what they show is old."""

from __future__ import annotations

import math

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt

from kerfproof_app.window.plate.paint import overlay
from kerfproof_app.work import planning
from support.app.at_the_window import LEFT, click, cut_of, open_demo, press_shortcut, settle


@pytest.fixture
def torch(qtbot, window):
    """Return a window on the gusset with its program in view."""
    open_demo(qtbot, window)
    window.show_page("torch")
    window.pages.torch_tabs.setCurrentWidget(window.pages.program)
    return window


def shown_line(window):
    return window.pages.program.text.present_line


def test_a_click_on_path_line_or_trace_goes_to_the_same_moment_everywhere(qtbot, torch):
    session, canvas = torch.session, torch.canvas
    s = cut_of(torch, "outline").contour.segments()
    on_it = tuple(s.points(np.array([2]), np.array([0.3]))[0])
    click(canvas, on_it)
    first = session.moment
    assert first.torch
    assert math.dist((first.x, first.y), on_it) < 1.0
    assert shown_line(torch) == first.line
    assert torch.area.scrubber.slider.value() == pytest.approx(1000 * session.moment_s, abs=1)

    text = torch.pages.program.text
    line, above, height = next(row for row in text._margin.lines_in_sight() if row[0] == first.line - 1)
    qtbot.mouseClick(text.viewport(), LEFT, pos=QPoint(60, int(above + height / 2)))
    assert session.moment_s == pytest.approx(session.timeline.moment_of_line(line))
    assert shown_line(torch) == line
    assert torch.area.scrubber.slider.value() == pytest.approx(1000 * session.moment_s, abs=1)

    qtbot.mouseClick(
        torch.area.trace, LEFT, pos=QPoint(round(torch.area.trace.x_of(40.0)), torch.area.trace.height() // 2)
    )
    assert session.moment_s == pytest.approx(40.0, abs=0.2)
    assert shown_line(torch) == session.moment.line
    assert torch.area.scrubber.words.text().endswith(f"line {session.moment.line}")


def test_playing_moves_torch_line_and_height_and_space_stops_it(qtbot, torch):
    torch.session.go_to(20.0)
    torch.area.scrubber.speed.setCurrentIndex(torch.area.scrubber.speed.findData(100))
    qtbot.mouseClick(torch.area.scrubber.play, LEFT)
    qtbot.waitUntil(lambda: torch.session.moment_s > 30.0, timeout=5000)
    qtbot.keyClick(torch.area.scrubber.slider, Qt.Key.Key_Space)
    assert not torch.area.scrubber.playing
    moment = torch.session.moment
    assert shown_line(torch) == moment.line
    assert f"line {moment.line}" in torch.area.scrubber.words.text()


def test_while_a_change_is_checked_every_view_says_that_it_shows_the_state_before(qtbot, torch, monkeypatch, tmp_path):
    painted = []
    monkeypatch.setattr(overlay, "paint_state", lambda painter, canvas: painted.append(canvas.session.state))
    monkeypatch.setattr(planning.Planning, "run", wait_for_stop)
    old = torch.session.outcome
    torch.session.change("kerf", kerf=1.6)
    torch.canvas.repaint()
    assert torch.session.outcome is old
    assert torch.session.verdict == "checking"
    assert painted[-1] == "checking"
    assert torch.header.cards["safe"].answer.startswith("checking")
    assert "edge within" not in torch.header.cards["part"].answer
    assert "before the last change" in torch.pages.program.state.text()
    assert torch.pages.program.state.wordWrap()
    assert torch.header.cards["torch"].answer.startswith("before the last change: ")
    assert torch.area.scrubber.old.isVisible()
    torch.show_page("safe")
    assert "Checking" in torch.area.findings.verdict.text() + torch.area.findings.nothing.text()
    torch.commands["export"].trigger()
    assert "still being checked" in torch.question.asks
    with pytest.raises(Exception, match="still being checked"):
        torch.session.export(tmp_path / "old.nc", anyway=True)
    assert not (tmp_path / "old.nc").exists()
    assert not torch.canvas.tool.lead
    press_shortcut(qtbot, torch, Qt.Key.Key_Period, Qt.KeyboardModifier.ControlModifier)
    torch.canvas.repaint()
    assert painted[-1] == "failed"
    assert torch.session.why_not()
    settle(qtbot, torch)


def wait_for_stop(self, watch):
    while True:
        watch("waiting", 0.5)
