"""What the program remembers between starts: recent files, habits of the window, and unfinished work after a crash."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerfproof.errors import KerfproofError
from kerfproof_app.shop import store

MOST_RECENT = 12
JOB, ABOUT, SOURCES = "job.kerfproof.toml", "about.json", "drawings"


@dataclass(frozen=True, slots=True)
class Unfinished:
    """Work that was not closed: what it was called, its job file's text, its drawings, where it was saved."""

    folder: Path
    name: str
    text: str
    sources: Mapping[str, bytes]
    path: Path | None


class Memory:
    """Small things kept in ``window.json`` in the person's own folder. A broken file is as none."""

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder or store.config_folder()
        self._values: dict[str, Any] = {}
        with suppress(KerfproofError, ValueError):
            found = json.loads(store.read_text(self.folder / "window.json"))
            self._values = found if isinstance(found, dict) else {}

    def get(self, key: str, default: Any = None) -> Any:
        """Return what is kept under `key`; `default` also where its type is another."""
        value = self._values.get(key, default)
        return value if default is None or isinstance(value, type(default)) else default

    def put(self, key: str, value: Any) -> None:
        """Keep `value` (plain JSON) under `key`; nothing is said if the disk refuses."""
        if self._values.get(key) == value and key in self._values:
            return
        self._values[key] = value
        with suppress(KerfproofError, OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            text = json.dumps(self._values, indent=1, sort_keys=True, ensure_ascii=False)
            store.write_bytes(self.folder / "window.json", text.encode())

    @property
    def recent(self) -> tuple[Path, ...]:
        """The files opened last, newest first."""
        return tuple(Path(item) for item in self.get("recent", []) if isinstance(item, str))

    def remember(self, path: Path) -> None:
        """Put a file at the head of the recent ones."""
        here = str(path.resolve())
        self.put("recent", [here, *(str(p) for p in self.recent if str(p) != here)][:MOST_RECENT])

    # --- unfinished work ----------------------------------------------------------------------------------

    @property
    def _unfinished(self) -> Path:
        return self.folder / "unfinished"

    def keep(self, name: str, text: str, sources: Mapping[str, bytes], path: Path | None) -> None:
        """Keep the work of this process, so that a crash loses nothing; drawings are written once."""
        place = self._unfinished / str(os.getpid())
        with suppress(KerfproofError, OSError):
            (place / SOURCES).mkdir(parents=True, exist_ok=True)
            names = list(sources)
            for number, source in enumerate(names):
                target = place / SOURCES / f"{number}.dxf"
                if not target.is_file() or target.read_bytes() != sources[source]:
                    store.write_bytes(target, sources[source])
            about = {"name": name, "drawings": names, "path": str(path) if path else ""}
            store.write_bytes(place / ABOUT, json.dumps(about).encode())
            store.write_bytes(place / JOB, text.encode())

    def forget(self, folder: Path | None = None) -> None:
        """Throw away the kept work of this process, or that in `folder`."""
        shutil.rmtree(folder or self._unfinished / str(os.getpid()), ignore_errors=True)

    def unfinished(self) -> tuple[Unfinished, ...]:
        """Return kept work whose process has ended without closing it, newest first."""
        if not self._unfinished.is_dir():
            return ()
        dead = [p for p in self._unfinished.iterdir() if not (p.name.isdigit() and is_running(int(p.name)))]
        found = [self._read(place) for place in sorted(dead, key=lambda p: (-p.stat().st_mtime, p.name))]
        return tuple(work for work in found if work is not None)

    @staticmethod
    def _read(place: Path) -> Unfinished | None:
        try:
            about = json.loads(store.read_text(place / ABOUT))
            text = store.read_text(place / JOB)
            names = enumerate(about["drawings"])
            sources = {name: store.read_bytes(place / SOURCES / f"{number}.dxf") for number, name in names}
            path = Path(about["path"]) if about["path"] else None
            return Unfinished(place, str(about["name"]), text, sources, path)
        except (KerfproofError, ValueError, KeyError, TypeError):
            return None


def is_running(process: int) -> bool:
    """Return whether a process of this number runs."""
    if process == os.getpid():
        return True
    if sys.platform == "win32":  # there os.kill would end it
        import ctypes

        handle = ctypes.windll.kernel32.OpenProcess(0x1000, False, process)
        if handle:
            ctypes.windll.kernel32.CloseHandle(handle)
        return bool(handle)
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
