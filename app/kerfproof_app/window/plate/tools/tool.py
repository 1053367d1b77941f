"""Something the hand does on the plate view."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter

from kerfproof_app.window.plate.plate_view import PlateView

if TYPE_CHECKING:
    from kerfproof_app.window.plate.scene.picking import PickedThing


class Tool:
    """Something the hand does. `press` says whether it takes the drag, `key` whether it took the key."""

    name = ""
    cursor = Qt.CursorShape.ArrowCursor

    def __init__(self, canvas: PlateView) -> None:
        self.canvas = canvas

    def press(self, event: QMouseEvent) -> bool:
        """Take a press of the left button; True keeps the picture from being dragged."""
        return False

    def move(self, event: QMouseEvent) -> bool:
        """Take a move; True if the pointer's place is dealt with."""
        return False

    def release(self, event: QMouseEvent) -> None:
        """Take the release of the left button."""

    def key(self, event: QKeyEvent) -> bool:
        """Take a key."""
        return False

    def scene_changed(self) -> None:
        """Note that another scene is shown."""

    def leave(self) -> None:
        """Put the tool away."""

    def paint(self, painter: QPainter) -> None:
        """Paint what the tool shows."""

    def cursor_over(self, found: PickedThing | None) -> Qt.CursorShape:
        """Return the pointer's shape over a thing."""
        return self.cursor


def free_hand(event: QMouseEvent) -> bool:
    """Return whether the person does not want snapping."""
    return bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
