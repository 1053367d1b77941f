"""What is drawn, to be looked at while there is no plan: the lines as they were read, or with what is wrong marked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kerfproof.box import Box
from kerfproof.errors import Finding, KerfproofError, NothingToCut, Watch
from kerfproof.job.job import DrawingUse
from kerfproof.memo import Memo
from kerfproof_app.work.documents import JobDocument

if TYPE_CHECKING:  # a window with nothing open is seen before any of these is loaded
    from kerfproof.geom.path import Path
    from kerfproof.job.reading import Drawing
    from kerfproof.report.picture.flags import Callout

Point = tuple[float, float]
LINES = "drawn"
"""Role of lines of which nobody has looked yet what they are."""
APART = 0.08
"""Room between drawings and round them, in shares of the largest."""


@dataclass(frozen=True, slots=True, eq=False)
class DrawingPreview:
    """The drawings of a job by themselves, side by side; one alone stays in its own coordinates (mm).

    `layers` are paths by their role in a picture. With `marked`, contours are joined and sorted, `rings` are places
    where one goes wrong, and `callouts` the findings of a drawing that holds nothing to cut. `shifts` say by drawing
    how far it is moved.
    """

    drawings: tuple[Drawing, ...]
    sheet: Box
    layers: tuple[tuple[str, tuple[Path, ...]], ...]
    marked: bool = False
    rings: tuple[Point, ...] = ()
    callouts: tuple[Callout, ...] = ()
    shifts: Mapping[str, Point] = field(default_factory=dict)

    def place_of(self, finding: Finding) -> Point | None:
        """Return where a finding lies on the sheet, None if it does not say."""
        if finding.x is None or finding.y is None:
            return None
        return _plus((finding.x, finding.y), self.shifts.get(finding.drawing, (0.0, 0.0)))


@dataclass(frozen=True, slots=True, eq=False)
class PreviewTask:
    """The drawings of a state of the work to be looked at; `refused` says why there is no plan, once that is known.

    What is read and joined stays in the `memo`. One task at a time may work on it.
    """

    number: int
    document: JobDocument
    memo: Memo = field(default_factory=Memo)
    refused: KerfproofError | None = None

    def run(self, watch: Watch) -> DrawingPreview:
        """Return what is drawn.

        Raises
        ------
        KerfproofError
            If it can't be read, holds no line, or the watch stops it.
        """
        return self._lines(watch) if self.refused is None else self._marked(watch)

    def _read(self, use: DrawingUse, watch: Watch) -> Drawing:
        from kerfproof.job.reading import read_once, reading

        data = self.document.sources[use.name]
        drawing = read_once(self.memo, data, use.name, reading(self.document.job, use), watch)
        if use.mirror or use.turn_deg % 360:
            from kerfproof.job.placing import turned

            drawing = turned(drawing, use)
        return drawing

    def _lines(self, watch: Watch) -> DrawingPreview:
        drawings = tuple(self._read(use, watch) for use in self.document.job.drawings)
        shifts, sheet = _side_by_side(drawings)
        lines: list[Path] = []
        for drawing, shift in zip(drawings, shifts, strict=True):
            lines += _moved([e.path for e in drawing.entities if e.path is not None], shift)
        return DrawingPreview(drawings, sheet, ((LINES, tuple(lines)),))

    def _marked(self, watch: Watch) -> DrawingPreview:
        from kerfproof.job.inspect_drawing import looked_into
        from kerfproof.job.reading import reading
        from kerfproof.report.inspection import inspection_picture
        from kerfproof.report.picture.flags import flags, own_places

        job = self.document.job
        looked = [
            looked_into(self.memo, k, use, job, self.document.sources, reading(job), watch)
            for k, use in enumerate(job.drawings)
        ]
        drawings = tuple(look.drawing for look in looked)
        shifts, sheet = _side_by_side(drawings)
        layers: list[tuple[str, tuple[Path, ...]]] = []
        rings: list[Point] = []
        for look, shift in zip(looked, shifts, strict=True):
            picture = inspection_picture(look)
            layers += [(layer.role, tuple(_moved(layer.paths, shift))) for layer in picture.layers if layer.paths]
            rings += [(ring.at[0] + shift[0], ring.at[1] + shift[1]) for ring in picture.rings]
        by_name = dict(zip((use.name for use in job.drawings), shifts, strict=True))
        findings = self.refused.findings if isinstance(self.refused, NothingToCut) else ()
        callouts, _more = flags(
            findings, lambda f: tuple(_plus(at, by_name.get(f.drawing, (0.0, 0.0))) for at in own_places(f))
        )
        return DrawingPreview(drawings, sheet, tuple(layers), True, tuple(rings), callouts, by_name)


def _side_by_side(drawings: Sequence[Drawing]) -> tuple[list[Point], Box]:
    """Return how far each drawing is moved, and the box of all with some room round it."""
    boxes = [drawing.bounds() for drawing in drawings]
    drawn = [box for box in boxes if box is not None]
    if not drawn:
        raise KerfproofError("nothing is drawn")
    room = APART * max(max(x1 - x0, y1 - y0) for x0, y0, x1, y1 in drawn) or 1.0
    first = drawn[0]
    shifts: list[Point] = []
    right, top = first[0], first[3]
    for box in boxes:
        if box is None:
            shifts.append((0.0, 0.0))
            continue
        dx, dy = (0.0, 0.0) if box is first else (right - box[0], first[1] - box[1])
        shifts.append((dx, dy))
        right, top = box[2] + dx + room, max(top, box[3] + dy)
    return shifts, (first[0] - room, first[1] - room, right, top + room)


def _moved(paths: Sequence[Path], shift: Point) -> Sequence[Path]:
    return paths if shift == (0.0, 0.0) else [path.moved(*shift) for path in paths]


def _plus(at: Point, shift: Point) -> Point:
    return at[0] + shift[0], at[1] + shift[1]
