"""``kerfproof window [FILE]``: the application, its window, the file to open."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from kerfproof_app.window.main_window import MainWindow


def run(arguments: Sequence[str]) -> int:
    """Open the window, with files if some are named; return when it is closed.

    Raises
    ------
    KerfproofError
        If Qt is not installed or finds no display.
    """
    app = application()
    window = opened([Path(name) for name in arguments])
    window.show()
    return int(app.exec())


def application() -> QApplication:
    """Return the application with its name and fonts; made if there is none yet."""
    from PySide6.QtWidgets import QApplication

    import kerfproof_app.session  # noqa: F401 - libraries load faster before Qt hooks into imports
    from kerfproof_app.window import theme

    app = QApplication.instance() or QApplication([sys.argv[0]])
    assert isinstance(app, QApplication)
    app.setApplicationName("kerfproof")
    app.setApplicationDisplayName("Kerfproof")
    theme.load_fonts()
    return app


def opened(paths: Sequence[Path]) -> MainWindow:
    """Return the window with files on their way into it."""
    from kerfproof_app.session import Session
    from kerfproof_app.window.main_window import MainWindow

    session = Session()
    window = MainWindow(session)
    window.files.offer_recovery()
    if paths:
        window.open_files(paths)
    elif not session.memory.get("cautions_seen", False):
        session.memory.put("cautions_seen", True)
        window.show_guide("cautions")
    return window
