"""How a long run shows how far it is: one line on a terminal, nothing where nobody looks."""

from __future__ import annotations

import shutil
import sys
import time
from collections.abc import Callable
from typing import TextIO

from kerfproof.units import format_time
from kerfproof_app.batch.folder import shown
from kerfproof_app.batch.result import Result


class Progress:
    """Shows count, rate, time left and the present drawing. `clock` counts seconds."""

    def __init__(self, stream: TextIO | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._clock = clock
        self._live = self._stream.isatty()
        self._total = self._done = 0
        self._began = 0.0
        self._now: dict[str, None] = {}
        self._width = 0

    def total(self, count: int, unchanged: int) -> None:
        """Hear how many drawings there are to do, and how many need nothing."""
        self._total, self._done, self._began = count, 0, self._clock()
        self._now.clear()
        self._show()

    def begins(self, name: str) -> None:
        """Hear that a drawing has been begun."""
        self._now[name] = None
        self._show()

    def ends(self, result: Result) -> None:
        """Hear that a drawing is done."""
        self._now.pop(result.name, None)
        self._done += 1
        self._show()

    def says(self, sentence: str) -> None:
        """Print something the person should know above the line, terminal or not."""
        self.clear()
        print(sentence, file=self._stream)
        self._show()

    def clear(self) -> None:
        """Wipe the line."""
        if self._live and self._width:
            self._stream.write(f"\r{' ' * self._width}\r")
            self._stream.flush()
        self._width = 0

    def line(self) -> str:
        """Return the line as it stands."""
        text = f"{self._done}/{self._total}"
        spent = self._clock() - self._began
        if self._done and spent > 0:
            rate = self._done / spent
            text += f"  {_rate(rate)}  {format_time(round((self._total - self._done) / rate))} left"
        return text + (f"  {shown(next(iter(self._now)))}" if self._now else "")

    def _show(self) -> None:
        if not self._live or not self._total:
            return
        columns = max(20, shutil.get_terminal_size().columns - 1)
        text = self.line()[:columns]
        self._stream.write(f"\r{text}{' ' * max(0, self._width - len(text))}\r")
        self._stream.flush()
        self._width = len(text)


def _rate(per_s: float) -> str:
    return f"{per_s:.1f}/s" if per_s >= 1 else f"{per_s * 60:.1f}/min"
