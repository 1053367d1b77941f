"""The last result of each stage of the work, so that a stage is done again only when what it needs has changed."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar

Made = TypeVar("Made")


class Memo:
    """Remembers one result a stage, by what it was made from, and of some stages one result for each of its pieces.

    `inputs` are results of earlier stages and count by identity: nothing large is ever compared. `settings` are
    what the person chose and count by value. Results must never be changed by whoever gets them. Nothing older than
    the last time a stage was done is held; nothing at all without `holds`, which is for work that is done once.
    """

    __slots__ = ("_holds", "_last", "_pieces")

    def __init__(self, *, holds: bool = True) -> None:
        self._holds = holds
        self._last: dict[str, tuple[tuple[Any, ...], tuple[Any, ...], Any]] = {}
        self._pieces: dict[str, tuple[tuple[Any, ...], dict[Hashable, Any]]] = {}

    def result(self, stage: str, inputs: tuple[Any, ...], settings: tuple[Any, ...], make: Callable[[], Made]) -> Made:
        """Return what `make` gives, or gave when this stage was last asked from the same inputs and settings.

        A `make` that raises leaves the stage as it was.
        """
        last = self._last.get(stage)
        if last is not None and _are(last[0], inputs) and last[1] == settings:
            made: Made = last[2]
            return made
        made = make()
        if self._holds:
            self._last[stage] = (inputs, settings, made)
        return made

    @property
    def holds(self) -> bool:
        """Whether anything is held for the next time."""
        return self._holds

    def sealed(self) -> Memo:
        """Return a memo that gives what this one holds and holds nothing more."""
        sealed = Memo(holds=False)
        sealed._last.update(self._last)
        return sealed

    @contextmanager
    def pieces(self, stage: str, settings: tuple[Any, ...]) -> Iterator[Pieces]:
        """Give the results for the pieces of a stage that were used the last time, if the settings are the same.

        Those asked for within the context are held for the next time, unless it raises: then nothing changes.
        """
        last = self._pieces.get(stage)
        pieces = Pieces(last[1] if last is not None and last[0] == settings else {})
        yield pieces
        if self._holds:
            self._pieces[stage] = (settings, pieces.used)


class Pieces:
    """Results by piece. A key holds all that its result depends on: plain values, or objects compared by identity."""

    __slots__ = ("_before", "used")

    def __init__(self, before: dict[Hashable, Any]) -> None:
        self._before = before
        self.used: dict[Hashable, Any] = {}

    def one(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """Return the result for `key`, made now if it was not used the last time."""
        for known in (self.used, self._before):
            if key in known:
                made: Made = known[key]
                break
        else:
            made = make()
        self.used[key] = made
        return made

    def all(self, keys: Sequence[Hashable], make: Callable[[list[int]], Iterable[Made]]) -> list[Made]:
        """Return the results for `keys`; `make` gives those at the places in the list that it gets, in order."""
        before = self._before
        new = [k for k, key in enumerate(keys) if key not in before]
        found = {keys[k]: made for k, made in zip(new, make(new), strict=True)} if new else {}
        out: list[Made] = [before[key] if key in before else found[key] for key in keys]
        self.used.update(zip(keys, out, strict=True))
        return out


def _are(before: tuple[Any, ...], now: tuple[Any, ...]) -> bool:
    return len(before) == len(now) and all(a is b for a, b in zip(before, now, strict=True))
