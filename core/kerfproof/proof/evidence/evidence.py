"""What the rules see: the text, what it makes the machine do, and what it is judged against."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from kerfproof.box import Box
from kerfproof.errors import RuleChoice, Watch, no_watch
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.timing import Speeds, speeds
from kerfproof.gcode.trace import Change, Step, Trace, Unread
from kerfproof.geom.path import Bools, Bundle, Floats, Ints, Path, Segments
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.evidence.kept_metal import Kept, kept_of
from kerfproof.proof.evidence.lines import Lines, waits_for_motion
from kerfproof.proof.evidence.runs import TorchPath, TorchRun, row_lengths, runs_of, torch_path
from kerfproof.proof.evidence.simulated_table import Plate, Search
from kerfproof.proof.evidence.stock import Stock, stock_of
from kerfproof.proof.evidence.sweep import STAGE, Sweep, sweep
from kerfproof.proof.evidence.touch_offs import TouchOffs, touch_offs
from kerfproof.proof.limits import NUDGE
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine, TouchOff


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Evidence:
    """All that a rule may look at.

    Row arrays of length n run along `trace`: `height` (n, 2) is the carriage over the plate at start and end of the
    row (0: the tip just touches; negative: into the float or the plate) on the table as it should be; `known` (n,)
    whether the program can know it: a touch-off of its own stands, or the operator's zero; `length` (n,) in the plane;
    `travels` (n,) whether the row moves in the plane, `moves` (n,) whether it is a move, probing left out.
    `search_rows` are the rows of `searches`. Of each run (r,): `first_rows`, `last_rows`, where it `starts` (r, 2) on
    the plate, and `first_travels`, the first row that moves in the plane, -1 if none does.
    """

    lines: Lines
    trace: Trace
    control: Dialect
    machine: Machine
    process: Process | None
    plate: Box | None
    mode: str
    height: Floats
    known: Bools
    length: Floats
    travels: Bools
    moves: Bools
    moving: Ints
    """The rows in which any axis moves, but for a nudge that a waiting torch word needs to switch."""
    dwelt: Floats
    """Seconds of dwell before each row (n + 1,)."""
    speeds: Speeds
    """How fast the machine really is."""
    runs: tuple[TorchRun, ...]
    first_rows: Ints
    last_rows: Ints
    first_travels: Ints
    starts: Floats
    path: TorchPath
    searches: tuple[Search, ...]
    search_rows: Ints
    shift_rows: Ints
    """The rows that set or clear the Z frame."""
    lights: Ints
    """The rows that light the torch."""
    found: TouchOffs
    """How the plate was found for each of them."""
    kept: Kept | None
    swept: Sweep | None
    """The torch path beside the kept metal; None where drawing or kerf are unknown."""
    slits: Segments | None
    stock: Stock
    extra_lines: Mapping[str, str]
    """Lines of the machine file by what they mean (``height control on``...)."""

    # --- short questions that many rules ask --------------------------------------------------------------

    def line_words(self, line: int) -> str:
        """Return the words of a program line (from 1)."""
        return self.lines.words_at(line - 1) if 1 <= line <= len(self.lines) else ""

    def letters(self, line: int) -> frozenset[str]:
        """Return the letters of the words of a program line (from 1)."""
        return self.lines.letters_at(line - 1) if 1 <= line <= len(self.lines) else frozenset()

    def rows(self, *kinds: Step) -> Ints:
        """Return the rows of these kinds, in order."""
        return np.flatnonzero(np.isin(self.trace.kind, kinds)).astype(np.int64)

    def at(self, row: int) -> tuple[float, float]:
        """Return where a row ends on the plate, program coordinates."""
        x, y = self.trace.end[row, :2] - np.array(self.trace.xy_origin)
        return float(x), float(y)

    def line(self, row: int) -> int:
        """Return the program line of a row."""
        return int(self.trace.line[row])

    @property
    def touches(self) -> bool:
        """Whether this machine finds the plate itself."""
        return self.machine.touch_off is not TouchOff.NONE

    @property
    def half_kerf(self) -> float:
        """Half the kerf of the process, 0 if unknown."""
        return self.process.kerf / 2 if self.process is not None else 0.0

    def waits_after(self, rows: Ints) -> tuple[Floats, Ints]:
        """Return the dwell (s) after each row before anything moves, and the row that then moves (n: none does)."""
        following = np.append(self.moving, len(self.trace))[np.searchsorted(self.moving, rows + 1)]
        return self.dwelt[following] - self.dwelt[rows + 1], following

    def searches_before(self, rows: Ints) -> Ints:
        """Return the number of the last search before each row, -1 without one."""
        return np.searchsorted(self.search_rows, rows) - 1

    def shifts_before(self, rows: Ints) -> Ints:
        """Return the last row before each row that set or cleared the Z frame, -1 without one."""
        return np.insert(self.shift_rows, 0, -1)[np.searchsorted(self.shift_rows, rows)]

    def last_search(self, row: int) -> int | None:
        """Return the number of the last search before a row, None without one."""
        place = int(self.search_rows.searchsorted(row)) - 1
        return place if place >= 0 else None

    def waits_for_arc(self, first: int, last: int) -> bool:
        """Return whether a line that waits for arc transfer stands between two rows."""
        line = self.extra_lines.get("arc_wait", "")
        return bool(line) and any(self.trace.text[row] == line.strip() for row in range(first, last))

    def state(self, group: str, line: int) -> str:
        """Return the last word of a modal group that stands before or in a line, empty if none does."""
        words = [change.word for change in self.changes(group) if change.line <= line]
        return words[-1] if words else ""

    def changes(self, group: str) -> tuple[Change, ...]:
        """Return all words of a modal group, in order."""
        return self.trace.changes.of(group)

    def refused(self, reason: str) -> list[Unread]:
        """Return the lines that a control would refuse for a reason that begins so."""
        return [u for u in self.trace.unread if u.reason.startswith(reason)]

    def on_plate_edge(self, point: tuple[float, float], reach: float) -> bool:
        """Return whether a point lies on or outside the edge of the plate, or within `reach` of it."""
        if self.plate is None:
            return False
        x0, y0, x1, y1 = self.plate
        x, y = point
        return min(x - x0, y - y0, x1 - x, y1 - y) <= reach


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Against:
    """What a program is judged against."""

    control: Dialect
    machine: Machine
    """What it is to run on."""
    process: Process | None
    """The cut-chart row it was made for; None: kerf and heights are not judged."""
    drawn: tuple[Contour, ...] | None = None
    """Closed contours that the cut must leave, in program coordinates; None: nothing to compare with."""
    slits: tuple[Contour, ...] = ()
    """Open contours to be cut on their line."""
    plate: Box | None = None
    """xmin, ymin, xmax, ymax in program coordinates; None: unknown."""
    mode: str = "cut"
    """``cut``, ``dry``, ``frame``, ``tour``, or ``touch`` for a test piece that only touches the plate."""
    placed: bool = True
    """Whether `drawn` lies where the program cuts it; False: its place, its quarter turn and how many there are of it
    are found from the cut."""
    counts: tuple[tuple[int, int], ...] = ()
    """How many of `drawn` and `slits` belong to each drawing, where each of several must be found by itself."""
    choices: tuple[RuleChoice, ...] = ()
    """Rules that count otherwise, after those of the machine; none of them makes less of an error."""
    tabs: tuple[Path, ...] = ()
    """Pieces of the torch's path, program coordinates, that must stay uncut and hold the parts."""
    raised: tuple[Contour, ...] | None = None
    """What is drawn, where the program goes along it without an arc."""
    one_plate: bool = False
    """Whether all is cut on one plate, whatever stops there are."""
    leave_out: bool = False
    """Whether the person, not the program, says that what is not cut may stay."""

    @property
    def lines(self) -> Mapping[str, str]:
        """The verbatim lines that the machine file defines, by what they mean."""
        return extra_lines(self.machine)


