"""The scrubber: one slider that moves torch, line and height together, and plays the program."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QElapsedTimer, QEvent, QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QLabel, QSlider, QStyle, QStyleOptionSlider, QWidget

from kerfproof_app.window.program.height_picture import clock
from kerfproof_app.window.widgets.glyphs import glyph
from kerfproof_app.window.widgets.page_parts import GLOVE, line_label, row_layout, tool_button
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.scroll_safe_inputs import ChoiceBox
from kerfproof_app.window.widgets.tones import tones_of
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

SPEEDS = (1, 2, 5, 10, 20, 50, 100)
_TICK_MS = 30
_PER_SECOND = 1000


class Scrubber(Panel):
    """Slider, play and speed. The session's moment is the only state, so whatever moves it moves the slider."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setAccessibleName(self.tr("Scrubber"))
        self.back = tool_button("", lambda: self.to_light(-1), self.tr("To the light-up before"))
        self.play = tool_button("", lambda: None, self.tr("Play"))
        self.on = tool_button("", lambda: self.to_light(+1), self.tr("To the next light-up"))
        for button in (self.back, self.play, self.on):
            button.setMinimumSize(GLOVE, GLOVE)
        self.play.setCheckable(True)
        self.play.setShortcut(Qt.Key.Key_F8)
        self.play.toggled.connect(self._toggle)
        self.slider = _ClickSlider(Qt.Orientation.Horizontal)
        self.slider.setAccessibleName(self.tr("Moment of the program"))
        self.slider.setSingleStep(_PER_SECOND)
        self.slider.setPageStep(10 * _PER_SECOND)
        self.slider.valueChanged.connect(lambda value: session.go_to(value / _PER_SECOND))
        self.slider.toggle_wanted.connect(self.play.toggle)
        self.speed = ChoiceBox()
        self.speed.setAccessibleName(self.tr("Speed of playing"))
        self.speed.setToolTip(self.tr("How many seconds of the program pass in one second"))
        for times in SPEEDS:
            self.speed.addItem(f"{times}×", times)
        self.speed.setCurrentIndex(SPEEDS.index(10))
        self.words = QLabel()
        self.words.setAccessibleName(self.tr("Present moment"))
        self.old = line_label(self.tr("before the last change"), look="said")
        self.old.hide()
        row_layout(
            self.back, self.play, self.on, self.speed, (self.slider, 1), self.old, self.words,
            parent=self, margins=(8, 4, 8, 4),
        )  # fmt: skip
        self._clock = QElapsedTimer()
        self._timer = QTimer(self)
        self._timer.setInterval(_TICK_MS)
        self._timer.timeout.connect(self._tick)
        self._dress()
        self._refresh()

    def _dress(self) -> None:
        names = ("previous", "pause" if self.playing else "play", "next")
        for button, name in zip((self.back, self.play, self.on), names, strict=True):
            button.setIcon(glyph(name, tones_of(self)))

    def changeEvent(self, event: QEvent) -> None:
        """Follow another theme."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange and hasattr(self, "_timer"):
            self._dress()

    # --- following --------------------------------------------------------------------------------------------

    def told(self, change: Change) -> None:
        """Follow the session."""
        if change is Change.OUTCOME:
            self._refresh()
        elif change in (Change.MOMENT, Change.STATE):
            self._show_moment()

    def _refresh(self) -> None:
        line = self.session.timeline
        there = line is not None and line.seconds > 0
        for widget in (self.back, self.play, self.on, self.slider, self.speed):
            widget.setEnabled(there)
        if not there:
            self.play.setChecked(False)
        with QSignalBlocker(self.slider):
            self.slider.setRange(0, 0 if line is None else round(line.seconds * _PER_SECOND))
        self.words.setMinimumWidth(self._widest())
        self._show_moment()

    def _widest(self) -> int:
        line = self.session.timeline
        if line is None:
            return 0
        last = int(line.line.max()) if len(line) else 0
        return self.fontMetrics().horizontalAdvance(self._sentence(line.seconds + 0.1, line.seconds, last)) + 8

    def _sentence(self, now: float, whole: float, line: int) -> str:
        return self.tr("{0} of {1}, line {2}").format(_tenths(now), clock(whole), line)

    def _show_moment(self) -> None:
        line, moment = self.session.timeline, self.session.moment
        with QSignalBlocker(self.slider):
            self.slider.setValue(round(self.session.moment_s * _PER_SECOND))
        there = line is not None and moment is not None
        self.words.setText(self._sentence(moment.seconds, line.seconds, moment.line) if there else "")  # type: ignore[union-attr]
        self.old.setVisible(there and self.session.state != "current")

    # --- leading ----------------------------------------------------------------------------------------------

    def to_light(self, way: int) -> None:
        """Go to the next moment (`way` 1) at which the torch lights, or to the one before (-1)."""
        line = self.session.timeline
        if line is None:
            return
        lights = line.burning()[:, 0]
        now = self.session.moment_s
        found = lights[lights > now + 1e-6] if way > 0 else lights[lights < now - 1e-6]
        if len(found):
            self.session.go_to(float(np.min(found) if way > 0 else np.max(found)))
        else:
            self.session.go_to(line.seconds if way > 0 else 0.0)

    # --- playing ----------------------------------------------------------------------------------------------

    @property
    def playing(self) -> bool:
        """Whether the program plays."""
        return self._timer.isActive()

    def _toggle(self, on: bool) -> None:
        line = self.session.timeline
        if on and line is not None:
            if self.session.moment_s >= line.seconds - 1e-6:
                self.session.go_to(0.0)
            self._clock.start()
            self._timer.start()
        else:
            self._timer.stop()
        name = self.tr("Pause") if self.playing else self.tr("Play")
        self._dress()
        self.play.setToolTip(name)
        self.play.setAccessibleName(name)

    def _tick(self) -> None:
        self.advance(self._clock.restart() / 1000.0)

    def advance(self, seconds: float) -> None:
        """Let so many seconds of the person's time pass; at the end of the program the play ends."""
        line = self.session.timeline
        if line is None:
            return
        self.session.go_to(self.session.moment_s + seconds * float(self.speed.currentData()))
        if self.session.moment_s >= line.seconds:
            self.play.setChecked(False)

    def hideEvent(self, event: QHideEvent) -> None:
        """Stop playing while nobody looks."""
        self.play.setChecked(False)
        super().hideEvent(event)


class _ClickSlider(QSlider):
    """A slider whose handle goes to where it is clicked; Space asks to play."""

    toggle_wanted = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Ask to play or pause at Space."""
        if event.key() == Qt.Key.Key_Space:
            self.toggle_wanted.emit()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Bring the handle under the pointer, then go on as usual."""
        if event.button() is Qt.MouseButton.LeftButton:
            option = QStyleOptionSlider()
            self.initStyleOption(option)
            style = self.style()
            handle = style.subControlRect(
                QStyle.ComplexControl.CC_Slider, option, QStyle.SubControl.SC_SliderHandle, self
            )
            if not handle.contains(event.position().toPoint()):
                room = self.width() - handle.width()
                place = int(event.position().x()) - handle.width() // 2
                self.setValue(QStyle.sliderValueFromPosition(self.minimum(), self.maximum(), place, room))
        super().mousePressEvent(event)


def _tenths(seconds: float) -> str:
    """Return a clock that always shows tenths, so that running words do not jump."""
    text = clock(seconds)
    return text if "." in text else f"{text}.0"
