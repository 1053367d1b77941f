"""What a folder's ``kerfproof.toml`` says about the drawings in it and below."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import Annotated, Any

from pydantic import Field

from kerfproof.api import ReadSettings
from kerfproof.errors import RuleChoice
from kerfproof.job.job import DrawingUse, Job, LeadChoice, Order, Origin, Rests, RoleRule, SmallHoles
from kerfproof.job.job_file import LeadsTable, RoleTable
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.shop.file_model import FileModel, key, read_model, read_toml, refuse
from kerfproof.shop.spelling import (
    DrawingUnit,
    MaybeCurrent,
    MaybeFeed,
    MaybeLength,
    MaybeSize,
    MaybeTime,
    Quantity,
    RuleChoices,
    Words,
)
from kerfproof.units import ANGLE
from kerfproof_app.batch.names import NamePattern, pattern_of


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderSettings:
    """What is said about some drawings. Lengths mm. None: not said here."""

    machine: str | None = None
    chart: str | None = None
    material: str | None = None
    thickness: float | None = None
    amps: float | None = None
    kerf: float | None = None
    feed_mm_min: float | None = None
    pierce_delay_s: float | None = None
    mm_per_unit: float | None = None
    layers: tuple[str, ...] | None = None
    count: int | None = None
    turn_deg: float | None = None
    mirror: bool | None = None
    plate: tuple[float, float] | None = None
    margin: float | None = None
    origin: Origin | None = None
    order: Order | None = None
    spread: bool | None = None
    sharp_corners: bool | None = None
    small_holes: SmallHoles | None = None
    join_tolerance: float | None = None
    drill_marks: DrillKind | None = None
    drill_below: float | None = None
    page: PageFrames | None = None
    rests: Rests | None = None
    tabs: int | None = None
    tab_width: float | None = None
    rules: tuple[RuleChoice, ...] | None = None
    leads: LeadChoice | None = None
    roles: tuple[RoleRule, ...] | None = None
    names: str | None = None
    """Pattern that reads material, thickness and count from file names."""
    materials: Mapping[str, str] | None = None
    """What materials are called in file names, and what the chart calls them."""
    skip: tuple[str, ...] | None = None
    """Patterns of file names that are not cut."""

    def over(self, outer: FolderSettings) -> FolderSettings:
        """Return these settings, and those of `outer` where these say nothing."""
        return replace(outer, **self.said())

    def said(self) -> dict[str, Any]:
        """Return what these settings say, by name."""
        return {f.name: getattr(self, f.name) for f in fields(self) if getattr(self, f.name) is not None}


_say = partial(key, FolderSettings)
MaybeAngle = Annotated[float | None, Quantity(ANGLE)]


def _enum(kind: Any) -> Words:
    return Words({member.value: member for member in kind})


class FolderFile(FileModel):
    """A folder's ``kerfproof.toml``: whatever it does not say is as the folder above says."""

    machine: str | None = _say("machine", "Name or file of the machine.", example="contact-float-inch", min_length=1)
    chart: str | None = _say("chart", "Name or file of the cut chart.", example="air-50a", min_length=1)
    material: str | None = _say("material", "Material.", example="mild steel", min_length=1)
    thickness: MaybeLength = _say("thickness", "Thickness.", example="3 mm", gt=0)
    amps: MaybeCurrent = _say("amps", "Cutting current.", alias="current", example="40 A", gt=0)
    kerf: MaybeLength = _say("kerf", "Kerf instead of the chart's.", example="1.5 mm", gt=0)
    feed_mm_min: MaybeFeed = _say("feed_mm_min", "Feed instead of the chart's.", alias="feed", gt=0)
    pierce_delay_s: MaybeTime = _say(
        "pierce_delay_s", "Pierce delay instead of the chart's.", alias="pierce_delay", ge=0
    )
    mm_per_unit: Annotated[float | None, DrawingUnit()] = _say(
        "mm_per_unit", "Unit of the drawings.", alias="units", example="mm"
    )
    layers: Annotated[tuple[str, ...] | None, Field(strict=False)] = _say("layers", "Only these layers.")
    count: int | None = _say("count", "How many of each drawing in its program.", ge=1, le=1000)
    turn_deg: MaybeAngle = _say("turn_deg", "Turned by, counter-clockwise.", alias="turn")
    mirror: bool | None = _say("mirror", "Whether drawings are mirrored before they are turned.")
    plate: MaybeSize = _say("plate", "Size of the plate.", example="1200x600 mm")
    margin: MaybeLength = _say("margin", "Distance of parts from the plate's edge.", ge=0)
    origin: Annotated[Origin | None, _enum(Origin)] = _say("origin", "Program zero: plate corner or drawing zero.")
    order: Annotated[Order | None, _enum(Order)] = _say("order", "Part by part, or all holes first.")
    spread: bool | None = _say("spread", "Whether neighbours are cut as far apart in time as possible.")
    sharp_corners: bool | None = _say("sharp_corners", "Whether outside corners meet sharp in the scrap.")
    small_holes: Annotated[SmallHoles | None, _enum(SmallHoles)] = _say(
        "small_holes", "What becomes of holes under the smallest diameter."
    )
    join_tolerance: MaybeLength = _say("join_tolerance", "Gaps up to this are closed.", alias="join", ge=0)
    drill_marks: Annotated[DrillKind | None, _enum(DrillKind)] = _say(
        "drill_marks", "How points and small holes are marked for the drill."
    )
    drill_below: MaybeLength = _say("drill_below", "Holes up to this diameter are drill marks, if points are.", ge=0)
    page: Annotated[PageFrames | None, _enum(PageFrames)] = _say(
        "page", "What becomes of a rectangle round everything."
    )
    rests: Annotated[Rests | None, _enum(Rests)] = _say(
        "rests", "Where rating or air are overdrawn: told, or rests written between cuts as stops or dwells."
    )
    tabs: int | None = _say("tabs", "So many tabs hold each outline.", ge=0, le=100)
    tab_width: MaybeLength = _say("tab_width", "Metal that a tab leaves; without it by thickness.", gt=0)
    rules: Annotated[tuple[RuleChoice, ...] | None, RuleChoices()] = _say(
        "rules", "Rules on programs that count otherwise: error, warning, note or off, a colon and the reason."
    )
    leads: LeadsTable | None = Field(default=None, description="How leads are chosen.")
    roles: Annotated[tuple[RoleTable, ...], Field(strict=False)] = Field(alias="role", default=())
    names: str | None = _say("names", "How file names are read.", example="{material}_{thickness}_*", min_length=1)
    materials: dict[str, str] | None = Field(default=None, description="Materials as file names call them.")
    skip: Annotated[tuple[str, ...] | None, Field(strict=False)] = _say("skip", "File names that are not cut.")


