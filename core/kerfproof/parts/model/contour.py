"""Contours: drawn entities joined end to end."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from kerfproof.errors import Finding
from kerfproof.geom.path import Floats, Path


class Role(StrEnum):
    """What is done with a contour."""

    CUT = "cut"
    SLIT = "slit"
    """An open chain cut on its line."""
    MARK = "mark"
    IGNORE = "ignore"


@dataclass(frozen=True, slots=True, eq=False)
class Contour:
    """A closed or open chain of entities. `samples` and `fit_error` as in `Entity`."""

    path: Path
    handles: tuple[str, ...]
    layer: str
    role: Role = Role.CUT
    fit_error: float = 0.0
    samples: Floats | None = None
    drill: bool = False
    """A stroke of a mark for the drill."""


@dataclass(frozen=True, slots=True)
class Mend:
    """One thing put right while joining: what, where (mm), how much (mm)."""

    what: str
    """``gap closed``, ``duplicate removed``, ``overlap removed``, ``bit dropped``, ``loop closed``."""
    x: float
    y: float
    size: float
    handles: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ContourFault:
    """A place where contours go wrong: ``open end``, ``crossing`` or ``branch``, in mm."""

    what: str
    x: float
    y: float


@dataclass(frozen=True, slots=True, eq=False)
class Contours:
    """All that joining made of a drawing."""

    closed: tuple[Contour, ...]
    open: tuple[Contour, ...]
    points: tuple[tuple[float, float], ...]
    mends: tuple[Mend, ...]
    findings: tuple[Finding, ...]
    refused: tuple[Contour, ...] = ()
    """Closed contours that meet themselves or others, and chains that branch: neither cut nor joined."""
    faults: tuple[ContourFault, ...] = ()
    aside: tuple[Contour, ...] = ()
    """What is ignored, chain by chain where a single one was given a role, else entity by entity."""
