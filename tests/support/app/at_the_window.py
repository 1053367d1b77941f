"""Hands for tests of the window: wait until it rests, press and drag on the plate."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication, QPushButton

from support.shop import shop

LEFT, NONE = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
PLAIN = Qt.KeyboardModifier.NoModifier


def settle(qtbot, window) -> None:
    """Wait until nothing is left to be computed."""
    qtbot.waitUntil(
        lambda: not window.worker.is_busy and not window.background.is_busy and window.session.next_task() is None,
        timeout=20_000,
    )


def open_demo(qtbot, window, name: str = "gusset", folder: Path | None = None) -> Path:
    """Put a demo drawing into a folder, open it and wait for its proof."""
    folder = folder or window.session.memory.folder
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.dxf"
    path.write_bytes(shop.demo(name))
    window.files.open([path])
    settle(qtbot, window)
    return path


def mouse(canvas, kind: QEvent.Type, place: tuple[float, float], button=LEFT, buttons=LEFT, keys=PLAIN) -> None:
    """Send a mouse event at a place in mm."""
    point = QPointF(*canvas.camera.to_pixels(*place))
    event = QMouseEvent(kind, point, QPointF(canvas.mapToGlobal(point.toPoint())), button, buttons, keys)
    QApplication.sendEvent(canvas, event)


def hover(canvas, place: tuple[float, float]) -> None:
    """Move the pointer to a place."""
    mouse(canvas, QEvent.Type.MouseMove, place, NONE, NONE)


def click(canvas, place: tuple[float, float], keys=PLAIN) -> None:
    """Click on a place."""
    mouse(canvas, QEvent.Type.MouseButtonPress, place, keys=keys)
    mouse(canvas, QEvent.Type.MouseButtonRelease, place, buttons=NONE, keys=keys)


def drag(canvas, *places: tuple[float, float], keys=PLAIN) -> None:
    """Press at the first place, go over the others and let go at the last."""
    mouse(canvas, QEvent.Type.MouseButtonPress, places[0], keys=keys)
    for place in places[1:]:
        mouse(canvas, QEvent.Type.MouseMove, place, NONE, keys=keys)
    mouse(canvas, QEvent.Type.MouseButtonRelease, places[-1], buttons=NONE, keys=keys)


def press_key(widget, key: Qt.Key, keys=PLAIN, text: str = "") -> None:
    """Press a key."""
    QApplication.sendEvent(widget, QKeyEvent(QEvent.Type.KeyPress, key, keys, text))


def press_shortcut(qtbot, window, key: Qt.Key, keys=PLAIN) -> None:
    """Press the keys of a command. Qt gives them to the active window, so that is made sure of."""
    window.activateWindow()
    with qtbot.waitActive(window):
        pass
    qtbot.keyClick(window, key, keys)


def cut_of(window, kind: str):
    """Return the first cut of a kind."""
    return next(cut for cut in window.session.outcome.plan.cuts if cut.kind == kind)


def actions_of(panel):
    """Return the buttons that a panel offers for the finding chosen."""
    items = (panel.doing.itemAt(k) for k in range(panel.doing.count()))
    return [item.widget() for item in items if isinstance(item.widget(), QPushButton)]
