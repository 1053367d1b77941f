"""The system libraries that Qt needs and that no Python package brings."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

from environment import SetupError, last_line, say

DEBIAN_PACKAGES = (
    "libegl1",
    "libgl1",
    "libxkbcommon0",
    "libxkbcommon-x11-0",
    "libdbus-1-3",
    "libfontconfig1",
    "libfreetype6",
    "libglib2.0-0",
    "libxcb-cursor0",
    "libxcb-icccm4",
    "libxcb-keysyms1",
    "libxcb-shape0",
    "libxcb-xkb1",
)
QUESTION = "from PySide6.QtWidgets import QApplication; QApplication([])"


def complaint(python: Path) -> str:
    """Return why a window can't be made with this interpreter, empty if it can."""
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run([str(python), "-c", QUESTION], capture_output=True, text=True, check=False, env=environment)
    return (last_line(done.stderr) or f"exit code {done.returncode}") if done.returncode else ""


def missing_library(text: str) -> str:
    """Return the file name of the library that the loader's message misses, empty if it names none."""
    found = re.search(r"(lib[\w.+-]+\.so[\w.]*): cannot open shared object", text)
    return found.group(1) if found else ""


def ensure(python: Path) -> None:
    """Make sure that Qt loads; on Debian, as root, install what it needs.

    Raises
    ------
    SetupError
        If it doesn't load and can't be helped from here.
    """
    trouble = complaint(python)
    if trouble and can_install():
        say("installing the system libraries that Qt needs")
        _apt("update")
        _apt("install", "--yes", "--no-install-recommends", *DEBIAN_PACKAGES)
        trouble = complaint(python)
    if trouble:
        raise SetupError(sentence(trouble))


def can_install() -> bool:
    """Return whether system packages can be installed here without asking anyone."""
    return sys.platform == "linux" and shutil.which("apt-get") is not None and os.geteuid() == 0


def sentence(trouble: str) -> str:
    """Return what is wrong and how to help it, as one sentence."""
    library = missing_library(trouble)
    what = f"{library} is missing" if library else trouble
    how = f"; install it with: apt-get install {' '.join(DEBIAN_PACKAGES)}" if sys.platform == "linux" else ""
    return f"the window's tests can't run because Qt does not load: {what}{how}"


def _apt(*words: str) -> None:
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    command = ["apt-get", "-qq", *words]
    done = subprocess.run(
        command, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False, env=environment
    )
    if done.returncode:
        say(f"apt-get {words[0]} failed: {last_line(done.stderr)}")
