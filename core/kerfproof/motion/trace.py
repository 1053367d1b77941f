"""What a program makes the machine do, step by step, and the world it does it in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Protocol

from kerfproof.geom.path import Bools, Floats, Ints


class Step(IntEnum):
    """Kind of one row of a trace."""

    RAPID = 0
    FEED = 1
    ARC = 2
    PROBE = 3
    DWELL = 4
    TORCH_ON = 5
    TORCH_OFF = 6
    STOP = 7
    OPTIONAL_STOP = 8
    DATUM = 9
    """The Z frame was shifted (G92, G10) or cleared."""
    OUTPUT = 10
    """Another M-word or a line of the machine file (height control, sense circuit, arc wait)."""
    END = 11


@dataclass(frozen=True, slots=True)
class Probed:
    """What a probing move did: whether it tripped, where the trip was and where the axes came to rest (3,)."""

    tripped: bool
    trip: tuple[float, float, float]
    rest: tuple[float, float, float]


class World(Protocol):
    """What the program can feel of the table. All positions are machine frame, mm."""

    def probe(
        self, start: tuple[float, float, float], target: tuple[float, float, float], feed_mm_min: float
    ) -> Probed:
        """Return what a probing move from `start` towards `target` does."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class StartState:
    """The control's state when the program begins; all that a careless program would inherit.

    `position` is machine frame; `offset` the active work offset and `shift` the G92 shift, so that program
    coordinates = position - offset - shift. All mm.
    """

    position: tuple[float, float, float] = (0.0, 0.0, 0.0)
    offset: tuple[float, float, float] = (0.0, 0.0, 0.0)
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    inches: bool = False
    incremental: bool = False
    plane: int = 17
    feed_mm_min: float = 0.0
    torch: bool = False
    motion: str = "G80"
    compensation: bool = False


@dataclass(frozen=True, slots=True)
class Unread:
    """Text that could not be understood or done: `line` and `column` from 1, the words, why.

    `error` is true where a control would stop or refuse (then motion of that line is left out), false where
    the words are merely unknown here.
    """

    line: int
    column: int
    text: str
    reason: str
    error: bool = True


@dataclass(frozen=True, slots=True)
class Change:
    """A modal word took effect: which modal `group` (``units``, ``plane``, ``distance``, ``path``...), to what."""

    line: int
    group: str
    word: str


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """The program as it would run: parallel arrays of length n, one row a step, in order of execution.

    `kind` (Step), `line` (from 1), `start`, `end` (n, 3) machine frame mm, `center` (n, 2) of arcs as the text
    gave it (machine frame), `sweep` (n,) radians positive counter-clockwise (0 for all but arcs),
    `feed` mm/min of feed and probe moves, `torch` whether the torch is on during the row, `seconds` without
    acceleration, `frame_z` (n, 2) the Z that the program believed in at start and end, `datum` which touch-off
    made that belief (-1: none yet; counts up with every Z shift), `radius_gap` (n,) start minus end radius of
    arcs. `value` holds a dwell's seconds. `torch` is the state during a row: false on the TORCH_ON row itself,
    true on the TORCH_OFF row.
    """

    kind: Ints
    line: Ints
    start: Floats
    end: Floats
    center: Floats
    sweep: Floats
    feed: Floats
    torch: Bools
    seconds: Floats
    frame_z: Floats
    datum: Ints
    radius_gap: Floats
    value: Floats
    text: tuple[str, ...]
    """The words of the row as executed (``M3 S1``, ``G38.2``), for rules and messages."""
    unread: tuple[Unread, ...] = ()
    changes: tuple[Change, ...] = ()
    modes: Mapping[str, str] = field(default_factory=dict)
    """Modal state at the end: ``units``, ``distance``, ``plane``, ``path``, ``torch``, ``motion``..."""
    stopped: Unread | None = None
    """Where the control stopped with an error (failed guard, missed probe) and ran no further."""
    comments: tuple[tuple[int, str], ...] = ()
    """All comments with their line."""
    xy_origin: tuple[float, float] = (0.0, 0.0)
    """Machine position of program X0 Y0 at the start."""

    def __len__(self) -> int:
        return len(self.kind)
