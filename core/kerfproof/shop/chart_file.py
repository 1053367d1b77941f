"""The cut chart file: TOML text to `CutChart` and its JSON Schema."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import Annotated, Any

from pydantic import Field

from kerfproof.shop.chart import CutChart, PierceRating, Process
from kerfproof.shop.file_model import FileModel, key, read_model, read_toml, refuse, stem
from kerfproof.shop.file_text import schema_of
from kerfproof.shop.material import material_key
from kerfproof.shop.spelling import Current, Feed, Length, MaybeLength, Time, Words
from kerfproof.units import format_length

_is = partial(key, Process)
_COMPUTED = 0.0
"""Stands for a size that the file leaves to the row's own numbers."""


class Row(FileModel):
    """One row: what one material of one thickness needs at one current."""

    material: str = _is("material", "Material.", example="mild steel", min_length=1)
    thickness: Length = _is("thickness", "Thickness.", example="3 mm", gt=0)
    amps: Current = _is("amps", "Cutting current.", alias="current", example="40 A", gt=0)
    feed_mm_min: Feed = _is("feed_mm_min", "Cutting feed.", alias="feed", example="2200 mm/min", gt=0)
    kerf: Length = _is("kerf", "Width of the cut at this feed, measured best.", example="1.5 mm", gt=0)
    cut_height: Length = _is("cut_height", "Tip over plate while cutting.", example="1.5 mm", gt=0)
    pierce_height: Length = _is("pierce_height", "Tip over plate while piercing; 0: as cut_height.", ge=0)
    pierce_delay_s: Time = _is("pierce_delay_s", "Arc lit to pierced through.", alias="pierce_delay", ge=0)
    pierce: Annotated[PierceRating, Words.of(PierceRating)] = _is(
        "pierce", 'Whether this row may pierce; "no": edge start or drilled start only.'
    )
    min_hole: Length = _is(
        "min_hole",
        "Smallest hole worth cutting; without this key 1.5 thicknesses or 4 kerfs, whichever is more.",
        default=_COMPUTED,
        gt=0,
    )
    lead_radius: Length = _is(
        "lead_radius",
        "Radius of arc leads; without this key, crater radius + 1 mm and at least 3 mm.",
        default=_COMPUTED,
        gt=0,
    )
    lead_straight: Length = _is(
        "lead_straight",
        "Length of straight leads; without this key, crater radius + half a kerf + 1 mm and at least 4 mm.",
        default=_COMPUTED,
        gt=0,
    )
    starts_per_tip: int = _is("starts_per_tip", "Starts that a tip lasts; 0: unknown.", ge=0)
    hole_kerf: MaybeLength = _is("hole_kerf", "Kerf of slowed holes, if measured.", gt=0)
    hole_feed_share: float = _is("hole_feed_share", "Feed of slowed holes as a share of feed.", gt=0, le=1)
    hole_over_burn: MaybeLength = _is("hole_over_burn", "Over-burn of holes that closes best, if measured.", ge=0)
    air: str = _is("air", "Air while it flows, for the setup sheet; without this key as the chart's.", example="5 bar")
    consumables: str = _is(
        "consumables", "Tip and electrode, for the setup sheet; without this key as the chart's.", example="tip 1.1 mm"
    )
    estimated: bool = _is("estimated", "Whether the row was worked out; it serves, but nothing is estimated from it.")
    source: str = _is("source", "Where the values come from; without this key as the chart's.")


class ChartFile(FileModel):
    """A cut chart."""

    name: str = key(CutChart, "name", "Short name of the chart.", example="my-chart", min_length=1)
    title: str = key(CutChart, "title", "What it is, in one line.")
    note: str = key(CutChart, "note", "Anything worth knowing.")
    source: str = Field(default="", description="Where the values come from, one line, for rows without their own.")
    air: str = Field(default="", description="Air while it flows, your words, for rows without their own.")
    consumables: str = Field(default="", description="Tip and electrode, your words, for rows without their own.")
    rows: Annotated[tuple[Row, ...], Field(strict=False)] = Field(alias="row", min_length=1, description="The rows.")


def parse_chart(text: str, where: str) -> CutChart:
    """Return the cut chart that a TOML text holds.

    `where` names the file in messages; without the key ``name`` the chart is called as the file.

    Raises
    ------
    KerfproofError
        With all mistakes of the file, one per line, each with its key path (rows counted from 1).
    """
    raw = read_toml(text, where)
    raw.setdefault("name", stem(where, "chart"))
    reading = read_model(ChartFile, raw)
    rows = tuple(_process(row, reading.model) for row in reading.model.rows)
    bad = {place[1] for place in reading.bad if len(place) > 1}
    sound = {number: row for number, row in enumerate(rows) if number not in bad}
    contradictions = [*_twice(sound), *_contradictions(sound)]
    refuse([*reading.mistakes, *([] if ("row",) in reading.bad else contradictions)], where)
    return CutChart(name=reading.model.name, title=reading.model.title, note=reading.model.note, rows=rows)


def chart_schema() -> dict[str, Any]:
    """Return the JSON Schema of cut chart files."""
    return schema_of(ChartFile, "Kerfproof cut chart")


def _process(row: Row, chart: ChartFile) -> Process:
    words = {name: getattr(row, name) or getattr(chart, name) for name in ("source", "air", "consumables")}
    process = Process(**{**row.values(), **words})
    crater = process.crater_radius
    return replace(
        process,
        min_hole=process.min_hole or round(max(1.5 * process.thickness, 4 * process.kerf), 3),
        lead_radius=process.lead_radius or round(max(3.0, crater + 1.0), 3),
        lead_straight=process.lead_straight or round(max(4.0, crater + process.kerf / 2 + 1.0), 3),
    )


def _twice(rows: Mapping[int, Process]) -> Iterator[str]:
    seen: dict[tuple[str, float, float], int] = {}
    for number, row in ((at + 1, row) for at, row in rows.items()):
        first = seen.setdefault((material_key(row.material), row.thickness, row.amps), number)
        if first != number:
            yield (
                f"row {number}: {row.material} of {format_length(row.thickness)} at {row.amps:g} A stands already in "
                f"row {first}"
            )


def _contradictions(rows: Mapping[int, Process]) -> Iterator[str]:
    for number, row in ((at + 1, row) for at, row in rows.items()):
        if 0 < row.pierce_height < row.cut_height:
            yield f"row {number}.pierce_height: {format_length(row.pierce_height)} is below the cut height"
        if row.hole_kerf is not None and not 0.5 * row.kerf <= row.hole_kerf <= 2 * row.kerf:
            yield f"row {number}.hole_kerf: {format_length(row.hole_kerf)} is no kerf of the same tip as kerf"
        if row.min_hole <= row.kerf:
            yield f"row {number}.min_hole: {format_length(row.min_hole)} is no wider than the kerf"