def extra_lines(machine: Machine) -> Mapping[str, str]:
    """Return the verbatim lines that a machine file defines, by what they mean."""
    lines = {
        "arc_wait": machine.arc_wait,
        "sense_on": machine.sense_on,
        "sense_off": machine.sense_off,
        "height_control_on": machine.height_control_on,
        "height_control_off": machine.height_control_off,
        "torch_on": machine.torch_on,
        "torch_off": machine.torch_off,
    }
    return {name: line for name, line in lines.items() if line}


def gather(
    text: str,
    trace: Trace,
    searches: tuple[Search, ...],
    table: Plate,
    against: Against,
    watch: Watch = no_watch,
    ready: Callable[[tuple[Contour, ...]], Kept] = kept_of,
    believed: frozenset[int] = frozenset(),
) -> Evidence:
    """Return the evidence of one program that was interpreted on the table as it should be.

    `ready` makes the kept metal of the drawn contours; `believed` are rows of stops that do bring another plate.
    """
    lines = Lines.of(text, against.control.semicolon_comments)
    watch(STAGE, 0.0)
    runs = runs_of(trace)
    slits = slit_segments(against.slits)
    path = torch_path(trace, runs, half_kerfs(trace, runs, against.process), slits)
    watch(STAGE, 0.1)
    kept = ready(against.drawn) if against.drawn else None
    length = row_lengths(trace)
    travels = length > 1e-9
    first_rows = np.array([run.first_row for run in runs], dtype=np.int64)
    last_rows = np.array([run.last_row for run in runs], dtype=np.int64)
    watch(STAGE, 0.2)
    swept = sweep(kept, path, slits, watch) if kept is not None and against.process is not None else None
    watch(STAGE, 0.6)
    stock = stock_of(
        trace, runs, path, believed, drawn=against.mode == "cut" and bool(against.drawn), one_plate=against.one_plate
    )
    watch(STAGE, 0.8)
    height = _heights(trace, table)
    search_rows = np.flatnonzero(trace.kind == Step.PROBE).astype(np.int64)
    lights = np.flatnonzero((trace.kind == Step.TORCH_ON) & ~trace.torch).astype(np.int64)
    return Evidence(
        lines=lines,
        trace=trace,
        control=against.control,
        machine=against.machine,
        process=against.process,
        plate=against.plate,
        mode=against.mode,
        height=height,
        known=_known(trace, against.machine),
        length=length,
        travels=travels,
        moves=np.isin(trace.kind, (Step.RAPID, Step.FEED, Step.ARC)),
        moving=_moving(trace),
        dwelt=np.concatenate([[0.0], np.cumsum(np.where(trace.kind == Step.DWELL, trace.value, 0.0))]),
        speeds=speeds(trace, against.machine, against.control),
        runs=runs,
        first_rows=first_rows,
        last_rows=last_rows,
        first_travels=_first_travels(travels, first_rows, last_rows),
        starts=np.array([run.start for run in runs], dtype=np.float64).reshape(-1, 2),
        path=path,
        searches=searches,
        search_rows=search_rows,
        shift_rows=np.flatnonzero(trace.kind == Step.DATUM).astype(np.int64),
        lights=lights,
        found=touch_offs(trace, height, lights, searches, search_rows),
        kept=kept,
        swept=swept,
        slits=slits,
        stock=stock,
        extra_lines=against.lines,
    )


