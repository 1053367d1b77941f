"""The machine file: TOML text to `Machine` and back."""

from __future__ import annotations

from collections.abc import Callable, Collection
from functools import partial
from typing import Annotated, Any

from pydantic import Field

from kerfproof.errors import RuleChoice
from kerfproof.shop.file_model import (
    FileModel,
    FileReading,
    Place,
    key,
    key_of,
    nested,
    read_model,
    read_toml,
    refuse,
    stem,
)
from kerfproof.shop.file_text import commented_toml, schema_of
from kerfproof.shop.machine_checks import checked, dialect_mistake, machine_mistakes
from kerfproof.shop.machine_sections import (
    AirSection,
    ControlSection,
    HeightControlSection,
    TableSection,
    TorchSection,
    TouchOffSection,
    WatchSection,
    ZSection,
)
from kerfproof.shop.profile import Machine, TouchOff
from kerfproof.shop.spelling import RuleChoices

_is = partial(key, Machine)


class MachineFile(FileModel):
    """A machine file."""

    name: str = _is("name", "Short name of the machine.", example="my-table", min_length=1)
    title: str = _is("title", "What it is, in one line.")
    note: str = _is("note", "Anything worth knowing.")
    table: TableSection = Field(description="X and Y.")
    z: ZSection = Field(description="The torch axis. Heights are of the tip over the plate.")
    control: ControlSection = Field(description="The motion control and the programs written for it.")
    torch: TorchSection = Field(description="The torch and its power source.")
    touch_off: TouchOffSection = Field(description="How the plate is found before each cut.")
    height_control: HeightControlSection = Field(
        default=HeightControlSection(), description="Height control by arc voltage, if the machine has one."
    )
    air: AirSection = Field(default=AirSection(), description="Compressed air, as far as it is known.")
    watch: WatchSection = Field(
        default=WatchSection(), description="What programs do so that lost steps and worn tips are seen."
    )

    rules: Annotated[tuple[RuleChoice, ...], RuleChoices()] = _is(
        "rules",
        "Rules on programs that count otherwise on this machine, each with error, warning, note or off, a colon and "
        'the reason: line-too-long = "note: the control reads longer lines".',
    )


_FIXED_HEAD = {"preload": 0.0, "touch_fast_mm_min": 300.0, "touch_slow_mm_min": 120.0}
"""What stands for missing keys on a fixed head: its tip is pressed into the plate by whatever overruns."""

_SECTIONS = tuple((key_of(name, info), name) for name, info in MachineFile.model_fields.items() if nested(info))


def parse_machine(
    text: str,
    where: str,
    *,
    dialects: Collection[str] | None = None,
    lines: Callable[[Machine], list[str]] | None = None,
) -> Machine:
    """Return the machine that a TOML text describes.

    `where` names the file in messages; without the key ``name`` the machine is called as the file. `dialects`
    are the names that ``control.dialect`` may have; None: any. `lines` judges the lines of a machine, and may be given
    one whose wrong keys are missing.

    Raises
    ------
    KerfproofError
        With all mistakes of the file, one per line, each with its key path.
    """
    raw = read_toml(text, where)
    raw.setdefault("name", stem(where, "machine"))
    reading = read_model(MachineFile, raw)
    known = _known(reading, raw)
    mistakes = [*reading.mistakes, *_float_missing(known, raw), *machine_mistakes(known)]
    if dialects is not None and "dialect" in known:
        mistakes += dialect_mistake(known["dialect"], dialects)
    if lines is not None:
        mistakes += checked(known, lines)
    refuse(mistakes, where)
    return Machine(**known)


def machine_to_toml(machine: Machine) -> str:
    """Return a machine file with a comment for each key; `parse_machine` reads back the same machine."""
    return commented_toml(MachineFile, machine, machine.inches)


def machine_schema() -> dict[str, Any]:
    """Return the JSON Schema of machine files."""
    return schema_of(MachineFile, "Kerfproof machine file")


def _known(reading: FileReading[MachineFile], raw: dict[str, Any]) -> dict[str, Any]:
    """Return the fields of the machine that the file gives rightly, defaults included."""
    model = reading.model
    known: dict[str, Any] = {"name": model.name, "title": model.title, "note": model.note, "rules": model.rules}
    given: dict[str, Place] = {}
    for section_key, name in _SECTIONS:
        section = getattr(model, name)
        known |= section.values()
        given |= {n: (section_key, key_of(n, info)) for n, info in type(section).model_fields.items()}
    if known["touch_off"] is not TouchOff.FLOAT:
        known |= {n: value for n, value in _FIXED_HEAD.items() if not _has(raw, given[n])}
    for place in reading.bad:
        for name in [n for n, at in given.items() if at[: len(place)] == place]:
            known.pop(name, None)
    return known


def _float_missing(known: dict[str, Any], raw: dict[str, Any]) -> list[str]:
    """Return what a floating head must tell: every head has its own float, a default would be a guess."""
    if known.get("touch_off") is not TouchOff.FLOAT:
        return []
    return [
        f'touch_off.{k}: is missing, measure it on your head and write for example {k} = "{example}"'
        for k, example in (("float", "0.75 in"), ("float_stroke", "1.25 in"))
        if not _has(raw, ("touch_off", k))
    ]


def _has(raw: dict[str, Any], place: Place) -> bool:
    section = raw.get(str(place[0]))
    return isinstance(section, dict) and place[1] in section
