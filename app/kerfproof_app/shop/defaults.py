"""The person's own defaults, in ``settings.toml`` of their own folder."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from pathlib import Path

from kerfproof.errors import KerfproofError
from kerfproof_app.shop import store


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The person's own defaults from ``settings.toml``, as written there; None where they say nothing."""

    machine: str | None = None
    chart: str | None = None
    material: str | None = None
    thickness: str | None = None


def settings() -> Settings:
    """Return the person's own defaults; all empty when there is no ``settings.toml``.

    Raises
    ------
    KerfproofError
        If the file is no TOML or holds keys or values that mean nothing.
    """
    path = store.config_folder() / "settings.toml"
    if not path.is_file():
        return Settings()
    try:
        found = tomllib.loads(store.read_text(path))
    except tomllib.TOMLDecodeError as error:
        raise KerfproofError(f"this is no TOML: {error}", where=str(path)) from None
    known = [field.name for field in fields(Settings)]
    wrong = [f"{key} is unknown" for key in found if key not in known]
    wrong += [f"{key} must be text in quotes" for key, value in found.items() if not isinstance(value, str)]
    if wrong:
        raise KerfproofError("; ".join(wrong), where=str(path), advice=f"known are {', '.join(known)}")
    return Settings(**found)


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
    for key, value in values.items():
        document[key] = value
    store.make_folder(path.parent)
    store.write_bytes(path, tomlkit.dumps(document).encode("utf-8"))
    return path