def _moving(trace: Trace) -> Ints:
    """Return the rows in which any axis moves; a nudge along Z with which a torch word acts that waited counts as none.

    Such a word acts with the next motion and not before, so a right program moves by next to nothing behind it and then
    waits for the arc or its end.
    """
    moves = (trace.start != trace.end).any(axis=1) | (trace.sweep != 0)
    switch = np.flatnonzero(np.isin(trace.kind[:-1], (Step.TORCH_ON, Step.TORCH_OFF)))
    nudges = [row + 1 for row in switch.tolist() if waits_for_motion(trace.text[row])]
    way = np.abs(trace.end - trace.start)[nudges]
    moves[np.array(nudges, dtype=np.int64)[(way[:, :2].max(axis=1) < 1e-9) & (way[:, 2] <= NUDGE)]] = False
    return np.flatnonzero(moves).astype(np.int64)


def _first_travels(travels: Bools, first: Ints, last: Ints) -> Ints:
    """Return the first row of each run (r,) that moves in the plane, -1 if it never does."""
    rows = np.append(np.flatnonzero(travels), len(travels))
    found = rows[np.searchsorted(rows, first)]
    return np.where(found <= last, found, -1)


def half_kerfs(trace: Trace, runs: tuple[TorchRun, ...], process: Process | None) -> Floats:
    """Return half the kerf of each run (n,): the process's, or its hole kerf where a run is slowed; 0 if unknown."""
    if process is None:
        return np.zeros(len(runs))
    out = np.full(len(runs), process.kerf / 2)
    if process.hole_kerf is None:
        return out
    cutting = np.isin(trace.kind, (Step.FEED, Step.ARC)) & (row_lengths(trace) > 1e-9)
    for run in runs:
        rows = slice(run.first_row, run.last_row + 1)
        feeds = trace.feed[rows][cutting[rows]]
        if len(feeds) and feeds.max() < (1 + process.hole_feed_share) / 2 * process.feed_mm_min:
            out[run.number] = process.hole_kerf / 2
    return out


def slit_segments(slits: tuple[Contour, ...]) -> Segments | None:
    """Return the segments of slits, None without any."""
    if not slits:
        return None
    return Bundle.of([slit.path for slit in slits]).segments()


def _heights(trace: Trace, table: Plate) -> Floats:
    """Return the carriage over the plate at start and end of each row (n, 2)."""
    return np.column_stack(
        [trace.start[:, 2] - table.top(trace.start[:, :2]), trace.end[:, 2] - table.top(trace.end[:, :2])]
    )


def _known(trace: Trace, machine: Machine) -> Bools:
    """Return whether the program knows its height over the plate (n,): since its first tripped search."""
    if machine.touch_off is TouchOff.NONE:
        return np.ones(len(trace), dtype=np.bool_)
    probed = trace.kind == Step.PROBE
    return np.cumsum(probed) > 0
