"""What is drawn, made ready to be painted while there is no plan."""

from __future__ import annotations

from dataclasses import dataclass

from kerfproof.box import Box
from kerfproof_app.window.plate.scene.path_batch import PathBatch, batch_of, grouped
from kerfproof_app.work.drawing_preview import DrawingPreview

FILLED = "part"


@dataclass(frozen=True, slots=True, eq=False)
class Sketch:
    """Drawings made ready to be painted: paths by role, as in `DrawingPreview`."""

    preview: DrawingPreview
    layers: tuple[tuple[str, PathBatch], ...]

    @property
    def sheet(self) -> Box:
        """The box of all that is drawn, with some room."""
        return self.preview.sheet

    @property
    def names(self) -> tuple[str, ...]:
        """What the drawings are called."""
        return tuple(drawing.name for drawing in self.preview.drawings)


def make_sketch(preview: DrawingPreview) -> Sketch:
    """Return drawings made ready to be painted. Holds nothing of a widget and may be made on any thread."""
    made = [(role, grouped([paths]) if role == FILLED else batch_of(paths)) for role, paths in preview.layers if paths]
    return Sketch(preview, tuple(made))
