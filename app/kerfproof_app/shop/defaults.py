"""The person's own defaults, in ``settings.toml`` of their own folder."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from kerfproof_app.shop import store

DEFAULT_MATERIAL = "mild steel"


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
        With all mistakes of the file.
    """
    path = store.config_folder() / "settings.toml"
    if not path.is_file():
        return Settings()
    from kerfproof_app.shop.settings_file import parse_settings  # not before it is needed: the window opens without it

    return parse_settings(store.read_text(path), str(path))


def set_settings(**values: str) -> Path:
    """Write some of the person's own defaults, keep all else of the file, and return where it lies.

    Raises
    ------
    KerfproofError
        If a file that stands there has mistakes, or can't be written.
    """
    import tomlkit  # not before it is needed: the command line starts without it

    from kerfproof.shop.file_format import with_format

    settings()
    path = store.config_folder() / "settings.toml"
    document = tomlkit.parse(store.read_text(path)) if path.is_file() else tomlkit.document()
    for name, value in values.items():
        document[name] = value
    store.make_folder(path.parent)
    store.write_bytes(path, with_format(tomlkit.dumps(document)).encode("utf-8"))
    return path
