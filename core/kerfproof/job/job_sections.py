"""The tables of a job file: each key with its kind, its bounds and what it means."""

from __future__ import annotations

from functools import partial
from typing import Annotated

from pydantic import Field

from kerfproof.errors import RuleChoice
from kerfproof.job.job import (
    ContourRole,
    DrawingPlace,
    DrawingUse,
    Job,
    LeadChoice,
    Mode,
    Order,
    Origin,
    Pin,
    Rests,
    RoleRule,
    SmallHoles,
    Turn,
)
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.shop.file_model import FileModel, key
from kerfproof.shop.spelling import (
    Angle,
    DrawingUnit,
    Length,
    MaybeArea,
    MaybeBox,
    MaybeCurrent,
    MaybeFeed,
    MaybeLength,
    MaybeSize,
    MaybeTime,
    RuleChoices,
    Words,
)

_drawing, _lead, _role, _job = (partial(key, kind) for kind in (DrawingUse, LeadChoice, RoleRule, Job))
_place, _pin, _contour, _turn = (partial(key, kind) for kind in (DrawingPlace, Pin, ContourRole, Turn))
_ROLES = Words({word: word for word in ("cut", "slit", "mark", "ignore")})


class DrawingTable(FileModel):
    """One drawing and how it is used."""

    name: str = _drawing("name", "File name of the drawing.", example="part.dxf", min_length=1)
    count: int = _drawing("count", "How many.", ge=1)
    mm_per_unit: Annotated[float | None, DrawingUnit()] = _drawing(
        "mm_per_unit", "Unit of the drawing, if the file does not say it.", alias="unit", example="mm"
    )
    turn_deg: Angle = _drawing("turn_deg", "Turned by, counter-clockwise.", alias="turn")
    mirror: bool = _drawing("mirror", "Whether it is mirrored before it is turned.")
    sha256: str = _drawing(
        "sha256", "Fingerprint of the drawing when it was last used.", pattern="^([0-9a-f]{64})?$", example="0" * 64
    )


class LeadsTable(FileModel):
    """How leads are chosen; without a key by process and feature."""

    shape: str | None = _lead("shape", "Name of a lead shape.", example="arc")
    radius: MaybeLength = _lead("radius", "Radius of arc leads.", example="4 mm", gt=0)
    straight: MaybeLength = _lead("straight", "Length of straight leads.", example="5 mm", gt=0)
    over_burn_outline: MaybeLength = _lead("over_burn_outline", "Over-burn of outlines.", example="1 mm", ge=0)
    over_burn_hole: MaybeLength = _lead("over_burn_hole", "Over-burn of holes.", example="1 mm", ge=0)
    lead_out: MaybeLength = _lead("lead_out", "Length of lead-outs.", example="2 mm", ge=0)


class PlaceTable(FileModel):
    """A place on a contour of a drawing."""

    drawing: str = _place("drawing", "File name of the drawing.", example="part.dxf", min_length=1)
    x: Length = _place("x", "Place on the contour, in the drawing.", example="10 mm")
    y: Length = _place("y", "Place on the contour, in the drawing.", example="20 mm")


class PinTable(PlaceTable):
    """A start point that the person chose."""

    area: MaybeArea = _pin("area", "Area of the contour, to know it again.", example="600 mm2", ge=0)
    length: MaybeLength = _pin("length", "Length of the contour, to know it again.", example="100 mm", gt=0)
    shape: str | None = _pin("shape", "Name of a lead shape for this start.", example="arc")
    size: MaybeLength = _pin("size", "Size of the lead; without it the largest that fits.", example="4 mm", gt=0)
    reverse: bool = _pin("reverse", "Whether the contour is cut the other way round.")


class RoleTable(FileModel):
    """What is done with the entities of some layers."""

    layer: str = _role("layer", "Pattern of layer names, any case.", example="BEND*")
    role: Annotated[str, _ROLES] = _role("role", "What is done with them.", example="mark")
    color: str = _role("color", "Colour number, name or #rrggbb.", example="red")
    linetype: str = _role("linetype", "Pattern of line type names, any case.", example="DASHED*")
    kind: str = _role("kind", "Kind of entity; TEXT: letters as outlines.", example="TEXT")


class ContourTable(PlaceTable):
    """What is done with one contour."""

    role: Annotated[str, _ROLES] = _contour("role", "What is done with it.", example="mark")


