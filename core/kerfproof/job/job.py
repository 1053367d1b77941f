"""The job: everything the person chose, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from kerfproof.box import Box
from kerfproof.errors import RuleChoice
from kerfproof.parts.classify.choices import DrillKind, PageFrames

SUFFIX = ".kerfproof.toml"
"""How job files end."""


class Mode(StrEnum):
    """What the program is for."""

    CUT = "cut"
    DRY = "dry"
    """The same motion raised, no torch word, no touch-off."""
    FRAME = "frame"
    """The box of the job traced raised, a stop at each corner."""
    TOUR = "tour"
    """Every pierce and every hole to drill visited raised, with a stop at each."""


class Origin(StrEnum):
    """Where program zero lies."""

    CORNER = "corner"
    """The plate's lower left corner, parts a margin inside."""
    DRAWING = "drawing"
    """The drawing's own zero."""


class SmallHoles(StrEnum):
    """What happens to holes under the smallest diameter of the process."""

    DRILL = "drill"
    """Left out and listed for the drill."""
    ROUGH = "rough"
    """Cut, rough and oversize, down to the plate's thickness or 2.5 kerfs; narrower ones are left to the drill."""
    ERROR = "error"
    """An error: the program is not written."""


class Rests(StrEnum):
    """What is done where the torch is on longer than rating or air allow."""

    TELL = "tell"
    """A warning."""
    STOP = "stop"
    """A stop between two cuts that says how long to rest."""
    DWELL = "dwell"
    """The program waits by itself between two cuts."""


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
class DrawingPlace:
    """A place on a contour of a drawing, in that drawing's mm."""

    drawing: str
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin(DrawingPlace):
    """A start point that the person chose: a place on a contour of a drawing, in that drawing's mm.

    It is matched to the nearest contour within 0.5 mm whose area and length differ by less than 1 %.
    """

    area: float | None = None
    length: float | None = None
    shape: str | None = None
    size: float | None = None
    """Size of the lead, mm (what the shape calls its size); None: the largest that fits."""
    reverse: bool = False
    """Whether this contour is cut the other way round, so that its lead comes from the other side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContourRole(DrawingPlace):
    """What is done with the one contour of a drawing that passes a place (that drawing's mm), whatever its layer."""

    role: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn(DrawingPlace):
    """One contour of one copy (from 1) of a drawing, by a place on it (that drawing's mm), in an order by hand."""

    copy_number: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class TabPlace(DrawingPlace):
    """A place on an outline of a drawing (that drawing's mm) where a tab shall hold the part."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleRule:
    """Entities that match get `role`: cut, slit, mark or ignore.

    `layer`, `linetype` and `kind` (``TEXT``: all letters, as outlines) are shell patterns in any case of letters,
    `color` is a colour number, a name or ``#rrggbb``; empty ones match all.
    """

    layer: str = ""
    role: str
    color: str = ""
    linetype: str = ""
    kind: str = ""


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
    leave_out: bool = False
    """Whether what can't be cut is left out and the rest is cut."""
    bridges: bool = False
    """Whether bridges hold the middles of stencils."""
    small_holes: SmallHoles = SmallHoles.DRILL
    join_tolerance: float = 0.05
    leads: LeadChoice = field(default_factory=LeadChoice)
    pins: tuple[Pin, ...] = ()
    roles: tuple[RoleRule, ...] = ()
    contour_roles: tuple[ContourRole, ...] = ()
    sequence: tuple[Turn, ...] = ()
    """Contours in the order the person wants; among themselves they are cut so, the others where they fall."""
    drill_marks: DrillKind = DrillKind.NONE
    drill_below: float = 0.0
    """Holes with a diameter up to this are drill marks, too, if points are."""
    page: PageFrames = PageFrames.AUTO
    layers: tuple[str, ...] = ()
    """Only these layers of the drawings (shell patterns, any case of letters); empty: all."""
    window: Box | None = None
    """Only what lies wholly in this box of a drawing: xmin, ymin, xmax, ymax in its mm."""
    rules: tuple[RuleChoice, ...] = ()
    """Rules on programs that count otherwise for this job."""
    rests: Rests = Rests.TELL
    tabs: int = 0
    """So many tabs in each outline that has none by hand."""
    tab_width: float | None = None
    """Metal that a tab leaves; None: by thickness."""
    tab_places: tuple[TabPlace, ...] = ()
