"""The last result of each stage of the work, so that a stage is done again only when what it needs has changed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

Made = TypeVar("Made")


class Memo:
    """Remembers one result a stage, by what it was made from.

    `inputs` are results of earlier stages and count by identity: nothing large is ever compared. `settings` are
    what the person chose and count by value. Results must never be changed by whoever gets them.
    """

    __slots__ = ("_last",)

    def __init__(self) -> None:
        self._last: dict[str, tuple[tuple[Any, ...], tuple[Any, ...], Any]] = {}

    def result(self, stage: str, inputs: tuple[Any, ...], settings: tuple[Any, ...], make: Callable[[], Made]) -> Made:
        """Return what `make` gives, or gave when this stage was last asked from the same inputs and settings.

        A `make` that raises leaves the stage as it was.
        """
        last = self._last.get(stage)
        if last is not None and _are(last[0], inputs) and last[1] == settings:
            made: Made = last[2]
            return made
        made = make()
        self._last[stage] = (inputs, settings, made)
        return made


def _are(before: tuple[Any, ...], now: tuple[Any, ...]) -> bool:
    return len(before) == len(now) and all(a is b for a, b in zip(before, now, strict=True))
