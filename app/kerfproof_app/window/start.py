"""``kerfproof window [FILE]``: the application, its window, the file to open."""

from __future__ import annotations

import builtins
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kerfproof_app.shop.gc_tuning import IN_A_WINDOW, collect_seldom

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication, QSplashScreen

    from kerfproof_app.window.main_window import MainWindow


def run(arguments: Sequence[str]) -> int:
    """Open the window, with files if some are named; return when it is closed.

    Raises
    ------
    KerfproofError
        If Qt is not installed or finds no display.
    """
    app = _bare()
    sign = sign_of_life()
    application()
    window = opened([Path(name) for name in arguments])
    window.show()
    sign.finish(window)
    return int(app.exec())


def application() -> QApplication:
    """Return the application with its name and fonts; made if there is none yet."""
    app = _bare()
    from kerfproof_app.window.widgets import theme

    app.setApplicationName("kerfproof")
    app.setApplicationDisplayName("Kerfproof")
    theme.load_fonts()
    return app


def _bare() -> QApplication:
    """Return the application with nothing but Qt loaded."""
    plain = builtins.__import__
    from PySide6.QtWidgets import QApplication

    builtins.__import__ = plain  # Qt's hook serves `from __feature__`, unused here, and slows every import after it
    app = QApplication.instance() or QApplication([sys.argv[0]])
    assert isinstance(app, QApplication)
    return app


def sign_of_life() -> QSplashScreen:
    """Show the program's name while the rest of it loads, and return what shows it."""
    from PySide6.QtCore import Qt
    from PySide6.QtGui import QPixmap
    from PySide6.QtWidgets import QApplication, QSplashScreen

    paper = QPixmap(360, 110)
    paper.fill(QApplication.palette().window().color())
    sign = QSplashScreen(paper)
    font = sign.font()
    font.setPointSizeF(font.pointSizeF() * 2.2)
    sign.setFont(font)
    sign.show()
    sign.showMessage("Kerfproof", int(Qt.AlignmentFlag.AlignCenter), QApplication.palette().windowText().color())
    QApplication.processEvents()
    return sign


def opened(paths: Sequence[Path]) -> MainWindow:
    """Return the window with files on their way into it."""
    collect_seldom(IN_A_WINDOW)
    from kerfproof_app.window.main_window import MainWindow
    from kerfproof_app.work.session import Session

    session = Session()
    window = MainWindow(session, opens=bool(paths))
    window.files.offer_recovery()
    if paths:
        window.files.open(paths)
    elif not session.memory.get("cautions_seen", False):
        session.memory.put("cautions_seen", True)
        window.shop_pages.show_cautions()
    return window
