"""What the files in `entities/` define: how one kind of DXF entity is read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kerfproof.drawing.dxf.frame import BlockTransform
from kerfproof.geom.path import Floats, Path


def check_given(entity: Any, *names: str) -> None:
    """Check that the file gives all these attributes: what is missing must not become 0 in silence.

    Raises
    ------
    ValueError
        If one is missing.
    """
    missing = [name for name in names if not entity.dxf.hasattr(name)]
    if missing:
        raise ValueError(
            f"its {' and '.join(missing).replace('_', ' ')} {'is' if len(missing) == 1 else 'are'} missing"
        )


class NotCut(Exception):
    """The entity is sound but nothing to cut; the text says why."""


@dataclass(frozen=True, slots=True, eq=False)
class DrawnShape:
    """One entity in mm: a path or a point; `fit_error` and `samples` as in `kerfproof.drawing.drawing.Entity`."""

    path: Path | None
    point: tuple[float, float] | None = None
    fit_error: float = 0.0
    samples: Floats | None = None


@dataclass(frozen=True, slots=True)
class EntityReader:
    """Reads one kind of entity.

    `read` takes the entity and the frame it lies in. It raises `NotCut` for what is left out with a reason, and
    ValueError for what makes no curve.
    """

    kind: str
    read: Callable[[Any, BlockTransform], DrawnShape]
