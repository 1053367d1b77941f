"""The job: everything the person chose, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class Mode(StrEnum):
    """What the program is for."""

    CUT = "cut"
    DRY = "dry"
    """The same motion raised, no torch word, no touch-off."""
    FRAME = "frame"
    """The box of the job traced raised, a stop at each corner."""


class Origin(StrEnum):
    """Where program zero lies."""

    CORNER = "corner"
    """The plate's lower left corner, parts a margin inside."""
    DRAWING = "drawing"
    """The drawing's own zero."""


class SmallHoles(StrEnum):
    """What happens to holes under the smallest diameter of the process."""

    REFUSE = "refuse"
    """An error: the program is not written."""
    DRILL = "drill"
    """Round ones are left out and listed for drilling; slots, which no drill makes, are cut, rough."""
    CUT = "cut"
    """Cut all the same wherever a lead fits; rough."""


class Order(StrEnum):
    """Which features are cut before which."""

    PARTS = "parts"
    """Part by part over the plate."""
    HOLES_FIRST = "holes first"
    """All holes of the plate, then all outlines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadChoice:
    """How leads are chosen. None: by process and feature."""

    shape: str | None = None
    """Name of a lead shape for all features where it fits."""
    radius: float | None = None
    straight: float | None = None
    over_burn_outline: float | None = None
    over_burn_hole: float | None = None
    lead_out: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A start point that the person chose: a place on a contour of a drawing, in that drawing's mm.

    It is matched to the nearest contour within 0.5 mm whose area and length differ by less than 1 %.
    """

    drawing: str
    x: float
    y: float
    area: float | None = None
    length: float | None = None
    shape: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleRule:
    """Entities on layers that match `layer` (shell pattern, any case) get `role`: cut, slit, mark or ignore."""

    layer: str
    role: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingUse:
    """One drawing of the job and how it is used."""

    name: str
    count: int = 1
    mm_per_unit: float | None = None
    """None: as the file says."""
    turn_deg: float = 0.0
    mirror: bool = False
    sha256: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Everything the person chose. Lengths mm, feeds mm/min, times s. None: as machine or chart say."""

    drawings: tuple[DrawingUse, ...]
    machine: str
    chart: str
    material: str
    thickness: float
    amps: float | None = None
    kerf: float | None = None
    feed_mm_min: float | None = None
    pierce_delay_s: float | None = None
    plate: tuple[float, float] | None = None
    origin: Origin = Origin.CORNER
    margin: float | None = None
    mode: Mode = Mode.CUT
    order: Order = Order.PARTS
    spread: bool = False
    """Whether neighbours are cut one after the other as late as possible, for thin sheet."""
    sharp_corners: bool = False
    small_holes: SmallHoles = SmallHoles.REFUSE
    join_tolerance: float = 0.05
    leads: LeadChoice = field(default_factory=LeadChoice)
    pins: tuple[Pin, ...] = ()
    roles: tuple[RoleRule, ...] = ()
