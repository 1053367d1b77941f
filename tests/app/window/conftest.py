"""A whole window on a session of its own, with nothing running when a test ends."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication

from kerfproof_app.shop import defaults, store
from kerfproof_app.shop.preferences import Memory
from kerfproof_app.shop.tip_usage import DATA_VARIABLE
from kerfproof_app.work.session import Session


@pytest.fixture(autouse=True)
def own_folder(monkeypatch, tmp_path):
    """Keep the person's own files of this machine out of the tests."""
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "config"))
    monkeypatch.setenv(DATA_VARIABLE, str(tmp_path / "data"))


@pytest.fixture
def window(qtbot, tmp_path):
    """Return an open window with nothing in it."""
    from kerfproof_app.window.main_window import MainWindow
    from kerfproof_app.window.widgets import theme

    app = QApplication.instance()
    before = app.palette(), app.font(), app.style().objectName()
    theme.load_fonts()
    store.make_folder(store.config_folder())
    defaults.set_settings(machine="contact-float-mm")
    made = MainWindow(Session(Memory(tmp_path / "config")))
    qtbot.addWidget(made)
    made.resize(1280, 720)
    with qtbot.waitActive(made):
        made.show()
    yield made
    made.files.closing = True
    made.close()
    assert made.worker._running is None or made.worker._pool.activeThreadCount() == 0
    app.setStyleSheet("")
    app.setStyle(before[2])
    app.setPalette(before[0])
    app.setFont(before[1])
    QApplication.processEvents()
