"""The question of a drawing's unit, with every possible size drawn to scale beside a hand."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QLabel, QPushButton, QWidget

from kerfproof.units import format_size
from kerfproof_app.window.widgets.page_parts import (
    TextLabel,
    clear,
    column_layout,
    left,
    page_of,
    push_button,
    row_layout,
)
from kerfproof_app.window.widgets.panel import Panel
from kerfproof_app.window.widgets.pens import faded, thin_pen
from kerfproof_app.window.widgets.tones import tones_of
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change

UNITS = (("mm", 1.0), ("cm", 10.0), ("in", 25.4))
HAND = (100.0, 190.0)
"""Breadth with the thumb and length of an adult's hand, mm: a round figure, common knowledge."""


class SizePicture(QWidget):
    """The drawing's box in one unit, to scale with a hand."""

    def __init__(self, size: tuple[float, float], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.mm = size
        self.setMinimumSize(150, 150)
        self.setAccessibleName(self.tr("Size beside a hand"))

    def sizeHint(self) -> QSize:
        """Return a size that shows both."""
        return QSize(230, 200)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the box and the hand, both in one scale."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        tones = tones_of(self)
        wide = self.mm[0] + HAND[0] + 0.12 * max(self.mm[0], HAND[1])
        high = max(self.mm[1], HAND[1])
        scale = min((self.width() - 16) / wide, (self.height() - 16) / high)
        base = self.height() - 8.0
        left = (self.width() - wide * scale) / 2
        box = QRectF(left, base - self.mm[1] * scale, max(self.mm[0] * scale, 1.5), max(self.mm[1] * scale, 1.5))
        painter.setPen(QPen(tones["plate_edge"], 1.5))
        painter.setBrush(tones["plate"])
        painter.drawRect(box)
        painter.setPen(QPen(tones["faint"], 1.2))
        painter.setBrush(faded(tones["hot"], 90))
        painter.translate(left + wide * scale - HAND[0] * scale, base)
        painter.scale(scale, -scale)
        painter.setPen(thin_pen(painter, tones["faint"], 1.2))
        painter.drawPath(hand())
        painter.end()


def hand() -> QPainterPath:
    """Return the outline of an open hand, wrist at the bottom, 100 by 190 mm."""
    palm = QPainterPath()
    palm.addRoundedRect(QRectF(20, 0, 72, 98), 22, 22)
    fingers = [(20, 84, 16, 70), (38, 84, 17, 100), (57, 84, 17, 106), (76, 84, 16, 92)]
    for x, y, wide, long in reversed(fingers):
        finger = QPainterPath()
        finger.addRoundedRect(QRectF(x, y - 14, wide, long + 14), wide / 2, wide / 2)
        palm = palm.united(finger)
    thumb = QPainterPath(QPointF(24, 20))
    thumb.cubicTo(QPointF(6, 44), QPointF(-4, 76), QPointF(1, 98))
    thumb.cubicTo(QPointF(4, 110), QPointF(18, 108), QPointF(19, 96))
    thumb.cubicTo(QPointF(21, 78), QPointF(28, 66), QPointF(42, 56))
    thumb.closeSubpath()
    return palm.united(thumb)


class UnitQuestion(Panel):
    """Asks for the unit of a drawing that does not say it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setAccessibleName(self.tr("Unit of the drawing"))
        self.title = TextLabel(look="heading")
        self.choices = row_layout()
        self.buttons: dict[str, QPushButton] = {}
        self.give_up = push_button(self.tr("Don't open it"), lambda: self._answer(None))
        column_layout(1, self.title, self.choices, left(self.give_up), 2, parent=self, margins=(32, 24, 32, 24))

    def told(self, change: Change) -> None:
        """Ask when the session does."""
        if change is Change.QUESTION and self.session.question is not None:
            self._ask()

    def _ask(self) -> None:
        question = self.session.question
        assert question is not None
        self.title.setText(
            self.tr("{name} does not say its unit. How large is the part? The hand is drawn to the same scale.").format(
                name=question.where
            )
        )
        clear(self.choices)
        self.buttons = {}
        size = question.size or (0.0, 0.0)
        for unit, mm in UNITS:
            self.choices.addWidget(self._choice(unit, mm, (size[0] * mm, size[1] * mm)), 1)
        self.buttons["mm"].setFocus()

    def _choice(self, unit: str, mm: float, size: tuple[float, float]) -> QWidget:
        decimals = [round(v, 1 if v > 10 else 3) for v in size]
        inches = format_size(round(size[0], 2), round(size[1], 2), inches=True)
        both = f"{format_size(decimals[0], decimals[1])}  =  {inches}".replace("x", " × ")
        words = QLabel(both)
        words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        names = {"mm": self.tr("Millimetres"), "cm": self.tr("Centimetres"), "in": self.tr("Inches")}
        said = self.tr("Drawn in {unit}").format(unit=names[unit].lower())
        button = self.buttons[unit] = push_button(said, lambda: self._answer(mm), height=34)
        button.setAccessibleDescription(both)
        return page_of(column_layout((SizePicture(size), 1), words, button))

    def _answer(self, mm: float | None) -> None:
        self.session.answer_unit(mm)
