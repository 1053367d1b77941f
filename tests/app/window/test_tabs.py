from __future__ import annotations

import math

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QMenu

from support.app.at_the_window import cut_of, open_demo, settle


def on_the_outline(window):
    """Return a moment in the middle of the outline's cut, off its leads."""
    plan = window.session.outcome.plan
    number = next(k for k, cut in enumerate(plan.cuts) if cut.kind == "outline")
    run = window.session.outcome.proof.runs[number]
    line = window.session.timeline
    begin, end = line.begin[run.first_row], line.end[run.last_row]
    return begin + 0.4 * (end - begin)


def test_a_tab_is_set_where_the_scrubber_stands_and_taken_away_there(qtbot, window):
    open_demo(qtbot, window)
    window.session.go_to(on_the_outline(window))
    moment = window.session.moment
    window.commands["tab"].trigger()
    settle(qtbot, window)
    job, outcome = window.session.job, window.session.outcome
    assert len(job.tab_places) == 1
    assert len(outcome.plan.tabs) == 1
    assert window.session.verdict.startswith("PROVEN")
    x0, y0, x1, y1 = outcome.plan.tabs[0].bounds()
    assert math.dist(((x0 + x1) / 2, (y0 + y1) / 2), (moment.x, moment.y)) < 10.0
    assert "1 is set by hand" in window.pages.torch.by_hand.text()
    window.session.go_to(window.session.timeline.moment_near(moment.x, moment.y))
    window.commands["no_tab"].trigger()
    settle(qtbot, window)
    assert window.session.job.tab_places == ()


def test_a_hole_takes_no_tab_and_says_why(qtbot, window):
    open_demo(qtbot, window)
    run = window.session.outcome.proof.runs[0]
    assert window.session.outcome.plan.cuts[0].kind == "hole"
    window.session.go_to(float(window.session.timeline.begin[run.last_row]))
    window.commands["tab"].trigger()
    assert "no outline" in window.session.notice
    assert window.session.job.tab_places == ()


def test_the_menu_on_the_plate_goes_to_the_place_and_offers_the_tab(qtbot, window):
    open_demo(qtbot, window)
    cut = cut_of(window, "outline")
    s = cut.contour.segments()
    place = tuple(s.points(np.array([len(s) // 2]), np.array([0.5]))[0].tolist())
    point = QPointF(*window.canvas.camera.to_pixels(*place))
    press, right, keys = QEvent.Type.MouseButtonPress, Qt.MouseButton.RightButton, Qt.KeyboardModifier.NoModifier
    window.canvas.asked_menu.emit(QMouseEvent(press, point, window.canvas.mapToGlobal(point), right, right, keys))
    menu = next(m for m in window.findChildren(QMenu) if m.isVisible() and m.parent() is window)
    assert window.commands["tab"] in menu.actions()
    assert window.commands["go_on"] in menu.actions()
    moment = window.session.moment
    assert (moment.x, moment.y) == pytest.approx(place, abs=0.5)
    menu.close()


def test_tabs_by_hand_are_taken_away_all_at_once(qtbot, window):
    open_demo(qtbot, window)
    window.session.go_to(on_the_outline(window))
    window.commands["tab"].trigger()
    settle(qtbot, window)
    window.pages.torch.no_tabs.click()
    settle(qtbot, window)
    assert window.session.job.tab_places == ()
    assert window.pages.torch.no_tabs.isHidden()
