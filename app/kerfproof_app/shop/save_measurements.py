"""What was measured goes into the person's own files: one value each, comments and all else kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import tomlkit

from kerfproof.coupon.piece import ShopChange
from kerfproof.errors import KerfproofError
from kerfproof.sentence import mm, say
from kerfproof.shop.chart import Process
from kerfproof.shop.chart_file import parse_chart
from kerfproof.shop.energy import estimate
from kerfproof.shop.machine_file import parse_machine
from kerfproof.shop.material import material_key
from kerfproof.shop.select_process import SAME_AMPS, SAME_THICKNESS
from kerfproof.units import CURRENT, FEED, LENGTH, TIME, Kind, unit_of
from kerfproof_app.shop import store

_ENTRY = re.compile(r"^[\w-]+ measured \d{4}-\d\d-\d\d")
_ROW_KEYS: tuple[tuple[str, str, Kind | None], ...] = (
    ("material", "material", None), ("thickness", "thickness", LENGTH), ("current", "amps", CURRENT),
    ("feed", "feed_mm_min", FEED), ("kerf", "kerf", LENGTH), ("cut_height", "cut_height", LENGTH),
    ("pierce_height", "pierce_height", LENGTH), ("pierce_delay", "pierce_delay_s", TIME), ("pierce", "pierce", None),
    ("min_hole", "min_hole", LENGTH), ("lead_radius", "lead_radius", LENGTH),
    ("lead_straight", "lead_straight", LENGTH), ("starts_per_tip", "starts_per_tip", None),
    ("air", "air", None), ("consumables", "consumables", None),
    ("hole_kerf", "hole_kerf", LENGTH), ("hole_over_burn", "hole_over_burn", LENGTH),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Saved:
    """One value that went to a file: what it was, empty where it was not there, and what it is now."""

    path: Path
    key: str
    before: str
    now: str


def save_to_chart(
    name: str, process: Process, changes: Sequence[ShopChange], what: str, note: str, date: str
) -> tuple[Saved, ...]:
    """Put values into the row of `process` in the person's own chart `name`; a row that is not there is added.

    `what` is the kind of test piece, `note` how it was measured, `date` when (ISO).

    Raises
    ------
    KerfproofError
        If the chart is a built-in one or can't be written.
    """
    with _changing("charts", name, parse_chart) as (document, file):
        rows = document["row"]
        known = parse_chart(file.text, file.where).rows
        number = next((k for k, row in enumerate(known) if _same(row, process)), None)
        if number is None:
            rows.append(_new_row(process))
            number = len(rows) - 1
        row = rows[number]
        saved = []
        for change in changes:
            key = change.place[-1]
            before = str(row.get(key, ""))
            row[key] = spelled(change, before)
            saved.append(Saved(Path(file.where), f"row {number + 1}.{key}", before, str(row[key])))
        if what == "feed":
            row.pop("estimated", None)  # the feed is what an estimate is about
        row["source"] = _source(str(row.get("source", "")), f"{what} measured {date}: {note}")
    return tuple(saved)


def save_estimate(name: str, row: Process, date: str) -> Path:
    """Put an estimated row into the person's own chart `name`, in the place of an older estimate; return the file.

    Raises
    ------
    KerfproofError
        If the chart is a built-in one, can't be written, or has measured that plate.
    """
    with _changing("charts", name, parse_chart) as (document, file):
        rows = parse_chart(file.text, file.where).rows
        number = next((k for k, known in enumerate(rows) if _same(known, row)), None)
        new = _new_row(replace(row, source=f"{row.source}; {date}"))
        if number is None:
            document["row"].append(new)
        elif rows[number].estimated:
            document["row"][number] = new
        else:
            what = say(
                "{material} of {thickness} at {amps:g} A stands measured in row {number}",
                material=row.material,
                thickness=mm(row.thickness, "g"),
                amps=row.amps,
                number=number + 1,
            )
            raise KerfproofError(what, where=name, advice="an estimate would spoil it")
    return Path(file.where)


def save_to_machine(name: str, changes: Sequence[ShopChange], what: str, note: str, date: str) -> tuple[Saved, ...]:
    """Put values into the person's own machine file `name`, each with when and how it was measured beside it.

    Raises
    ------
    KerfproofError
        If the machine is a built-in one or can't be written.
    """
    saved = []
    with _changing("machines", name, parse_machine) as (document, file):
        for change in changes:
            section, key = change.place
            table = document.setdefault(section, tomlkit.table())
            before = str(table.get(key, ""))
            table[key] = spelled(change, before)
            table[key].comment(f"measured {date}")
            saved.append(Saved(Path(file.where), f"{section}.{key}", before, str(document[section][key])))
        if what == "float":
            document["touch_off"]["float_note"] = f"{date}, {note}"
    return tuple(saved)


@contextmanager
def _changing(kind: str, name: str, read: Callable[[str, str], object]) -> Iterator[tuple[Any, store.ShopFile]]:
    """Give one of the person's own files to be changed, and write it; what can't be read again is not written."""
    file = _own(kind, name)
    document = tomlkit.parse(file.text)
    yield document, file
    text = tomlkit.dumps(document)
    read(text, file.where)
    store.write_bytes(Path(file.where), text.encode("utf-8"))


def spelled(change: ShopChange, like: str) -> Any:
    """Return a value as a file spells it, in the unit of `like`."""
    if change.quantity is None or isinstance(change.value, str):
        return change.value
    unit = unit_of(like, change.quantity) or change.quantity.unit
    size = float(change.quantity.units[re.sub(r"\s*/\s*", "/", unit.lower())])
    text = f"{change.value / size:.4f}".rstrip("0").rstrip(".")
    return f"{text} {unit}"


def _own(kind: str, name: str) -> store.ShopFile:
    file = store.shop_file(kind, name)
    if file.origin == "built-in":
        word = store.KINDS[kind]
        raise KerfproofError(
            f"the {word} {name!r} is a built-in one and is not changed",
            advice=f"kerfproof {kind} copy {name} mine, then --{word} mine",
        )
    return file


def _same(row: Process, process: Process) -> bool:
    return (
        material_key(row.material) == material_key(process.material)
        and abs(row.thickness - process.thickness) <= SAME_THICKNESS + 1e-9
        and abs(row.amps - process.amps) <= SAME_AMPS
    )


def _new_row(process: Process) -> Any:
    row = tomlkit.inline_table()
    for key, field, quantity in _ROW_KEYS:
        value = getattr(process, field)
        if value in (None, ""):
            continue
        if quantity is not None:
            value = spelled(ShopChange(file="chart", place=(key,), value=float(value), quantity=quantity), "")
        row[key] = str(value) if key == "pierce" else value
    if process.estimated:
        row["estimated"] = True
    row["source"] = process.source
    return row


def estimated_row(text: str, where: str, number: int, thickness: float, date: str) -> dict[str, Any]:
    """Return a row for another thickness (mm), with material and current of row `number` (from 0), as a file holds it.

    Raises
    ------
    KerfproofError
        If the chart has mistakes, or its rows tell nothing about that thickness.
    """
    rows = parse_chart(text, where).rows
    like = rows[number]
    alike = [row for row in rows if material_key(row.material) == material_key(like.material)]
    row = estimate(alike, thickness, like.amps, where)
    return dict(_new_row(replace(row, source=f"{row.source}; {date}")).unwrap())


def row_text(process: Process) -> str:
    """Return a row as a chart file holds it, one line."""
    return f"{_new_row(process).as_string()},"


def _source(old: str, entry: str) -> str:
    """Return the source of a row: what was measured, each kind once, and where the rest came from."""
    parts = [part.strip() for part in old.split(" | ") if part.strip()]
    kind = entry.split(" ", 1)[0]
    return " | ".join([p for p in parts if not (_ENTRY.match(p) and p.startswith(f"{kind} "))] + [entry])
