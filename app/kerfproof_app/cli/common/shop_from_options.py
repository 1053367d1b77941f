"""From names on the command line to a machine and a chart."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import tomlkit

from kerfproof.errors import KerfproofError
from kerfproof.shop.chart import CutChart
from kerfproof.shop.chart_file import parse_chart
from kerfproof.shop.file_model import FileMistakes, key_of, nested
from kerfproof.shop.machine_file import MachineFile
from kerfproof.shop.profile import Machine
from kerfproof.shop.spelling import listed
from kerfproof_app.shop import defaults, store
from kerfproof_app.shop.load_shop import DEFAULT_MACHINE, chart_named, machine_in, usual_chart
from kerfproof_app.shop.store import ShopFile

if TYPE_CHECKING:
    from kerfproof.api import Shop


def machine_of(file: ShopFile, changes: Sequence[tuple[str, Any]] = ()) -> Machine:
    """Return the machine of a file, with other values for some of its keys.

    Raises
    ------
    KerfproofError
        If the file has mistakes or names no control that there is.
    """
    try:
        return machine_in(replace(file, text=changed(file.text, changes, file.where)))
    except FileMistakes as error:
        keys = tuple(f"{key}: " for key, _value in changes)
        said = [f"machine.{mistake}" for mistake in error.mistakes if mistake.startswith(keys)]
        sections = [key_of(name, info) for name, info in MachineFile.model_fields.items() if nested(info)]
        for table, dot, rest in (key.partition(".") for key, _value in changes):
            if dot and any(mistake.startswith(f"{table}: ") for mistake in error.mistakes):
                said.append(f"machine.{table}.{rest}: {table} is no section of a machine file, only {listed(sections)}")
        if not said:
            raise
        raise FileMistakes(tuple(said), "--set") from None


def chart_of(file: ShopFile) -> CutChart:
    """Return the chart of a file.

    Raises
    ------
    KerfproofError
        If the file has mistakes.
    """
    return parse_chart(file.text, file.where)


def find_shop(machine: str | None, chart: str | None, changes: Sequence[tuple[str, Any]] = ()) -> Shop:
    """Return the machine and the chart that were named, else the person's own defaults, else the built-in ones."""
    from kerfproof.api import Shop

    own = defaults.settings()
    machine_file = store.shop_file("machines", machine or own.machine or DEFAULT_MACHINE)
    made = machine_of(machine_file, changes)
    return Shop(made, chart_named(chart or usual_chart(made)))


def split_changes(texts: Sequence[str]) -> list[tuple[str, Any]]:
    """Return key and value of each ``KEY=VALUE``; a value that is no TOML number or truth is text.

    Raises
    ------
    KerfproofError
        If one has no key or no value.
    """
    pairs = []
    for text in texts:
        key, sign, value = (part.strip() for part in text.partition("="))
        if not key or not sign or not value:
            raise KerfproofError(f"{text!r} is no KEY=VALUE", where="--set", advice='write --set "kerf=1.6 mm"')
        pairs.append((key, _value(value)))
    return pairs


def _value(text: str) -> Any:
    try:
        value = tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return text
    return value if isinstance(value, bool | int | float | str | list) else text


def changed(text: str, changes: Sequence[tuple[str, Any]], where: str) -> str:
    """Return a TOML text with other values at some key paths (``torch.light_delay``)."""
    if not changes:
        return text
    try:
        document = tomlkit.parse(text)
    except tomlkit.exceptions.TOMLKitError as error:
        raise KerfproofError(f"this is no TOML: {error}", where=where) from None
    for key, value in changes:
        *tables, last = key.split(".")
        place: Any = document
        for table in tables:
            if table not in place:
                place[table] = tomlkit.table()
            place = place[table]
            if not isinstance(place, dict):
                raise KerfproofError(f"{key} is no key: {table} holds a value", where="--set")
        place[last] = value
    return tomlkit.dumps(document)
