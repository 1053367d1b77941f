"""Colours of the panels beside the plate view, for light and dark, taken from the picture's table where it has one."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QWidget

from kerfproof.errors import Severity
from kerfproof.report.picture.colors import DARK, LIGHT

# Words of programs. Against their ground each keeps a contrast of 4.5 or more; torch and stop words are bold besides.
_WORDS_LIGHT = {
    "comment": "#5C666E", "cut": "#A63F0C", "travel": "#3D4A55", "touch": "#7A3E8E", "torch": "#B3261E",
    "wait": "#0B5C8E", "stop": "#B3261E", "height": "#0A6A62", "place": "#1B2228", "pace": "#7B5600",
    "formula": "#7A3E8E", "state": "#4A5560",
}  # fmt: skip
_WORDS_DARK = {
    "comment": "#A3ABB2", "cut": "#F59A63", "travel": "#C7D0D7", "touch": "#D6A3E6", "torch": "#FF8A75",
    "wait": "#7CC4F5", "stop": "#FF8A75", "height": "#6FD3C7", "place": "#EDE9E0", "pace": "#F0C86A",
    "formula": "#D6A3E6", "state": "#B6BFC6",
}  # fmt: skip
BOLD = ("torch", "stop")

SIGNS = {Severity.ERROR: "✕", Severity.WARNING: "!", Severity.NOTE: "i"}
"""What stands in the mark of a severity, so that none is told by its colour alone."""


@dataclass(frozen=True, slots=True)
class Tones:
    """The colours of one theme."""

    dark: bool

    def __getitem__(self, role: str) -> QColor:
        return QColor((DARK if self.dark else LIGHT)[role])

    def word(self, role: str) -> QColor:
        """Return the colour of a program word."""
        return QColor((_WORDS_DARK if self.dark else _WORDS_LIGHT)[role])

    @property
    def field(self) -> QColor:
        """The ground of lists, traces and text."""
        return QColor("#171B1F" if self.dark else "#FFFFFF")

    @property
    def present(self) -> QColor:
        """The ground of the present line."""
        return QColor("#3A3320" if self.dark else "#FBEBC2")

    @property
    def needle(self) -> QColor:
        """What marks the present moment."""
        return QColor("#F6CF6A" if self.dark else "#7B5600")

    def severity(self, severity: Severity) -> tuple[QColor, QColor]:
        """Return ground and ink of the mark of a severity."""
        return self[severity.value], self[f"{severity.value}_ink"]


def is_dark(palette: QPalette) -> bool:
    """Return whether a palette is a dark one."""
    return palette.color(QPalette.ColorRole.Window).lightnessF() < 0.5


def tones_of(widget: QWidget) -> Tones:
    """Return the colours that fit the widget's palette."""
    return Tones(is_dark(widget.palette()))
