"""What a proof keeps for the next one of much the same program: it finds out from the text what stayed the same."""

from __future__ import annotations

from typing import Any

from kerfproof.gcode.reader.incremental import LastRead
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.evidence.kept_metal import Kept, kept_of


class ProofMemory:
    """The reading of the last program that was proven, and the drawing made ready. It changes no proof but its time.

    Nothing is held for another machine, control, process or mode than the last proof's, nor of any earlier program.
    A proof that is broken off leaves it fit for the next one.
    """

    __slots__ = ("_kept", "_settings", "reading")

    def __init__(self) -> None:
        self.reading = LastRead()
        self._settings: tuple[Any, ...] = ()
        self._kept: Kept | None = None

    def begin(self, *settings: object) -> None:
        """Begin a proof with what it depends on besides texts and drawings; what was held for others is forgotten."""
        now = (*settings, repr(settings))  # written out, 0 and -0 differ
        if now != self._settings:
            self._settings, self.reading = now, LastRead()

    def kept(self, drawn: tuple[Contour, ...]) -> Kept:
        """Return the kept metal of these very contours."""
        held = self._kept.contours if self._kept is not None else ()
        if self._kept is None or len(held) != len(drawn) or any(a is not b for a, b in zip(held, drawn, strict=True)):
            self._kept = kept_of(drawn)
        return self._kept
