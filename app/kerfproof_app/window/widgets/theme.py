"""Light and dark: the palette of the widgets, the fonts, the few rules of style that are ours."""

from __future__ import annotations

from PySide6.QtGui import QColor, QFontDatabase, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from kerfproof.report.picture.colors import DARK, LIGHT
from kerfproof_app.shop import store
from kerfproof_app.window.widgets.pens import faded

FAMILY = "DejaVu Sans"
THEMES = ("system", "light", "dark")

_GROUND = {False: ("#FBF9F4", "#FFFFFF", "#EFEBE2", "#D9D3C6"), True: ("#1D2227", "#171B1F", "#262C32", "#3A4148")}
"""Ground of panels, of fields, of buttons, and lines."""


def load_fonts() -> None:
    """Make the fonts of the project known; a desktop's own font stays the one of the widgets if it has any."""
    for path in store.font_files():
        QFontDatabase.addApplicationFont(path)
    if QGuiApplication.platformName() in ("offscreen", "minimal"):
        font = QApplication.font()
        font.setFamily(FAMILY)
        font.setPointSizeF(9.5)
        QApplication.setFont(font)


def is_dark(theme: str) -> bool:
    """Return whether a theme is dark; ``system`` asks the desktop."""
    if theme in ("light", "dark"):
        return theme == "dark"
    hints = QGuiApplication.styleHints()
    scheme = getattr(hints, "colorScheme", None)
    return scheme is not None and scheme().name == "Dark"


def apply(app: QApplication, theme: str) -> bool:
    """Give the application a theme and return whether it is dark."""
    dark = is_dark(theme)
    if app.style().objectName().lower() != "fusion":
        app.setStyle("Fusion")
    app.setPalette(palette(dark))
    app.setStyleSheet(style(dark))
    return dark


def colours(dark: bool) -> dict[str, str]:
    """Return the table of colours by role."""
    return DARK if dark else LIGHT


def palette(dark: bool) -> QPalette:
    """Return the palette of the widgets."""
    c = colours(dark)
    ground, field, button, line = _GROUND[dark]
    made = QPalette()
    roles = QPalette.ColorRole
    for role, colour in (
        (roles.Window, ground), (roles.WindowText, c["ink"]), (roles.Base, field), (roles.AlternateBase, button),
        (roles.Text, c["ink"]), (roles.Button, button), (roles.ButtonText, c["ink"]), (roles.BrightText, "#FFFFFF"),
        (roles.ToolTipBase, field), (roles.ToolTipText, c["ink"]), (roles.PlaceholderText, c["faint"]),
        (roles.Highlight, c["good"]), (roles.HighlightedText, "#FFFFFF"), (roles.Link, c["lead_out"]),
        (roles.Mid, line), (roles.Midlight, button), (roles.Dark, line), (roles.Light, field),
    ):  # fmt: skip
        made.setColor(role, QColor(colour))
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, role, faded(QColor(c["faint"]), 150))
    return made


def style(dark: bool) -> str:
    """Return the style sheet: only what the palette can't say."""
    c = colours(dark)
    ground, field, button, line = _GROUND[dark]
    edge = "#59636C" if dark else "#B9B2A4"
    return f"""
    QToolTip {{ background: {field}; color: {c["ink"]}; border: 1px solid {line}; padding: 4px; }}
    #question {{ background: {button}; border-bottom: 1px solid {line}; }}
    #question[weight="warning"] {{ background: {c["warning"]}; color: {c["warning_ink"]}; }}
    #question[weight="warning"] QLabel {{ color: {c["warning_ink"]}; }}
    #question[weight="error"] {{ background: {c["error"]}; color: {c["error_ink"]}; }}
    #question[weight="error"] QLabel {{ color: {c["error_ink"]}; }}
    QLabel#said {{ color: {c["error"] if not dark else "#FF8A75"}; }}
    QLabel#faint {{ color: {c["faint"]}; }}
    QLabel#heading {{ font-weight: bold; }}
    QLineEdit {{ border: 1px solid {edge}; border-radius: 4px; padding: 3px 5px; background: {field}; }}
    QPlainTextEdit#lines {{ border: 1px solid {edge}; border-radius: 4px; background: {field}; }}
    QPlainTextEdit#lines[readOnly="true"] {{ background: {ground}; }}
    QLineEdit:focus, QPlainTextEdit#lines:focus {{ border: 1px solid {c["good"]}; }}
    QAbstractSpinBox QLineEdit, QComboBox QLineEdit {{ border: none; padding: 0; }}
    QCheckBox::indicator {{ width: 13px; height: 13px; border: 1px solid {c["faint"]}; border-radius: 3px;
        background: {field}; }}
    QCheckBox::indicator:checked {{ background: {c["good"]}; border: 3px double {field}; }}
    QCheckBox::indicator:focus {{ border-color: {c["lead_in"]}; }}
    QLineEdit[wrong="true"] {{ border: 2px solid {c["error"]}; }}
    QPushButton#card {{ text-align: left; padding: 6px 12px; border: 1px solid {line}; border-radius: 7px;
        background: {field}; }}
    QPushButton#card:checked {{ border: 2px solid {c["good"]}; padding: 5px 11px; }}
    QPushButton#card:focus {{ border: 2px solid {c["lead_in"]}; padding: 5px 11px; }}
    QPushButton#export {{ background: {c["good"]}; color: {c["good_ink"]}; font-weight: bold; border-radius: 7px;
        padding: 8px 18px; border: 1px solid {c["good"]}; }}
    QPushButton#export:focus {{ border: 2px solid {c["ink"]}; padding: 7px 17px; }}
    QPushButton#export:disabled {{ background: {button}; color: {c["faint"]}; border: 1px solid {line}; }}
    QSplitter::handle {{ background: {line}; }}
    """
