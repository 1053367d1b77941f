"""A session for tests of the window's panels: a drawing opened, planned and proven, with a shop of its own."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from kerfproof.errors import no_watch
from kerfproof_app.shop import defaults
from kerfproof_app.shop.preferences import Memory
from kerfproof_app.work.session import Session
from support.shop import shop


def session_on(folder: Path, data: bytes, name: str = "part.dxf", **changes: object) -> Session:
    """Return a session with one drawing open, planned for a millimetre machine unless told otherwise."""
    path = folder / name
    path.write_bytes(data)
    session = empty(folder)
    defaults.set_settings(machine="contact-float-mm")
    session.open([path])
    if changes:
        session.settle()
        session.change("for the test", **changes)
    session.settle()
    return session


def opened(folder: Path, data: bytes, name: str = "part.dxf") -> Session:
    """Return a session with one drawing open whose job is not planned yet."""
    path = folder / name
    path.write_bytes(data)
    session = empty(folder)
    defaults.set_settings(machine="contact-float-mm")
    session.open([path])
    task = session.next_task()
    assert task is not None
    session.take(task, task.run(no_watch))
    return session


def empty(folder: Path) -> Session:
    """Return a session with nothing open."""
    return Session(Memory(folder / "memory"))


def plate_with_holes(*diameters: float) -> bytes:
    """Return a drawing of one plate, 120 x 80 mm, with round holes in a row."""

    def draw(space: object) -> None:
        space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)  # type: ignore[attr-defined]
        for number, diameter in enumerate(diameters):
            space.add_circle((20 + 30 * number, 40), diameter / 2)  # type: ignore[attr-defined]

    return shop.dxf(draw)


def outline_with_gap(gap: float) -> bytes:
    """Return a drawing of one outline, 100 x 60 mm, that does not close by `gap` mm."""

    def draw(space: object) -> None:
        corners = [(0, 0), (100, 0), (100, 60), (0, 60), (0, gap)]
        for a, b in pairwise(corners):
            space.add_line(a, b)  # type: ignore[attr-defined]

    return shop.dxf(draw)
