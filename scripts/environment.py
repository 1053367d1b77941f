"""The project's own environment: made on first use, put right when pyproject.toml changes. Standard library only."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / ".venv"
OLDEST_PYTHON = (3, 11)


class SetupError(Exception):
    """The environment can't be made; the text is one sentence for the person at the terminal."""


def say(text: str) -> None:
    """Say one line to the terminal, past the results on standard output."""
    print(f"kerfproof: {text}", file=sys.stderr, flush=True)


def python_of(folder: Path) -> Path:
    """Return the interpreter of the virtual environment in `folder`."""
    return program_of(folder, "python")


def program_of(folder: Path, name: str) -> Path:
    """Return where the virtual environment in `folder` keeps the program `name`."""
    return folder / "Scripts" / f"{name}.exe" if os.name == "nt" else folder / "bin" / name


def fingerprint(root: Path, extra: str) -> str:
    """Return a short hash of all that an installed environment depends on.

    That is pyproject.toml, the extra, the version of Python, and the place of the tree (the package is installed
    in place, so a moved tree needs a new install). Only the hash is kept, no path.
    """
    digest = hashlib.sha256((root / "pyproject.toml").read_bytes())
    for part in (extra, dotted(sys.version_info), str(root)):
        digest.update(b"\0" + part.encode("utf-8", "surrogateescape"))
    return digest.hexdigest()[:32]


def dotted(version: Sequence[object]) -> str:
    """Return the first two numbers of a version with a dot between."""
    return f"{version[0]}.{version[1]}"


def stamp_of(folder: Path, extra: str) -> Path:
    """Return the file that says for what the environment was last installed."""
    return folder / f"kerfproof-{extra or 'plain'}.stamp"


def is_ready(folder: Path, root: Path, extra: str) -> bool:
    """Return whether the environment is there and was installed for the present pyproject.toml."""
    stamp = stamp_of(folder, extra)
    if not python_of(folder).exists() or not stamp.is_file():
        return False
    return stamp.read_text(encoding="ascii", errors="replace").strip() == fingerprint(root, extra)


def ensure(extra: str = "") -> Path:
    """Return the interpreter of an environment with the package and its `extra`, made or put right if need be.

    Raises
    ------
    SetupError
        If Python is too old, can't make environments, or the libraries can't be installed.
    """
    if sys.version_info[:2] < OLDEST_PYTHON:
        raise SetupError(f"needs Python {dotted(OLDEST_PYTHON)} or later, this is {dotted(sys.version_info)}")
    if not is_ready(FOLDER, ROOT, extra):
        _install(extra)
    return python_of(FOLDER)


def _install(extra: str) -> None:
    if not _works(python_of(FOLDER)):
        _make()
    say("installing its libraries, once; this takes a minute or two")
    target = f"{ROOT}[{extra}]" if extra else str(ROOT)
    command = ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-input", "--editable", target]
    done = subprocess.run([str(python_of(FOLDER)), *command], capture_output=True, text=True, check=False)
    if done.returncode:
        raise SetupError(f"could not install its libraries; is this computer online? {last_line(done.stderr)}")
    stamp_of(FOLDER, extra).write_text(fingerprint(ROOT, extra) + "\n", encoding="ascii")


def _make() -> None:
    say("making its own Python environment in .venv")
    if FOLDER.exists():
        shutil.rmtree(FOLDER, ignore_errors=True)
    done = subprocess.run([sys.executable, "-m", "venv", str(FOLDER)], capture_output=True, text=True, check=False)
    if done.returncode or not _works(python_of(FOLDER)):
        raise SetupError(
            "this Python can't make virtual environments (on Debian and Ubuntu: apt-get install python3-venv) "
            + last_line(done.stderr)
        )


def _works(python: Path) -> bool:
    """Return whether the interpreter runs, has pip, and is of the version that runs this script."""
    if not python.exists():
        return False
    question = f"import sys, pip; sys.exit(sys.version_info[:2] != {sys.version_info[:2]!r})"
    try:
        return subprocess.run([str(python), "-c", question], capture_output=True, check=False).returncode == 0
    except OSError:
        return False


def last_line(text: str) -> str:
    """Return the last line of `text` that says something, without the tree's own place in it."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return lines[-1].replace(str(ROOT), ".") if lines else ""


def call(command: list[str], environment: dict[str, str] | None = None) -> int:
    """Run a command with this terminal and return its exit code (128 + signal when one ended it)."""
    with subprocess.Popen(command, env=environment) as child:
        while True:
            try:
                code = child.wait()
                break
            except KeyboardInterrupt:  # reaches the child by itself; only its end is waited for
                continue
    return 128 - code if code < 0 else code
