"""A drawing read from its bytes as a job says, before anything is made of it."""

from __future__ import annotations

from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.drawing.settings import ReadSettings
from kerfproof.drawing.units import in_both
from kerfproof.errors import UnitUnknown, Watch, no_watch
from kerfproof.job.job import DrawingUse, Job
from kerfproof.memo import Memo
from kerfproof.parts.classify.roles import RolePattern, picks_text
from kerfproof.parts.model.contour import Role
from kerfproof.sentence import option, say

__all__ = ["Drawing", "ReadSettings", "read", "read_once", "reading", "rules_of", "unit_question"]


def read(data: bytes, name: str, settings: ReadSettings | None = None, watch: Watch = no_watch) -> Drawing:
    """Return the drawing in a DXF file's bytes, in mm where its unit is known.

    Raises
    ------
    KerfproofError
        If the bytes are no DXF drawing or hold numbers that can't be trusted.
    """
    return read_dxf(data, name, settings or ReadSettings(), watch)


def read_once(memo: Memo, data: bytes, name: str, settings: ReadSettings, watch: Watch) -> Drawing:
    """Return a drawing, read again only if its bytes or how they are read changed."""
    return memo.result(f"read {name}", (), (data, settings), lambda: read(data, name, settings, watch))


def reading(job: Job, use: DrawingUse | None = None, settings: ReadSettings | None = None) -> ReadSettings:
    """Return how the drawings of a job, or one of them, are read; what `settings` say wins over the job."""
    settings = settings or ReadSettings()
    unit = None if use is None else use.mm_per_unit
    return ReadSettings(
        mm_per_unit=settings.mm_per_unit if unit is None else unit,
        layers=settings.layers or job.layers,
        window=settings.window or job.window,
        text=picks_text(rules_of(job)),
    )


def rules_of(job: Job) -> tuple[RolePattern, ...]:
    """Return what the job says of layers, colours, line types and kinds of entity."""
    return tuple(
        RolePattern(role=Role(r.role), layer=r.layer, color=r.color, linetype=r.linetype, kind=r.kind)
        for r in job.roles
    )


def unit_question(drawing: Drawing) -> UnitUnknown:
    """Return the refusal of a drawing whose unit nobody knows, with its size in each unit."""
    box = drawing.bounds()
    size = ""
    if box is not None:
        w, h = box[2] - box[0], box[3] - box[1]
        size = (
            f": read as mm it is {in_both(w, h)}, as cm {in_both(w * 10, h * 10)}, "
            f"as inches {in_both(w * 25.4, h * 25.4)}"
        )
    question = UnitUnknown(
        f"the drawing does not say its unit{size}",
        where=drawing.name,
        advice=say("give {units} mm, cm or in", units=option("units")),
    )
    question.size = None if box is None else (box[2] - box[0], box[3] - box[1])
    return question
