"""The file ``settings.toml``: TOML text to the person's own defaults."""

from __future__ import annotations

from functools import partial

from kerfproof.errors import KerfproofError
from kerfproof.shop.file_model import FileModel, key, read_model, read_toml, refuse
from kerfproof.shop.material import parse_thickness
from kerfproof_app.shop.defaults import DEFAULT_MATERIAL, Settings

_is = partial(key, Settings)


class SettingsFile(FileModel):
    """The keys of ``settings.toml``."""

    machine: str | None = _is("machine", "Machine of a job that names none.", example="shed", min_length=1)
    chart: str | None = _is("chart", "Cut chart of a job that names none.", example="mine", min_length=1)
    material: str | None = _is("material", "Material of a job that names none.", example="mild steel", min_length=1)
    thickness: str | None = _is("thickness", "Thickness of a job that names none.", example="3 mm", min_length=1)


def parse_settings(text: str, where: str) -> Settings:
    """Return the defaults that a TOML text holds; `where` names the file in messages.

    Raises
    ------
    KerfproofError
        With all mistakes of the file.
    """
    reading = read_model(SettingsFile, read_toml(text, where))
    found, mistakes = Settings(**reading.model.values()), list(reading.mistakes)
    if found.thickness is not None and ("thickness",) not in reading.bad:
        try:
            parse_thickness(found.thickness, found.material or DEFAULT_MATERIAL)
        except KerfproofError as error:
            mistakes.append(f"thickness: {error}")
    refuse(mistakes, where)
    return found
