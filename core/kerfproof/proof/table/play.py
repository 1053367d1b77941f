"""A program played on a simulated table, and what may not happen there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kerfproof.errors import Finding, Severity, Watch, no_watch
from kerfproof.gcode.dialect import Dialect, Guard, ProbeMiss
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.reader.line_cache import Book
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.proof.evidence.evidence import extra_lines
from kerfproof.proof.evidence.simulated_table import Fault, Search, Table, trip_depth
from kerfproof.proof.limits import CONTACT_BAND, CONTACT_GAP, HEIGHT_PLAYED, PILOT_LEAST, PILOT_MOST, REACHED
from kerfproof.proof.rule import Hit, as_findings
from kerfproof.proof.table.inherited_modes import inherited, place_of
from kerfproof.proof.table.scenario import Scenario
from kerfproof.sentence import mm, mm_span, say
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine, StartKind, TouchOff
from kerfproof.shop.touch_limits import HELD, PLATE_MOVES


@dataclass(frozen=True, slots=True, eq=False)
class Played:
    """One run on one table.

    `probe_rows` are the trace rows of `searches`. `light_rows` light the torch; `light_heights` is the carriage
    over the plate there, `cut_heights` that of each torch-on row that moves in the plane (start and end, k, 2).
    """

    scenario: Scenario
    trace: Trace
    searches: tuple[Search, ...]
    probe_rows: Ints
    light_rows: Ints
    light_heights: Floats
    cut_rows: Ints
    cut_heights: Floats
    findings: tuple[Finding, ...]


def play(
    text: str,
    control: Dialect,
    machine: Machine,
    scenario: Scenario,
    *,
    process: Process | None = None,
    clean: Trace | None = None,
    mode: str = "cut",
    book: Book | None = None,
    watch: Watch = no_watch,
) -> Played:
    """Return what a program does on the table of a scenario, judged.

    `clean` is the trace on the table as it should be, with which a stale control is compared. `book` holds lines
    taken apart in earlier plays.
    """
    table = Table(machine, scenario.plate, trip_depth(machine, control), scenario.back_off, scenario.trouble)
    trace = interpret(
        text,
        control,
        world=table,
        start=scenario.start,
        lines=extra_lines(machine),
        book=book,
        watch=watch,
    )
    lights = np.flatnonzero((trace.kind == Step.TORCH_ON) & ~trace.torch).astype(np.int64)
    cuts = np.flatnonzero(
        trace.torch & np.isin(trace.kind, (Step.RAPID, Step.FEED, Step.ARC)) & _travels(trace)
    ).astype(np.int64)
    probe_rows = np.flatnonzero(trace.kind == Step.PROBE).astype(np.int64)
    searches, plate = tuple(table.searches), scenario.plate

    def over(points: Floats, rows: Ints) -> Floats:
        """Return how high places (k, 3) that belong to these rows lie over the plate."""
        return np.asarray(points[rows, 2] - plate.top(points[rows, :2], _pierces(rows, probe_rows, searches)))

    played = Played(
        scenario,
        trace,
        searches,
        probe_rows,
        lights,
        over(trace.end, lights),
        cuts,
        np.column_stack([over(trace.start, cuts), over(trace.end, cuts)]),
        (),
    )
    return _judged(played, control, machine, process, clean, mode)


def _pierces(rows: Ints, probe_rows: Ints, searches: tuple[Search, ...]) -> Ints:
    """Return the number of the last pierce (from 1) up to each row, 1 before any."""
    numbers = np.array([1, *(search.pierce for search in searches)], dtype=np.int64)
    return numbers[np.searchsorted(probe_rows, rows, side="right")]


def _travels(trace: Trace) -> Bools:
    return np.asarray((np.abs(trace.end - trace.start)[:, :2].max(axis=1) > 1e-9) | (trace.sweep != 0))


def _judged(
    played: Played, control: Dialect, machine: Machine, process: Process | None, clean: Trace | None, mode: str
) -> Played:
    """Return the played run with its findings."""
    judges: list[tuple[str, Iterator[Hit]]] = [("torch-on-at-start", _torch_at_start(played))]
    if played.scenario.trouble is None and not played.scenario.moved:
        judges.append((_START_RULE[machine.start], _light_heights(played, machine)))
        judges.append(("cut-height-out-of-band", _cut_heights(played, machine, process, clean)))
    judges.append(("head-driven-down", _driven_down(played, machine)))
    if played.scenario.trouble is None and machine.touch_off is not TouchOff.NONE:
        judges.append(("rapid-reaches-plate", _rapid_into_plate(played, machine)))
    if played.scenario.stale and clean is not None:
        judges.append(("state-inherited", inherited(played.trace, played.scenario.start, clean, machine, mode)))
    if played.scenario.trouble is not None:
        judges.append(("touch-off-miss-unguarded", _lit_after_fault(played, control)))
    on_table = say("{on} {table}: ", on="on" if played.scenario.trouble is None else "with", table=played.scenario.name)
    found: list[Finding] = []
    for name, hits in judges:
        told = [Hit(on_table + h.message, h.advice, h.line, h.at, h.severity) for h in hits]
        found += as_findings(name, Severity.ERROR, told[:3])
    return Played(
        played.scenario,
        played.trace,
        played.searches,
        played.probe_rows,
        played.light_rows,
        played.light_heights,
        played.cut_rows,
        played.cut_heights,
        tuple(found),
    )


FAST_SHARE = 1.05
"""A move in Z is fast from this share of the fast search's feed."""
_START_RULE = {StartKind.CONTACT: "contact-start-off-plate", StartKind.PILOT: "pilot-start-touching"}