class TurnTable(PlaceTable):
    """One contour in an order by hand."""

    copy_number: int = _turn("copy_number", "Which copy of the drawing, from 1.", alias="copy", ge=1)


class TabTable(PlaceTable):
    """A tab set by hand: a place on an outline."""


class JobFile(FileModel):
    """A job file. Attributes and tables have the names of the fields of `Job`."""

    machine: str = _job("machine", "Name or file of the machine.", example="contact-float-inch", min_length=1)
    chart: str = _job("chart", "Name or file of the cut chart.", example="air-50a", min_length=1)
    material: str = _job("material", "Material.", example="mild steel", min_length=1)
    thickness: Length = _job("thickness", "Thickness.", example="3 mm", gt=0)
    amps: MaybeCurrent = _job("amps", "Cutting current.", alias="current", example="40 A", gt=0)
    kerf: MaybeLength = _job("kerf", "Kerf instead of the chart's.", example="1.5 mm", gt=0)
    feed_mm_min: MaybeFeed = _job("feed_mm_min", "Feed instead of the chart's.", alias="feed", gt=0)
    pierce_delay_s: MaybeTime = _job(
        "pierce_delay_s", "Pierce delay instead of the chart's.", alias="pierce_delay", ge=0
    )
    plate: MaybeSize = _job("plate", "Size of the plate.", example="1200x600 mm")
    origin: Annotated[Origin, Words.of(Origin)] = _job("origin", "Program zero: plate corner or drawing zero.")
    margin: MaybeLength = _job("margin", "Distance of parts from the plate's edge.", example="10 mm", ge=0)
    mode: Annotated[Mode, Words.of(Mode)] = _job("mode", "Cut, dry run or frame.")
    order: Annotated[Order, Words.of(Order)] = _job("order", "Part by part, or all holes first.")
    rests: Annotated[Rests, Words.of(Rests)] = _job(
        "rests", "Where rating or air are overdrawn: told, or rests written between cuts as stops or dwells."
    )
    spread: bool = _job("spread", "Whether neighbours are cut as far apart in time as possible.")
    sharp_corners: bool = _job("sharp_corners", "Whether outside corners meet sharp in the scrap.")
    bridges: bool = _job("bridges", "Whether two bridges hold each middle of a stencil, like that of an O.")
    leave_out: bool = _job("leave_out", "Whether what can't be cut is left out with a warning, and the rest is cut.")
    small_holes: Annotated[SmallHoles, Words.of(SmallHoles)] = _job(
        "small_holes", "What becomes of holes under the smallest diameter."
    )
    join_tolerance: Length = _job("join_tolerance", "Gaps up to this are closed.", ge=0)
    drill_marks: Annotated[DrillKind, Words.of(DrillKind)] = _job(
        "drill_marks", "How points and small holes are marked for the drill."
    )
    drill_below: Length = _job("drill_below", "Holes up to this diameter are drill marks, if points are.", ge=0)
    page: Annotated[PageFrames, Words.of(PageFrames)] = _job("page", "What becomes of a rectangle round everything.")
    layers: Annotated[tuple[str, ...], Field(strict=False)] = _job("layers", "Only these layers; * and ? mean any.")
    window: MaybeBox = _job("window", "Only what lies in this box of a drawing.", example="0,0,200,100 mm")
    tabs: int = _job("tabs", "So many tabs hold each outline that has none by hand.", ge=0, le=100)
    tab_width: MaybeLength = _job(
        "tab_width", "Metal that a tab leaves; without it by thickness.", example="2 mm", gt=0
    )
    leads: LeadsTable = Field(default=LeadsTable(), description="How leads are chosen.")
    drawings: Annotated[tuple[DrawingTable, ...], Field(strict=False)] = Field(alias="drawing", min_length=1)
    pins: Annotated[tuple[PinTable, ...], Field(strict=False)] = Field(alias="pin", default=())
    roles: Annotated[tuple[RoleTable, ...], Field(strict=False)] = Field(alias="role", default=())
    contour_roles: Annotated[tuple[ContourTable, ...], Field(strict=False)] = Field(alias="contour", default=())
    sequence: Annotated[tuple[TurnTable, ...], Field(strict=False)] = Field(alias="turn", default=())
    tab_places: Annotated[tuple[TabTable, ...], Field(strict=False)] = Field(alias="tab", default=())
    rules: Annotated[tuple[RuleChoice, ...], RuleChoices()] = _job(
        "rules", "Rules on programs that count otherwise: error, warning, note or off, a colon and the reason."
    )
