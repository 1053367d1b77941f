"""What a folder's ``kerfproof.toml`` says about the drawings in it and below."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import Annotated, Any

from pydantic import Field, create_model

from kerfproof.api import ReadSettings
from kerfproof.errors import RuleChoice
from kerfproof.job.job import DrawingUse, Job, LeadChoice, Order, Origin, Rests, RoleRule, SmallHoles
from kerfproof.job.job_sections import JobFile, LeadsTable, RoleTable
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.shop.file_model import FileModel, key, read_model, read_toml, refuse
from kerfproof.shop.spelling import (
    DrawingUnit,
    MaybeLength,
    Quantity,
)
from kerfproof.units import ANGLE
from kerfproof_app.batch.name_pattern import NamePattern, pattern_of


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
    leave_out: bool | None = None
    bridges: bool | None = None
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


class FolderKeys(FileModel):
    """The keys of a folder's ``kerfproof.toml`` that are none of a job file, or are meant for all drawings there."""

    mm_per_unit: Annotated[float | None, DrawingUnit()] = _say(
        "mm_per_unit", "Unit of the drawings.", alias="units", example="mm"
    )
    count: int | None = _say("count", "How many of each drawing in its program.", ge=1, le=1000)
    turn_deg: Annotated[float | None, Quantity(ANGLE)] = _say("turn_deg", "Turned by, counter-clockwise.", alias="turn")
    mirror: bool | None = _say("mirror", "Whether drawings are mirrored before they are turned.")
    join_tolerance: MaybeLength = _say("join_tolerance", "Gaps up to this are closed.", alias="join", ge=0)
    leads: LeadsTable | None = Field(default=None, description="How leads are chosen.")
    roles: Annotated[tuple[RoleTable, ...], Field(strict=False)] = Field(alias="role", default=())
    names: str | None = _say("names", "How file names are read.", example="{material}_{thickness}_*", min_length=1)
    materials: dict[str, str] | None = Field(default=None, description="Materials as file names call them.")
    skip: Annotated[tuple[str, ...] | None, Field(strict=False)] = _say("skip", "File names that are not cut.")


def _unsaid(name: str) -> Any:
    """Return a key of job files as one that a folder need not say."""
    info = JobFile.model_fields[name]
    annotated: Any = Annotated
    given: Any = info.annotation
    kind = annotated[given | None, *info.metadata] if info.metadata else given | None
    return kind, Field(default=None, alias=info.alias, description=info.description, examples=info.examples)


_SHARED = [f.name for f in fields(FolderSettings) if f.name not in FolderKeys.model_fields]
FolderFile = create_model("FolderFile", __base__=FolderKeys, **{name: _unsaid(name) for name in _SHARED})
"""A folder's ``kerfproof.toml``: whatever it does not say is as the folder above says."""


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
