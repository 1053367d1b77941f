"""The job file (``*.kerfproof.toml``): TOML text to `Job` and back, touching only what changed."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import partial
from typing import Annotated, Any

import tomlkit
from pydantic import Field
from tomlkit.items import AoT

from kerfproof.errors import RuleChoice
from kerfproof.job.job import (
    ContourRole,
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
    TabPlace,
    Turn,
)
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.shop.file_model import FileModel, key, key_of, nested, read_model, read_toml, refuse
from kerfproof.shop.file_text import schema_of
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
    listed,
    quoted,
    spelling_of,
)

_drawing, _lead, _pin, _role, _job = (partial(key, kind) for kind in (DrawingUse, LeadChoice, Pin, RoleRule, Job))
_contour, _turn, _tab = (partial(key, kind) for kind in (ContourRole, Turn, TabPlace))
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


class PinTable(FileModel):
    """A start point that the person chose."""

    drawing: str = _pin("drawing", "File name of the drawing.", example="part.dxf", min_length=1)
    x: Length = _pin("x", "Place on the contour, in the drawing.", example="10 mm")
    y: Length = _pin("y", "Place on the contour, in the drawing.", example="20 mm")
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


class ContourTable(FileModel):
    """What is done with one contour."""

    drawing: str = _contour("drawing", "File name of the drawing.", example="part.dxf", min_length=1)
    x: Length = _contour("x", "Place on the contour, in the drawing.", example="10 mm")
    y: Length = _contour("y", "Place on the contour, in the drawing.", example="20 mm")
    role: Annotated[str, _ROLES] = _contour("role", "What is done with it.", example="mark")


class TurnTable(FileModel):
    """One contour in an order by hand."""

    drawing: str = _turn("drawing", "File name of the drawing.", example="part.dxf", min_length=1)
    x: Length = _turn("x", "Place on the contour, in the drawing.", example="10 mm")
    y: Length = _turn("y", "Place on the contour, in the drawing.", example="20 mm")
    copy_number: int = _turn("copy_number", "Which copy of the drawing, from 1.", alias="copy", ge=1)


class TabTable(FileModel):
    """A tab set by hand."""

    drawing: str = _tab("drawing", "File name of the drawing.", example="part.dxf", min_length=1)
    x: Length = _tab("x", "Place on an outline, in the drawing.", example="10 mm")
    y: Length = _tab("y", "Place on an outline, in the drawing.", example="20 mm")


def _enum(kind: Any) -> Words:
    return Words({member.value: member for member in kind})


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
    origin: Annotated[Origin, _enum(Origin)] = _job("origin", "Program zero: plate corner or drawing zero.")
    margin: MaybeLength = _job("margin", "Distance of parts from the plate's edge.", example="10 mm", ge=0)
    mode: Annotated[Mode, _enum(Mode)] = _job("mode", "Cut, dry run or frame.")
    order: Annotated[Order, _enum(Order)] = _job("order", "Part by part, or all holes first.")
    rests: Annotated[Rests, _enum(Rests)] = _job(
        "rests", "Where rating or air are overdrawn: told, or rests written between cuts as stops or dwells."
    )
    spread: bool = _job("spread", "Whether neighbours are cut as far apart in time as possible.")
    sharp_corners: bool = _job("sharp_corners", "Whether outside corners meet sharp in the scrap.")
    small_holes: Annotated[SmallHoles, _enum(SmallHoles)] = _job(
        "small_holes", "What becomes of holes under the smallest diameter."
    )
    join_tolerance: Length = _job("join_tolerance", "Gaps up to this are closed.", ge=0)
    drill_marks: Annotated[DrillKind, _enum(DrillKind)] = _job(
        "drill_marks", "How points and small holes are marked for the drill."
    )
    drill_below: Length = _job("drill_below", "Holes up to this diameter are drill marks, if points are.", ge=0)
    page: Annotated[PageFrames, _enum(PageFrames)] = _job("page", "What becomes of a rectangle round everything.")
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """The names that a job may use. None: not checked. Names that end in ``.toml`` are files, never checked."""

    machines: Collection[str] | None = None
    charts: Collection[str] | None = None
    leads: Collection[str] | None = None


def parse_job(text: str, where: str, known: Names | None = None) -> Job:
    """Return the job that a TOML text describes; `where` names the file in messages.

    Raises
    ------
    KerfproofError
        With all mistakes of the file, one per line, each with its key path (drawings and pins from 1).
    """
    reading = read_model(JobFile, read_toml(text, where))
    job = _job_of(reading.model)
    bad = {place[0] for place in reading.bad}
    names = [mistake for at, mistake in _unknown_names(job, known or Names()) if bad.isdisjoint(at)]
    refuse([*reading.mistakes, *names], where)
    return job


def write_job(job: Job, text: str | None = None) -> str:
    """Return the file of `job`.

    With the `text` of the file as it stands, only keys whose value changed are touched: comments, order and the
    units that the person used stay. If nothing changed the very same text comes back.

    Raises
    ------
    KerfproofError
        If `text` is no job file.
    """
    if text is None:
        document = tomlkit.document()
        _fill(document, JobFile, job)
        return tomlkit.dumps(document)
    old = parse_job(text, "the job file")
    if old == job:
        return text
    document = tomlkit.parse(text)
    _update(document, JobFile, old, job)
    return tomlkit.dumps(document)


def job_schema() -> dict[str, Any]:
    """Return the JSON Schema of job files."""
    return schema_of(JobFile, "Kerfproof job")


def _job_of(file: JobFile) -> Job:
    tables = {
        "leads": LeadChoice(**file.leads.values()),
        "drawings": tuple(DrawingUse(**table.values()) for table in file.drawings),
        "pins": tuple(Pin(**table.values()) for table in file.pins),
        "roles": tuple(RoleRule(**table.values()) for table in file.roles),
        "contour_roles": tuple(ContourRole(**table.values()) for table in file.contour_roles),
        "sequence": tuple(Turn(**table.values()) for table in file.sequence),
        "tab_places": tuple(TabPlace(**table.values()) for table in file.tab_places),
    }
    return Job(**{**file.values(), **tables})


def _unknown_names(job: Job, known: Names) -> Iterator[tuple[set[str], str]]:
    """Yield the sections concerned and the sentence for each name that means nothing."""
    shapes = [("leads", "leads.shape", job.leads.shape)]
    shapes += [("pin", f"pin {number}.shape", pin.shape) for number, pin in enumerate(job.pins, 1)]
    used = [("machine", "machine", job.machine, known.machines), ("chart", "chart", job.chart, known.charts)]
    for at, path, name, names in [*used, *((at, path, shape, known.leads) for at, path, shape in shapes)]:
        if name is not None and names is not None and name not in names and not name.endswith(".toml"):
            yield {at}, f"{path}: {quoted(name)} is not known, only {listed(sorted(names))}"
    drawings = [use.name for use in job.drawings]
    chosen = (
        ("pin", [pin.drawing for pin in job.pins]),
        ("contour", [contour.drawing for contour in job.contour_roles]),
        ("turn", [turn.drawing for turn in job.sequence]),
        ("tab", [tab.drawing for tab in job.tab_places]),
    )
    for table, used_drawings in chosen:
        for number, drawing in enumerate(used_drawings, 1):
            if drawing not in drawings:
                only = f"is no drawing of this job, only {listed(drawings)}"
                yield {table, "drawing"}, f"{table} {number}.drawing: {quoted(drawing)} {only}"


def _fill(table: Any, model: type[FileModel], value: object) -> None:
    """Write all keys of `value` that are not as without them."""
    for name, info in model.model_fields.items():
        now, inner = getattr(value, name), nested(info)
        if inner is None:
            _set(table, key_of(name, info), info, now)
        elif isinstance(now, tuple):
            _update_list(table, key_of(name, info), inner, (), now)
        elif now != type(now)():
            table[key_of(name, info)] = _table(inner, now)


def _update(table: Any, model: type[FileModel], old: object, new: object) -> None:
    """Write the keys whose values differ."""
    for name, info in model.model_fields.items():
        was, now, inner, at = getattr(old, name), getattr(new, name), nested(info), key_of(name, info)
        if was == now:
            continue
        if inner is None:
            _set(table, at, info, now)
        elif isinstance(now, tuple):
            _update_list(table, at, inner, was, now)
        elif at in table:
            _update(table[at], inner, was, now)
        else:
            table[at] = _table(inner, now)


def _set(table: Any, at: str, info: Any, now: Any) -> None:
    present = at in table
    if now is None or (now == info.default and not present):
        if present:
            del table[at]
        return
    spelling = spelling_of(info)
    table[at] = spelling.write(now, table[at] if present else None) if spelling else now


def _update_list(table: Any, at: str, inner: type[FileModel], was: tuple[object, ...], now: tuple[object, ...]) -> None:
    """Change a list of tables so that entries which stay keep their text."""
    if at not in table and now:
        table[at] = tomlkit.aot()
    changes = SequenceMatcher(None, was, now, autojunk=False).get_opcodes()
    for _tag, i1, i2, j1, j2 in reversed([change for change in changes if change[0] != "equal"]):
        both = min(i2 - i1, j2 - j1)
        for index in range(both):
            _update(table[at][i1 + index], inner, was[i1 + index], now[j1 + index])
        for index in reversed(range(i1 + both, i2)):
            del table[at][index]
        for offset, value in enumerate(now[j1 + both : j2]):
            _insert(table[at], i1 + both + offset, inner, value)
    if not now and at in table:
        del table[at]


def _insert(tables: Any, index: int, model: type[FileModel], value: object) -> None:
    """Put an entry into a list of tables, with a blank line before it."""
    if not isinstance(tables, AoT):
        entry = tomlkit.inline_table()
        _fill(entry, model, value)
        tables.insert(index, entry)
        return
    entry = _table(model, value)
    if index and tables[index - 1].as_string().endswith("\n\n"):  # the blank line is there, hand it on
        entry.trivia.indent = ""
        entry.add(tomlkit.nl())
    tables.insert(index, entry)


def _table(model: type[FileModel], value: object) -> Any:
    table = tomlkit.table()
    table.trivia.indent = "\n"
    _fill(table, model, value)
    return table
