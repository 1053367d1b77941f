"""How a drawing is to be read."""

from __future__ import annotations

from dataclasses import dataclass

from kerfproof.box import Box


@dataclass(frozen=True, slots=True)
class ReadSettings:
    """What the person chose about reading.

    `mm_per_unit` overrules the file's own unit; None: as the file says. `layers` are shell patterns in any case of
    letters; empty: all layers. `window` (xmin, ymin, xmax, ymax in mm, in drawing units while the unit is unknown)
    keeps what lies wholly inside. With `text` the letters of texts are read as outlines, else texts are only listed.
    """

    mm_per_unit: float | None = None
    layers: tuple[str, ...] = ()
    window: Box | None = None
    text: bool = False
