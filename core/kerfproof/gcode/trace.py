"""What a program makes the machine do, step by step, and the world it does it in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from typing import NamedTuple, Protocol

import numpy as np

from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.sentence import Phrase


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


class Probed(NamedTuple):
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
    elsewhere: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """How far off `offset` the work offset in use lies until the program names one."""
    system: str = "G54"
    """The coordinate system in use, to which `offset` belongs."""
    apart: tuple[float, float, float] = (0.0, 0.0, 0.0)
    """How far off `offset` the origins of all other coordinate systems lie."""
    inverse_time: bool = False
    other_centers: bool = False
    """Whether arc centres are read the other way than the dialect does: G90.1 instead of G91.1 or the reverse."""
    tool_lengths: tuple[float, ...] = ()
    """Tool table: the length of tool slot 0, 1, 2..., mm, as G43 H adds it."""
    block_delete: bool = False
    """Whether the block-delete switch is on: lines that begin with ``/`` are then left out."""


@dataclass(frozen=True, slots=True)
class Unread:
    """Text that could not be understood or done: `line` and `column` from 1, the words, why.

    `told` is why, with its lengths as values; `reason` is the same in mm. `error` is true where a control would stop
    or refuse (then motion of that line is left out), false where the words are merely unknown here.
    """

    line: int
    column: int
    text: str
    told: Phrase
    error: bool = True

    @property
    def reason(self) -> str:
        """Why, lengths in mm."""
        return str(self.told)


class Change(NamedTuple):
    """A word that sets a state took effect, changed or merely restated.

    `group` is one of ``units`` (G20 G21), ``plane`` (G17 G18 G19), ``distance`` (G90 G91), ``feed_mode`` (G93
    G94), ``compensation`` (G40 G41 G42), ``length`` (G43 G49), ``system`` (G54 ... G59.3), ``path`` (G61 G61.1
    G64, with its P: ``G64 P0.05``), ``retract`` (G98 G99), ``arc_center`` (G90.1 G91.1), ``feed`` (``F2500``, only
    where it differs from the feed before), ``speed`` (``S1``),
    ``origin`` (G92 and G10 with their words: ``G92 Z-19.05``), ``parameter`` (a stored origin written past all of
    these: ``#5221=2``). Motion words are not listed; see `Trace.text`.
    """

    line: int
    group: str
    word: str


class Changes:
    """All changes in order. A program says the same few words thousands of times: each is made when asked for."""

    __slots__ = ("_by_group", "_lines", "_places", "_words")

    def __init__(self, lines: list[int], words: list[tuple[str, str]]) -> None:
        self._lines, self._words = lines, words
        self._by_group: dict[str, tuple[Change, ...]] = {}
        self._places: dict[str, list[int]] | None = None

    def __len__(self) -> int:
        return len(self._lines)

    def __iter__(self) -> Iterator[Change]:
        return (Change(line, group, word) for line, (group, word) in zip(self._lines, self._words, strict=True))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Changes) and (self._lines, self._words) == (other._lines, other._words)

    __hash__ = None  # type: ignore[assignment]

    def of(self, group: str) -> tuple[Change, ...]:
        """Return the changes of one group, in order."""
        if self._places is None:
            self._places = {}
            for place, (name, _) in enumerate(self._words):
                self._places.setdefault(name, []).append(place)
        if group not in self._by_group:
            places = self._places.get(group, ())
            self._by_group[group] = tuple(Change(self._lines[k], group, self._words[k][1]) for k in places)
        return self._by_group[group]


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """The program as it would run: parallel arrays of length n, one row a step, in order of execution.

    `kind` (Step), `line` (from 1), `start`, `end` (n, 3) machine frame mm, `center` (n, 2) of arcs as the text
    gave it (machine frame), `sweep` (n,) radians positive counter-clockwise (0 for all but arcs),
    `feed` mm/min of feed and probe moves (0 of all else), `torch` whether the torch is on during the row,
    `seconds` without acceleration (0 of rapids, whose speed the text does not say), `frame_z` (n, 2) the Z that
    the program believed in at start and end, `datum` which Z shift made that belief: -1 before any and again
    once the shift is cleared, else the number of the shift, which counts up from 0 and never comes back.
    `radius_gap` (n,) start minus end radius of arcs. `value` holds a dwell's seconds and 1 for a probing move that
    tripped. `torch` is the state during a row: false on the TORCH_ON row itself, true on the TORCH_OFF row; a
    torch left on shows on the END row. On a DATUM row `frame_z` is the belief before and after, `datum` the new one.

    Each row starts where the one before ended, but for one case: a move in error is left out, and the next row
    starts at that move's end all the same, so that one mistake is not reported again on every line after it.

    Arcs in the XZ and YZ planes appear as chords (FEED rows with the text G2 or G3) within 0.002 mm.
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
    """The words of the row as executed, for rules and messages: ``M3 S1``, ``G38.2``, ``G4 P0.5``,
    ``G92 Z-19.05``; of plain moves the motion word alone (``G1``, also where it was inherited); ``G53 G0`` for a
    move in machine coordinates; of lines of the machine file the line."""
    unread: tuple[Unread, ...] = ()
    changes: Changes = field(default_factory=lambda: Changes([], []))
    modes: Mapping[str, str] = field(default_factory=dict)
    """State that the text left, before the effects of the end word: ``motion`` (``G1``), ``units`` (``G21``),
    ``plane``, ``distance``, ``feed_mode``, ``compensation``, ``length``, ``system``, ``path`` (empty: never
    stated), ``retract``, ``arc_center``, ``torch`` (``on`` or ``off``), ``datum`` (``none``, ``set``, ``cleared``:
    what the program last did to the Z frame), ``end`` (``M2``, ``M30``, ``%`` or empty: no end word was reached)."""
    stopped: Unread | None = None
    """Where the control stopped with an error (failed guard, missed probe) and ran no further."""
    comments: tuple[tuple[int, str], ...] = ()
    """All comments with their line."""
    xy_origin: tuple[float, float] = (0.0, 0.0)
    """Machine position of program X0 Y0 at the start."""
    probes: tuple[tuple[int, Probed], ...] = ()
    """Row number and result of each probing move, in order."""
    lines: int = 0
    """How many lines the text has."""

    def __len__(self) -> int:
        return len(self.kind)


def row_lengths(begin: Floats, end: Floats, center: Floats, sweep: Floats) -> Floats:
    """Return the length of each row's motion (n,), helices along the helix."""
    square = ((end - begin) ** 2).T
    out: Floats = np.sqrt(square[0] + square[1] + square[2])  # a tenth of the time of hypot
    arc = np.flatnonzero(sweep)
    radial = begin.take(arc, axis=0)[:, :2] - center.take(arc, axis=0)
    flat = np.hypot(radial[:, 0], radial[:, 1]) * sweep.take(arc)
    out[arc] = np.sqrt(flat**2 + square[2].take(arc))
    return out
