"""Drawings that make findings."""

from __future__ import annotations

from support.shop import shop


def plate_with_tiny_hole() -> bytes:
    """Return a plate whose one hole is too small to be cut."""

    def draw(space: object) -> None:
        space.add_lwpolyline([(0, 0), (90, 0), (90, 60), (0, 60)], close=True)  # type: ignore[attr-defined]
        space.add_circle((45, 30), 0.8)  # type: ignore[attr-defined]

    return shop.dxf(draw)
