"""What a proof keeps for the next one against the same drawing."""

from __future__ import annotations

from kerfproof.parts.model.contour import Contour
from kerfproof.proof.evidence.kept_metal import Kept, kept_of


class ProofMemory:
    """The drawing made ready for the last proof. It changes no proof but its time."""

    __slots__ = ("_kept",)

    def __init__(self) -> None:
        self._kept: Kept | None = None

    def kept(self, drawn: tuple[Contour, ...]) -> Kept:
        """Return the kept metal of these very contours."""
        held = self._kept.contours if self._kept is not None else ()
        if self._kept is None or len(held) != len(drawn) or any(a is not b for a, b in zip(held, drawn, strict=True)):
            self._kept = kept_of(drawn)
        return self._kept