def parse_settings(text: str, where: str) -> FolderSettings:
    """Return what a ``kerfproof.toml`` says.

    Raises
    ------
    KerfproofError
        With all mistakes of the file, one per line, each with its key path.
    """
    return settings_of(read_toml(text, where), where)


def settings_of(raw: Mapping[str, Any], where: str) -> FolderSettings:
    """Return settings from raw tables, as `parse_settings`."""
    reading = read_model(FolderFile, raw)
    mistakes = list(reading.mistakes)
    if reading.model.names is not None and ("names",) not in reading.bad:
        mistakes += [f"names: {problem}" for problem in pattern_of(reading.model.names).problems]
    refuse(mistakes, where)
    values = reading.model.values()
    leads, roles = values.pop("leads"), values.pop("roles")
    return FolderSettings(
        **values,
        leads=None if leads is None else LeadChoice(**leads.values()),
        roles=tuple(RoleRule(**table.values()) for table in roles) or None,
    )


def nearest(folders: Iterable[str], by_folder: Mapping[str, FolderSettings]) -> FolderSettings:
    """Return what holds in the last of `folders`, which lead there from the top: the nearest that says a thing wins."""
    now = FolderSettings()
    for folder in folders:
        if folder in by_folder:
            now = by_folder[folder].over(now)
    return now


def name_pattern(settings: FolderSettings) -> NamePattern | None:
    """Return the pattern of file names, None if names mean nothing."""
    return None if settings.names is None else pattern_of(settings.names)


def job_of(name: str, settings: FolderSettings, machine: str, chart: str, material: str, thickness: float) -> Job:
    """Return the job that cuts one drawing as the settings say."""
    known = {field.name for field in fields(Job)} - {"machine", "chart", "material", "thickness"}
    said = {name: value for name, value in settings.said().items() if name in known}
    use = DrawingUse(
        name=name,
        count=settings.count or 1,
        mm_per_unit=settings.mm_per_unit,
        turn_deg=settings.turn_deg or 0.0,
        mirror=bool(settings.mirror),
    )
    return Job(drawings=(use,), machine=machine, chart=chart, material=material, thickness=thickness, **said)


def reading_of(settings: FolderSettings) -> ReadSettings:
    """Return how the drawing is to be read."""
    return ReadSettings(mm_per_unit=settings.mm_per_unit, layers=settings.layers or ())
