"""Where the plate view looks: millimetres to pixels and back. Plain numbers, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kerfproof.box import Box

CLOSEST, FARTHEST = 2000.0, 0.002
"""Pixels per mm that can be reached."""


@dataclass(frozen=True, slots=True)
class Camera:
    """`scale` pixels per mm; `x`, `y` the place in mm at the middle of a view of `width` by `height` pixels."""

    x: float = 0.0
    y: float = 0.0
    scale: float = 1.0
    width: float = 100.0
    height: float = 100.0

    def to_pixels(self, x: float, y: float) -> tuple[float, float]:
        """Return the pixel of a place."""
        return (x - self.x) * self.scale + self.width / 2, self.height / 2 - (y - self.y) * self.scale

    def to_plate(self, u: float, v: float) -> tuple[float, float]:
        """Return the place of a pixel."""
        return (u - self.width / 2) / self.scale + self.x, (self.height / 2 - v) / self.scale + self.y

    def seen(self, margin: float = 0.0) -> Box:
        """Return the box in mm that is seen, with `margin` pixels more all round."""
        x0, y1 = self.to_plate(-margin, -margin)
        x1, y0 = self.to_plate(self.width + margin, self.height + margin)
        return x0, y0, x1, y1

    def pixels_of(self, box: Box) -> tuple[float, float, float, float]:
        """Return left, top, width and height of a box in pixels."""
        (left, bottom), (right, top) = self.to_pixels(box[0], box[1]), self.to_pixels(box[2], box[3])
        return left, top, right - left, bottom - top

    def resized(self, width: float, height: float) -> Camera:
        """Return the same look in a view of another size."""
        return replace(self, width=max(width, 1.0), height=max(height, 1.0))

    def moved(self, du: float, dv: float) -> Camera:
        """Return the view dragged by pixels."""
        return replace(self, x=self.x - du / self.scale, y=self.y + dv / self.scale)

    def zoomed(self, factor: float, u: float, v: float) -> Camera:
        """Return the view enlarged by `factor` with the place under the pixel (u, v) held fast."""
        x, y = self.to_plate(u, v)
        scale = min(max(self.scale * factor, FARTHEST), CLOSEST)
        return replace(self, scale=scale, x=x - (u - self.width / 2) / scale, y=y + (v - self.height / 2) / scale)

    def fitted(self, box: Box, margin: float = 20.0, top: float = 24.0, bottom: float = 30.0) -> Camera:
        """Return the view in which a box fills what is left by `margin` pixels all round and by rulers and legend."""
        wide, high = max(box[2] - box[0], 1e-6), max(box[3] - box[1], 1e-6)
        room_w = max(self.width - 2 * margin - top, 20.0)
        room_h = max(self.height - 2 * margin - top - bottom, 20.0)
        scale = min(max(min(room_w / wide, room_h / high), FARTHEST), CLOSEST)
        x, y = (box[0] + box[2]) / 2 - top / 2 / scale, (box[1] + box[3]) / 2 - (bottom - top) / 2 / scale
        return replace(self, scale=scale, x=x, y=y)

    def centered(self, x: float, y: float, scale: float | None = None) -> Camera:
        """Return the view with a place in its middle, not farther than `scale`."""
        return replace(self, x=x, y=y, scale=self.scale if scale is None else max(self.scale, scale))