def _torch_at_start(played: Played) -> Iterator[Hit]:
    """Tell that the torch output could still be on at the first move."""
    trace = played.trace
    moves = np.flatnonzero(np.isin(trace.kind, (Step.RAPID, Step.FEED, Step.ARC, Step.PROBE)))
    before = len(moves) and not (trace.kind[: moves[0]] == Step.TORCH_ON).any()
    if before and trace.torch[moves[0]]:
        line, at = place_of(trace, int(moves[0]))
        yield Hit("the torch output is still on at the first move", "put the off word first", line, at)


def _after_touch(played: Played, rows: Ints, machine: Machine) -> Ints:
    """Return which of the rows come after a search that tripped (or all, where the operator sets Z zero)."""
    if machine.touch_off is TouchOff.NONE:
        return np.arange(len(rows))
    tripped = [r for r, s in zip(played.probe_rows, played.searches, strict=False) if s.probed.tripped]
    return np.flatnonzero(rows > tripped[0]) if tripped else np.empty(0, dtype=np.int64)


def _light_heights(played: Played, machine: Machine) -> Iterator[Hit]:
    """Tell starts whose height does not suit the torch."""
    for k in _after_touch(played, played.light_rows, machine).tolist():
        height = float(played.light_heights[k])
        line, at = place_of(played.trace, int(played.light_rows[k]))
        if machine.start is StartKind.PILOT:
            if not PILOT_LEAST - 1e-6 <= height <= PILOT_MOST:
                right = say("light it {height} over the plate", height=mm_span(PILOT_LEAST, PILOT_MOST, "g"))
                advice = say("{right}: mend the Z word before it, or the datum of the touch-off", right=right)
                yield Hit(
                    say("the pilot arc lights {height} over the plate", height=mm(height, ".2f")), advice, line, at
                )
        elif height > CONTACT_GAP or height < -machine.float_stroke:
            message = say("the torch lights with the tip at {height}, not in contact", height=mm(height, ".2f"))
            yield Hit(message, "mend the Z word before it, or the datum of the touch-off: zero is the plate", line, at)
        elif machine.touch_off is TouchOff.FLOAT:
            preload = HELD if machine.leave_touch_off_out and not _searched_anew(played, k) else machine.preload
            wanted = -min(preload, machine.float_travel / 3.0)
            if abs(height - wanted) > CONTACT_BAND:
                message = say(
                    "the torch lights at {height} instead of {wanted}",
                    height=mm(height, ".2f"),
                    wanted=mm(wanted, ".2f"),
                )
                advice = say(
                    "go down to Z {wanted} before it, which is the preload of the machine file",
                    wanted=mm(wanted, ".2f"),
                )
                yield Hit(message, advice, line, at, Severity.WARNING)


def _searched_anew(played: Played, light: int) -> bool:
    """Return whether the plate was searched between a light-up and the one before."""
    before = played.light_rows[light - 1] if light else -1
    first, last = np.searchsorted(played.probe_rows, (before, played.light_rows[light]))
    return bool(last > first)


def _cut_heights(played: Played, machine: Machine, process: Process | None, clean: Trace | None) -> Iterator[Hit]:
    """Tell cutting at another height than on the table as it should be, where plate or control differ."""
    if clean is None or len(clean) != len(played.trace) or not played.scenario.follows:
        return
    moved = played.scenario.plate.z - played.scenario.nominal_top
    rows = played.cut_rows[_after_touch(played, played.cut_rows, machine)]
    off = played.trace.end[rows, 2] - clean.end[rows, 2] - moved
    for row in rows[np.abs(off) > HEIGHT_PLAYED].tolist():
        line, at = place_of(played.trace, row)
        by = float(played.trace.end[row, 2] - clean.end[row, 2] - moved)
        yield Hit(
            say("the cut runs {by} off its height", by=mm(by, "+.2f")), "go back to the trip before the datum", line, at
        )


