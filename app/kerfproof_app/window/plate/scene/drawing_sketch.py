"""What is drawn, made ready to be painted while there is no plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof_app.window.plate.camera import Box
from kerfproof_app.window.plate.scene.path_batch import PathBatch, batch_of, grouped
from kerfproof_app.work.drawing_preview import Sight

FILLED = "part"


@dataclass(frozen=True, slots=True, eq=False)
class Sketch:
    """Drawings made ready to be painted: paths by role, as in `Sight`."""

    sight: Sight
    layers: tuple[tuple[str, PathBatch], ...]

    @property
    def sheet(self) -> Box:
        """The box of all that is drawn, with some room."""
        return self.sight.sheet

    @property
    def names(self) -> tuple[str, ...]:
        """What the drawings are called."""
        return tuple(drawing.name for drawing in self.sight.drawings)


def make_sketch(sight: Sight) -> Sketch:
    """Return drawings made ready to be painted. Holds nothing of a widget and may be made on any thread."""
    made = [
        (role, grouped([paths]) if role == FILLED else batch_of(paths, np.arange(len(paths))))
        for role, paths in sight.layers
        if paths
    ]
    return Sketch(sight, tuple(made))
