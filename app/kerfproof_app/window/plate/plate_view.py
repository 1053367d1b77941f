"""What tools, legend and the paint over the picture know of the widget that shows the plate."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QFont

from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.work.session import Session

if TYPE_CHECKING:  # a picture of a plan is made off the window's thread, and so is what it needs loaded
    from kerfproof_app.window.plate.scene.drawing_sketch import Sketch
    from kerfproof_app.window.plate.scene.picking import PickedThing, Picker
    from kerfproof_app.window.plate.scene.plate_scene import Scene


@dataclass(frozen=True, slots=True)
class Shown:
    """What of the picture is wanted."""

    kerf: bool = True
    travel: bool = True
    numbers: bool = True
    craters: bool = True
    directions: bool = True
    callouts: bool = True
    deviation: bool = True
    names: bool = True


class PlateView(Protocol):
    """A view of the plate: what it shows, from where, and what lies under a pixel."""

    session: Session
    scene: Scene | None
    sketch: Sketch | None
    picker: Picker | None
    camera: Camera
    shown: Shown
    found: PickedThing | None

    @property
    def colours(self) -> dict[str, str]:
        """The table of colours by role."""
        ...

    def width(self) -> int:
        """Return the width in pixels."""
        ...

    def height(self) -> int:
        """Return the height in pixels."""
        ...

    def font(self) -> QFont:
        """Return the font of the words on it."""
        ...

    def update(self) -> None:
        """Paint again what lies over the picture."""
        ...

    def setCursor(self, cursor: Qt.CursorShape, /) -> None:
        """Give the pointer another shape."""
        ...

    def place_of(self, point: QPointF) -> tuple[float, float]:
        """Return the place in mm under a pixel."""
        ...

    def thing_at(self, point: QPointF) -> PickedThing | None:
        """Return what lies under a pixel."""
        ...

    def fly_to(self, x: float, y: float, scale: float = 6.0) -> None:
        """Bring a place to the middle, near enough to see it."""
        ...

    def put_tool_away(self) -> None:
        """Go back to the tool that selects."""
        ...

    def tell_place(self, x: float, y: float, words: str) -> None:
        """Tell in the line below the plate what is at a place."""
        ...
