"""The neutral instructions: all that planning and writing share."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from kerfproof.box import Box
from kerfproof.geom.path import Path
from kerfproof.job.job import Mode
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

Point = tuple[float, float]

FLANK = 10.0
"""Straights of a slowed slot longer than this (mm) are cut at the feed of the chart (common practice, no source)."""


class StartAt(StrEnum):
    """Where a cut begins."""

    PLATE = "plate"
    """A pierce in sound plate."""
    EDGE = "edge"
    """On the edge of the plate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StartTrial:
    """Other values than machine and chart give, for the start of one cut of a test piece. None: as they say."""

    light_delay_s: float | None = None
    preload: float | None = None
    rise_feed_mm_min: float | None = None
    pierce_height: float | None = None
    pierce_delay_s: float | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Cut:
    """One torch-on run, in plate coordinates.

    Motion is `lead_in` (pierce to contour start; None if the pierce lies on the path), then `contour` (open
    path; of a closed feature it ends where it began), then `over_burn` (on over the beginning), then
    `lead_out`. Each begins where the one before ends. `via` are points to pass at travel height on the way to
    the pierce (around freed pieces); `full_raise` asks for the top of travel on that way, `hop` for a height (mm) over
    the plate lower than the travel height. `touch_at` is where
    to touch off if not at the pierce.
    """

    feature: int
    kind: str
    """``outline``, ``hole``, ``slit`` or ``mark``."""
    part: str
    label: str
    pierce: Point
    contour: Path
    lead_in: Path | None = None
    over_burn: Path | None = None
    lead_out: Path | None = None
    feed_mm_min: float
    kerf: float
    start_at: StartAt = StartAt.PLATE
    via: tuple[Point, ...] = ()
    full_raise: bool = False
    hop: float | None = None
    touch_at: Point | None = None
    tip_sound: bool = True
    """Whether the face of the tip stands on sound plate at the pierce, clear of all earlier kerfs."""
    lead_shape: str = ""
    flank_feed_mm_min: float | None = None
    """The feed of long straights in `contour` where it is another, None elsewhere."""
    trial: StartTrial | None = None
    """What the start of this cut tries, None in all but test pieces."""

    @property
    def pieces(self) -> tuple[Path, ...]:
        """The paths of the run in order."""
        return tuple(p for p in (self.lead_in, self.contour, self.over_burn, self.lead_out) if p is not None)

    @property
    def end(self) -> Point:
        """Where the torch goes out."""
        x, y = self.pieces[-1].end
        return float(x), float(y)

    def length(self) -> float:
        """Return the length of the whole run."""
        return sum(p.length() for p in self.pieces)


class PauseKind(StrEnum):
    """Why a program pauses between two cuts."""

    LOOK = "look"
    """An optional stop: did the torch light, did it cut through?"""
    WITNESS = "witness"
    """Over the witness mark: did an axis lose steps?"""
    TIP = "tip"
    """A new tip."""
    REST = "rest"
    """Torch, power source and tank recover."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause:
    """A pause after cut number `after` (from 0), torch off and raised; at a place of its own or where the cut ended.

    `seconds` is how long a rest lasts; `dwell` tells that the program waits by itself instead of stopping.
    """

    after: int
    kind: PauseKind
    at: Point | None = None
    seconds: float = 0.0
    dwell: bool = False
    look: bool = False
    """Whether freed pieces may stand up in the way to its place, so that a stop asks to look first."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CutPlan:
    """All cuts of one plate in order, with what the writer needs to know.

    `plate` is xmin, ymin, xmax, ymax in program coordinates. `heading` are key and value pairs for the block
    of comments at the top that lets anyone repeat the proof (``kerfproof.gcode.header_lines``).
    """

    name: str
    cuts: tuple[Cut, ...]
    plate: Box
    machine: Machine
    process: Process
    mode: Mode = Mode.CUT
    heading: tuple[tuple[str, str], ...] = ()
    drill: tuple[tuple[str, Point], ...] = ()
    """Label and middle of each hole that is left to the drill; a tour stops there too."""
    pauses: tuple[Pause, ...] = ()
    """Pauses between cuts, in order; a dry run, a frame and a tour have none."""
    resumed: bool = False
    """Whether it goes on with a plate on which another program began."""
    tabs: tuple[Path, ...] = ()
    """Pieces of the torch's path that are left uncut, so that tabs hold the parts."""
