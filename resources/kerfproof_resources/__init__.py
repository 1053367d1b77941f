"""Built-in machines, charts, drawings and guide, by name."""

from __future__ import annotations

from importlib.resources import files


def names(folder: str, ending: str) -> tuple[str, ...]:
    """Return the names of the files of a folder in alphabetical order, without their `ending`."""
    place = files(__name__) / folder
    found = (entry.name for entry in place.iterdir()) if place.is_dir() else ()
    return tuple(sorted(name.removesuffix(ending) for name in found if name.endswith(ending)))


def text(folder: str, name: str, ending: str) -> str:
    """Return the text of one file.

    Raises
    ------
    KeyError
        If there is no such file.
    """
    return data(folder, name, ending).decode("utf-8")


def data(folder: str, name: str, ending: str) -> bytes:
    """Return the bytes of one file.

    Raises
    ------
    KeyError
        If there is no such file.
    """
    if name not in names(folder, ending):
        raise KeyError(name)
    return (files(__name__) / folder / f"{name}{ending}").read_bytes()


def machine_names() -> tuple[str, ...]:
    """Return the names of the built-in machines."""
    return names("machines", ".toml")


def machine_text(name: str) -> str:
    """Return the file of a built-in machine. Raises KeyError if there is none."""
    return text("machines", name, ".toml")


def chart_names() -> tuple[str, ...]:
    """Return the names of the built-in cut charts."""
    return names("charts", ".toml")


def chart_text(name: str) -> str:
    """Return the file of a built-in cut chart. Raises KeyError if there is none."""
    return text("charts", name, ".toml")


def drawing_names() -> tuple[str, ...]:
    """Return the names of the demo drawings, without ``.dxf``."""
    return names("drawings", ".dxf")


def drawing_bytes(name: str) -> bytes:
    """Return a demo drawing. Raises KeyError if there is none."""
    return data("drawings", name, ".dxf")


def guide_names() -> tuple[str, ...]:
    """Return the names of the pages of the guide."""
    return names("guide", ".md")


def guide_folder() -> str:
    """Return where the pages of the guide lie; what they show is named from there."""
    return str(files(__name__) / "guide")


def guide_text(name: str) -> str:
    """Return a page of the guide. Raises KeyError if there is none."""
    return text("guide", name, ".md")
