"""What fresh worker processes run in tests of the pool: light to import, and badly behaved where asked."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path


def act(task: tuple[str, str]) -> str:
    """Do what a task says: answer, die or hang; once or always. The second text is a value or a file of marks."""
    word, value = task
    if word == "say":
        return f"said {value}"
    if word == "nap":
        time.sleep(float(value))
        return "rested"
    with Path(value).open("a", encoding="utf-8") as marks:
        marks.write(f"{os.getpid()} {time.monotonic()}\n")
    tries = len(Path(value).read_text(encoding="utf-8").splitlines())
    if word == "die" or (word == "die once" and tries == 1):
        os.kill(os.getpid(), signal.SIGKILL)
    if word == "leave once" and tries == 1:
        os._exit(3)
    if word == "hang" or (word == "hang once" and tries == 1):
        time.sleep(600)
    return f"{word}, try {tries}"


class Unstartable:
    """Work that can't be unpacked in a fresh process."""

    def __call__(self, task: object) -> None:
        """Do nothing."""

    def __reduce__(self) -> tuple[object, tuple[int]]:
        return os._exit, (7,)
