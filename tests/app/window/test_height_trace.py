from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QApplication

from kerfproof_app.window.program.height_picture import clock, seen_bands, seen_curve
from kerfproof_app.window.program.height_trace import HeightTrace
from kerfproof_app.work.session import Session
from support.app import panels
from support.shop import shop


@pytest.fixture
def session(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Session:
    monkeypatch.setenv("KERFPROOF_CONFIG", str(tmp_path / "config"))
    return panels.session_on(tmp_path, shop.demo("gusset"))


@pytest.fixture
def trace(session: Session, qtbot) -> HeightTrace:
    made = HeightTrace(session)
    qtbot.addWidget(made)
    made.resize(900, 150)
    made.show()
    return made


def mouse(widget, kind: QEvent.Type, x: float, held: bool = True) -> None:
    place = QPointF(x, 60)
    buttons = Qt.MouseButton.LeftButton if held else Qt.MouseButton.NoButton
    button = Qt.MouseButton.NoButton if kind is QEvent.Type.MouseMove else Qt.MouseButton.LeftButton
    event = QMouseEvent(kind, place, widget.mapToGlobal(place), button, buttons, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(widget, event)


def click(widget, x: float) -> None:
    mouse(widget, QEvent.Type.MouseButtonPress, x)
    mouse(widget, QEvent.Type.MouseButtonRelease, x, held=False)


def wheel(widget, x: float, up: int) -> None:
    place = QPointF(x, 60)
    event = QWheelEvent(
        place, widget.mapToGlobal(place), QPoint(0, 0), QPoint(0, 120 * up), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(widget, event)


def seen(trace: HeightTrace) -> tuple[float, float]:
    """Return the stretch of time in sight, in seconds."""
    return trace.scale.left, trace.scale.right


def test_it_shows_the_whole_program_at_first(session: Session, trace: HeightTrace) -> None:
    assert seen(trace) == (0.0, session.timeline.seconds)


def test_a_click_goes_to_the_moment(session: Session, trace: HeightTrace) -> None:
    x = trace.x_of(session.timeline.seconds * 0.4)
    click(trace, x)
    assert session.moment_s == pytest.approx(session.timeline.seconds * 0.4, abs=1e-6)


def test_the_wheel_zooms_about_the_pointer(session: Session, trace: HeightTrace) -> None:
    about = session.timeline.seconds * 0.3
    x = trace.x_of(about)
    wheel(trace, x, 3)
    left, right = seen(trace)
    assert right - left == pytest.approx(session.timeline.seconds * 0.8**3)
    assert trace.second_at(x) == pytest.approx(about)
    wheel(trace, x, -30)
    assert seen(trace) == (0.0, session.timeline.seconds)


def test_a_drag_moves_the_stretch_and_not_the_moment(session: Session, trace: HeightTrace) -> None:
    trace.zoom(0.25, session.timeline.seconds / 2)
    grabbed = trace.second_at(400)
    mouse(trace, QEvent.Type.MouseButtonPress, 400)
    mouse(trace, QEvent.Type.MouseMove, 380)
    mouse(trace, QEvent.Type.MouseMove, 300)
    mouse(trace, QEvent.Type.MouseButtonRelease, 300, held=False)
    assert trace.second_at(300) == pytest.approx(grabbed)
    assert session.moment_s == 0.0


def test_keys_step_zoom_and_show_all(session: Session, trace: HeightTrace, qtbot) -> None:
    qtbot.keyClick(trace, Qt.Key.Key_Right)
    assert session.moment_s == pytest.approx(session.timeline.seconds / 200)
    qtbot.keyClick(trace, Qt.Key.Key_Plus)
    assert seen(trace)[1] - seen(trace)[0] < session.timeline.seconds
    qtbot.keyClick(trace, Qt.Key.Key_Home)
    assert seen(trace) == (0.0, session.timeline.seconds)


def test_the_present_moment_stays_in_sight(session: Session, trace: HeightTrace) -> None:
    trace.zoom(0.1, 1.0)
    session.go_to(session.timeline.seconds * 0.9)
    left, right = seen(trace)
    assert left <= session.moment_s <= right


def test_the_curve_is_drawn_through_height_and_time(session: Session, trace: HeightTrace) -> None:
    heights = session.timeline.heights()
    drawn = seen_curve(trace._curve, trace.scale)
    assert len(drawn) == len(heights)
    for (t, h), (x, y) in zip(heights[::7], drawn[::7], strict=True):
        assert trace.second_at(x) == pytest.approx(t, abs=1e-6)
        assert y == pytest.approx(trace.scale.y_of(h))


def test_a_long_program_is_thinned_to_its_pixels_without_losing_a_peak(session: Session, trace: HeightTrace) -> None:
    times = np.linspace(0, session.timeline.seconds, 200_000)
    heights = np.where(np.arange(200_000) == 100_003, 40.0, np.sin(times * 40))
    trace.show_curve(np.column_stack([times, heights]), session.timeline.burning())
    drawn = seen_curve(trace._curve, trace.scale)
    assert len(drawn) <= 2 * trace.scale.field_width + 4
    assert drawn[:, 1].min() == pytest.approx(trace.scale.y_of(40.0))


def test_bands_nearer_than_a_pixel_run_together(session: Session, trace: HeightTrace) -> None:
    begins = np.linspace(0, session.timeline.seconds, 10_001)[:-1]
    many = np.column_stack([begins, begins + 0.5 * (begins[1] - begins[0])])
    assert len(seen_bands(many, trace.scale)) == 1
    few = seen_bands(session.timeline.burning(), trace.scale)
    assert len(few) == len(session.timeline.burning())
    assert len(seen_bands(np.empty((0, 2)), trace.scale)) == 0


def test_only_the_needle_is_painted_anew_while_playing(session: Session, trace: HeightTrace) -> None:
    trace.grab()
    still = trace._picture[1]
    session.go_to(5.0)
    trace.grab()
    assert trace._picture[1] is still
    session.show_inches(True)
    trace.grab()
    assert trace._picture[1] is not still


def test_the_band_is_painted_where_the_torch_burns(session: Session, trace: HeightTrace) -> None:
    picture = trace.grab().toImage()

    def ground(seconds: float) -> QColor:
        return QColor(picture.pixel(round(trace.x_of(seconds)), int(trace.scale.field_top + 14)))

    begin, end = max(session.timeline.burning().tolist(), key=lambda pair: pair[1] - pair[0])
    gap = session.timeline.burning()[1, 0] - 0.6
    burning, dark = ground(begin + (end - begin) * 0.9), ground(gap)
    assert burning != dark


def test_the_tip_tells_height_torch_and_line(session: Session, trace: HeightTrace) -> None:
    begin, end = session.timeline.burning()[0]
    tip = trace.tip_at(trace.x_of((begin + end) / 2))
    line = session.timeline.at((begin + end) / 2).line
    assert "torch on" in tip
    assert "1.5 mm" in tip
    assert tip.endswith(f"line {line}")
    session.show_inches(True)
    assert "0.059 in" in trace.tip_at(trace.x_of((begin + end) / 2))


def test_the_screen_reader_is_told_height_and_torch(session: Session, trace: HeightTrace) -> None:
    session.go_to(float(session.timeline.burning()[0].mean()))
    assert "torch on" in trace.accessibleDescription()


def test_without_a_program_it_says_what_will_stand_here(tmp_path: Path, qtbot) -> None:
    trace = HeightTrace(panels.empty(tmp_path))
    qtbot.addWidget(trace)
    trace.show()
    trace.grab()
    click(trace, 100)
    assert "no program" in trace.accessibleDescription()


def test_a_clock_shows_hours_only_where_there_are_some() -> None:
    assert clock(0) == "0:00"
    assert clock(7.5) == "0:07.5"
    assert clock(187.04) == "3:07"
    assert clock(59.96) == "1:00"
    assert clock(3661) == "1:01:01"


def test_hundreds_of_touch_offs_are_no_black_block(trace: HeightTrace) -> None:
    seconds = np.arange(40_000) / 10.0
    trace.show_curve(np.column_stack([seconds, np.where(np.arange(40_000) % 2, 25.0, -5.0)]), np.empty((0, 2)))
    trace._left, trace._right = 0.0, 4000.0
    field = trace.scale.field.toRect()
    image = trace.grab(field).toImage()
    middle = [image.pixelColor(x, image.height() // 2).lightness() for x in range(0, image.width(), 7)]
    assert np.mean(middle) > 128
