"""Files: drawings in, programs out, the shop's machines and charts.

The only place that touches the disk. A write either succeeds whole or leaves what was there before.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

import platformdirs

from kerfproof.errors import KerfproofError
from kerfproof.shop.file_format import with_format

CONFIG_VARIABLE = "KERFPROOF_CONFIG"
"""Environment variable that names another folder for the person's own files."""
KINDS = {"machines": "machine", "charts": "chart"}
LARGEST = 512 * 1024 * 1024
"""Bytes; a file beyond this is no drawing of a part."""


class NoSuchFile(KerfproofError):
    """A file that is not there."""


@dataclass(frozen=True, slots=True)
class ShopFile:
    """The text of one machine or chart file. `origin` is ``built-in``, ``own`` or ``file``."""

    name: str
    text: str
    origin: str
    where: str
    """How messages call it: the file name, or the name of a built-in."""


# --- files in and out ---------------------------------------------------------------------------------


def read_bytes(path: Path) -> bytes:
    """Return what the file holds.

    Raises
    ------
    KerfproofError
        If there is no such file, it is a folder, it can't be read or is larger than any drawing.
    """
    try:
        if path.is_dir():
            raise KerfproofError("this is a folder", where=str(path), advice="name a file in it")
        if path.stat().st_size > LARGEST:
            raise KerfproofError(f"the file is larger than {LARGEST >> 20} MB", where=str(path))
        return path.read_bytes()
    except FileNotFoundError:
        raise NoSuchFile("no such file", where=str(path), advice="check the name and the folder") from None
    except OSError as error:
        raise KerfproofError(f"can't be read: {reason_of(error)}", where=str(path)) from None
    except ValueError:
        raise KerfproofError("this is no file name", where=repr(str(path))) from None


def read_text(path: Path) -> str:
    """Return a text file's text: UTF-8 with or without a mark, else Western.

    Raises
    ------
    KerfproofError
        As `read_bytes`.
    """
    return text_of(read_bytes(path))


def text_of(data: bytes) -> str:
    """Return the text of bytes: UTF-8 with or without a mark, else Western."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def check_target(path: Path) -> None:
    """Check before the work that a file can be written to `path`.

    Raises
    ------
    KerfproofError
        If it is a folder, its folder is missing, or nothing may be written there.
    """
    if path.is_dir():
        raise KerfproofError("this is a folder", where=str(path), advice="name the file to write")
    folder = path.resolve().parent
    if not folder.is_dir():
        raise KerfproofError(
            "can't be written: its folder does not exist", where=str(path), advice="make the folder first"
        )
    target = path.resolve()
    if not os.access(target if target.exists() else folder, os.W_OK):
        raise KerfproofError("can't be written: no permission", where=str(path), advice="choose another folder")


def make_folder(path: Path) -> None:
    """Make a folder and those above it, if they are not there.

    Raises
    ------
    KerfproofError
        If it can't be made.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise KerfproofError(f"can't be made: {reason_of(error)}", where=str(path)) from None


def write_bytes(path: Path, data: bytes) -> None:
    """Write `data` to `path`, whole or not at all: a failed write leaves the old file as it was.

    Raises
    ------
    KerfproofError
        If it can't be written.
    """
    check_target(path)
    target = path.resolve()  # a link keeps pointing to its file
    try:
        if target.exists() and not target.is_file():
            target.write_bytes(data)  # a pipe or a device can't be replaced
        else:
            _replace(target, data)
    except OSError as error:
        raise KerfproofError(f"can't be written: {reason_of(error)}", where=str(path)) from None