def _driven_down(played: Played, machine: Machine) -> Iterator[Hit]:
    """Tell Z moves deeper below the plate than any search needs, or past the float's hard stop."""
    trace = played.trace
    deepest = machine.trip_depth + machine.plate_height_band + 1.0 + 0.3
    if machine.touch_off is TouchOff.FLOAT:
        deepest = min(deepest, machine.float_stroke)
    pierces = _pierces(np.arange(len(trace)), played.probe_rows, played.searches)
    height = trace.end[:, 2] - played.scenario.plate.top(trace.end[:, :2], pierces)
    down = trace.end[:, 2] < trace.start[:, 2] - 1e-9
    missed = np.zeros(len(trace), dtype=np.bool_)
    for row, search in zip(played.probe_rows, played.searches, strict=False):
        missed[row] = not search.probed.tripped  # nothing stands in the way of a search that finds nothing
    faulty = [int(r) for r, s in zip(played.probe_rows, played.searches, strict=False) if s.faulty]
    missed[faulty[0] if faulty else len(trace) :] = True  # what a fault leads to is judged by itself
    for row in np.flatnonzero((height < -deepest) & down & ~missed).tolist():
        line, at = place_of(trace, row)
        message = say("the head is driven {height} below tip contact", height=mm(-float(height[row]), ".1f"))
        yield Hit(message, "no work-frame Z before a touch-off of its own", line, at)


def _rapid_into_plate(played: Played, machine: Machine) -> Iterator[Hit]:
    """Tell fast moves down with the torch off that meet the plate, or one that lies as much higher as it may.

    Before a search that is the plate band, behind a touch-off of the same start nothing, elsewhere what plate moves
    near a touch-off. A move is fast that is a rapid or faster than a search may be.
    """
    table, trace, lights = played.scenario, played.trace, played.light_rows
    steep = np.abs(trace.end - trace.start)[:, :2].max(axis=1) < 1e-9
    fast = (trace.kind == Step.FEED) & steep & (trace.feed > FAST_SHARE * machine.touch_fast_mm_min)
    down = (trace.end[:, 2] < trace.start[:, 2] - 1e-9) & ~trace.torch & ((trace.kind == Step.RAPID) | fast)
    rows = np.flatnonzero(down)
    if not len(rows) or not len(played.searches):
        return
    number = np.searchsorted(lights, rows)
    lit, before = np.append(lights, len(trace))[number], np.append(-1, lights)[number]
    search = np.searchsorted(played.probe_rows, rows)
    ahead = np.append(played.probe_rows, len(trace))[search] < lit
    own = ~ahead & (np.append(-1, played.probe_rows)[search] > before)
    judged = ahead | (lit < len(trace))
    which = np.where(ahead, search, search - 1)
    rows, ahead, own, which = rows[judged], ahead[judged], own[judged], which[judged]
    pierces = np.array([s.pierce for s in played.searches], dtype=np.int64)
    height = trace.end[rows, 2] - table.plate.top(trace.end[rows, :2], pierces[np.maximum(which, 0)])
    shifted = table.moved or table.stale
    least = np.where(own, 0.0, REACHED if shifted else np.where(ahead, machine.plate_height_band, PLATE_MOVES))
    for k in np.flatnonzero((height < least - 1e-6) & (which >= 0)).tolist():
        line, at = place_of(trace, int(rows[k]))
        if own[k]:
            message = say(
                "a fast move after this touch-off drives the tip {deep} into the plate", deep=mm(-height[k], ".1f")
            )
            yield Hit(message, "go the last millimeters at a slow feed", line, at)
            continue
        what = "before this touch-off" if ahead[k] else "before this start, which has no touch-off of its own,"
        message = say(
            "the fast move down {what} goes to {height} over the plate, which may lie {band} higher",
            what=what,
            height=mm(height[k], ".1f"),
            band=mm(machine.plate_height_band if ahead[k] else PLATE_MOVES, "g"),
        )
        advice = "end it more than that over the plate that was found last, and go on slowly from there"
        yield Hit(message, advice, line, at)


def _lit_after_fault(played: Played, control: Dialect) -> Iterator[Hit]:
    """Tell that the torch lights although the touch-off before it went wrong."""
    trouble = played.scenario.trouble
    faulty = [int(r) for r, s in zip(played.probe_rows, played.searches, strict=False) if s.faulty]
    if not faulty or trouble is None:
        return
    later = played.light_rows[played.light_rows > faulty[0]]
    if trouble.fault is Fault.FALSE_TRIP:
        later = later[:1]
    if not len(later):
        return
    light = int(later[0])
    kinds = played.trace.kind[faulty[0] : light]
    asked = bool(np.isin(kinds, (Step.STOP, Step.OPTIONAL_STOP)).any())
    line, at = place_of(played.trace, light)
    must = _must_stop(control, trouble.fault, trouble.pierce)
    if must:
        message = "the torch lights all the same, though this control could stop the program"
        yield Hit(message, "guard the touch-off", line, at)
    elif not asked and control.probe_miss is not ProbeMiss.SILENT:
        message = "the torch lights unless the control notices by itself"
        yield Hit(message, "an optional stop before every start (tip_stops)", line, at, Severity.NOTE)
    elif not asked:
        yield Hit("the torch lights and nothing stops it", "write a stop before light-up", line, at)


def _must_stop(control: Dialect, fault: Fault, pierce: int) -> bool:
    """Return whether a program for this control can and must stop itself at this fault."""
    if fault is Fault.SLAT and pierce == 1:
        return False  # nobody knows yet where the plate should be
    if control.guard is not Guard.NONE:
        return True
    return control.probe_miss is not ProbeMiss.SILENT and fault in (Fault.MISSING, Fault.FALSE_TRIP)
