"""The person's own defaults, in ``settings.toml`` of their own folder."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path

from kerfproof.errors import KerfproofError
from kerfproof.shop.file_format import with_format
from kerfproof.shop.file_model import FileModel, key, read_model, read_toml, refuse
from kerfproof.shop.material import parse_thickness
from kerfproof_app.shop import store

DEFAULT_MATERIAL = "mild steel"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The person's own defaults from ``settings.toml``, as written there; None where they say nothing."""

    machine: str | None = None
    chart: str | None = None
    material: str | None = None
    thickness: str | None = None


_is = partial(key, Settings)


class SettingsFile(FileModel):
    """The keys of ``settings.toml``."""

    machine: str | None = _is("machine", "Machine of a job that names none.", example="shed", min_length=1)
    chart: str | None = _is("chart", "Cut chart of a job that names none.", example="mine", min_length=1)
    material: str | None = _is("material", "Material of a job that names none.", example="mild steel", min_length=1)
    thickness: str | None = _is("thickness", "Thickness of a job that names none.", example="3 mm", min_length=1)


def settings() -> Settings:
    """Return the person's own defaults; all empty when there is no ``settings.toml``.

    Raises
    ------
    KerfproofError
        With all mistakes of the file.
    """
    path = store.config_folder() / "settings.toml"
    if not path.is_file():
        return Settings()
    where = str(path)
    reading = read_model(SettingsFile, read_toml(store.read_text(path), where))
    found, mistakes = Settings(**reading.model.values()), list(reading.mistakes)
    if found.thickness is not None and ("thickness",) not in reading.bad:
        try:
            parse_thickness(found.thickness, found.material or DEFAULT_MATERIAL)
        except KerfproofError as error:
            mistakes.append(f"thickness: {error}")
    refuse(mistakes, where)
    return found


def set_settings(**values: str) -> Path:
    """Write some of the person's own defaults, keep all else of the file, and return where it lies.

    Raises
    ------
    KerfproofError
        If a file that stands there has mistakes, or can't be written.
    """
    import tomlkit  # not before it is needed: the command line starts without it

    settings()
    path = store.config_folder() / "settings.toml"
    document = tomlkit.parse(store.read_text(path)) if path.is_file() else tomlkit.document()
    for name, value in values.items():
        document[name] = value
    store.make_folder(path.parent)
    store.write_bytes(path, with_format(tomlkit.dumps(document)).encode("utf-8"))
    return path