def _replace(target: Path, data: bytes) -> None:
    mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else 0o666 & ~_umask()
    handle, name = tempfile.mkstemp(prefix=".kerfproof-", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(mode)
        Path(name).replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise


def _umask() -> int:
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def reason_of(error: OSError) -> str:
    """Return why the disk refuses, in its own words."""
    return (error.strerror or type(error).__name__).lower()


# --- machines and charts ------------------------------------------------------------------------------


def config_folder() -> Path:
    """Return the folder of the person's own files; it need not exist."""
    given = os.environ.get(CONFIG_VARIABLE)
    return Path(given) if given else Path(platformdirs.user_config_path("kerfproof", appauthor=False))


def own_path(kind: str, name: str) -> Path:
    """Return where the person's own file `name` of ``machines`` or ``charts`` lies, there or not."""
    return config_folder() / kind / f"{name}.toml"


def shop_files(kind: str) -> list[ShopFile]:
    """Return all files of ``machines`` or ``charts`` by name; the person's own hide built-ins of the same name."""
    found = {file.name: file for file in _built_in(kind)}
    found.update({file.name: file for file in _own(kind)})
    return [found[name] for name in sorted(found)]


def shop_file(kind: str, name: str) -> ShopFile:
    """Return a machine or chart by file path or by name: the person's own first, then the built-in ones.

    Raises
    ------
    KerfproofError
        If there is none; the advice lists the names there are.
    """
    if _looks_like_path(name):
        path = Path(name)
        return ShopFile(path.stem, read_text(path), "file", str(path))
    files = shop_files(kind)
    for file in files:
        if file.name == name:
            return file
    word = KINDS[kind]
    names = ", ".join(file.name for file in files)
    raise KerfproofError(
        f"no {word} is called {name!r}", advice=f"there are: {names}; or give the path of a {word} file"
    )


def _looks_like_path(name: str) -> bool:
    return name.lower().endswith(".toml") or "/" in name or "\\" in name


def _built_in(kind: str) -> Iterator[ShopFile]:
    folder = resources.files("kerfproof_resources") / kind
    if not folder.is_dir():
        return
    for item in folder.iterdir():
        if item.name.endswith(".toml"):
            name = item.name.removesuffix(".toml")
            yield ShopFile(name, item.read_text(encoding="utf-8"), "built-in", f"{name}.toml (built-in)")


def _own(kind: str) -> Iterator[ShopFile]:
    folder = config_folder() / kind
    if not folder.is_dir():
        return
    for path in sorted(folder.glob("*.toml")):
        yield ShopFile(path.stem, read_text(path), "own", str(path))


def copy_shop_file(kind: str, name: str, new: str) -> Path:
    """Copy a machine or chart into the person's own folder under a new name and return its path.

    The title of a machine, which programs, pictures and sheets show, begins with the new name.

    Raises
    ------
    KerfproofError
        If there is no such file, the new name is no plain name, or it is taken by an own file.
    """
    source = shop_file(kind, name)
    text = re.sub(r'^name[ \t]*=[ \t]*"[^"\n]*"', f'name = "{new}"', source.text, count=1, flags=re.MULTILINE)
    if kind == "machines":
        text = re.sub(_TITLE, lambda found: f'title = "{_retitled(found[1], source.name, new)}"', text, count=1)
    return write_shop_file(kind, new, text)


_TITLE = re.compile(r'^title[ \t]*=[ \t]*"([^"\n]*)"', re.MULTILINE)


def _retitled(title: str, name: str, new: str) -> str:
    """Return the title of a copy: the new name, and in parentheses what the machine `name` is."""
    what = title.removeprefix(f"{name} (").removesuffix(")") if title.startswith(f"{name} (") else title
    return f"{new} ({what})" if what else new


def write_shop_file(kind: str, new: str, text: str) -> Path:
    """Write a machine or chart as an own file under a new name and return its path.

    Raises
    ------
    KerfproofError
        If the name is no plain name, is taken by an own file, or the file can't be written.
    """
    if not new or not all(c.isalnum() or c in "-_." for c in new) or new.startswith("."):
        raise KerfproofError(f"{new!r} is no name for a file", advice="use letters, digits and -")
    target = own_path(kind, new)
    if target.exists():
        raise KerfproofError("this file is there already", where=str(target), advice="choose another name")
    make_folder(target.parent)
    write_bytes(target, with_format(text).encode("utf-8"))
    return target


def font_files() -> tuple[str, ...]:
    """Return the paths of the fonts that pictures are lettered with."""
    folder = resources.files("kerfproof_resources") / "fonts"
    if not folder.is_dir():
        return ()
    return tuple(sorted(str(item) for item in folder.iterdir() if item.name.endswith(".ttf")))
