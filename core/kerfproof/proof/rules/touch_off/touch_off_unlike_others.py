"""One touch-off is not like the others of the program.

Finds: a light-up whose touch-off has other searches or other checks than most of the program's: a guard that is
missing or weaker, a second touch left out. The first touch-off may be longer, and one with an operator's stop of its
own is left alone.

Matters: a guard that stands before every start but one protects every start but one, and nobody sees it.

Bad::

    Program: line
    G1 X30 F2200 ->
    G0 X30 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    #101=#5063
    #102=SQRT[4-ABS[#101+44.05]]
    G4 P0.2
    G92 Z-19.05
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 X40 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X50 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    #101=#5063
    #102=SQRT[4-ABS[#101+44.05]]
    G4 P0.2
    G92 Z-19.05
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 X60 F2200
    M5
    G4 P0.3
    G0 Z25
    G0 X70 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    G4 P0.2
    G92 Z-19.05
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 X80 F2200
    M5

Good::

    Program: line
    G1 X30 F2200 ->
    G0 X30 Y50
    G4 P0.2
    G92 Z0
    G38.2 Z-49 F150
    G4 P0.2
    G92 Z-19.05
    G1 Z-1 F1000
    M3
    G4 P0.4
    G1 Z1.5 F900
    G1 X40 F2200
    M5

Do: write the program again, or copy the touch-off of another cut.
"""

import re
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.reader.frames import INCH
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.lines import letters_of
from kerfproof.proof.evidence.runs import TorchRun
from kerfproof.proof.evidence.touch_offs import guarded
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.shop.touch_limits import one_touch_feed

SAME_HEIGHT = 1e-3
"""A number within this share of the expected depth of a trip tells that depth."""
FEWEST = 3
"""So many starts after the first are needed before one can be unlike the others."""
SEARCH = "search "
"""Begins the text of a mark that is a search."""
_NUMBER = re.compile(r"-?\d*\.?\d+")
_SUM = re.compile(r"(?<![A-Z])\[(-?[\d.]+)(?:([-+*])(-?[\d.]+))?\]")
_STOP = re.compile(r"M[01](?!\d)")


def _judge(e: Evidence) -> Iterator[Hit]:
    if not e.touches or len(e.runs) <= FEWEST - 1:
        return
    later = list(pairwise(e.runs))
    steady = one_touch_feed(e.machine, guarded(e.control))
    signs = _signatures(e, later, steady)
    # Where the head was measured most starts have one touch and some have two: each is held against its like.
    kinds = [
        sign is not None and steady is not None and sum(mark.startswith(SEARCH) for mark in sign) == 1 for sign in signs
    ]
    for kind in (False, True):
        yield from _unlike(e, [(run, s) for (_, run), s, k in zip(later, signs, kinds, strict=True) if k is kind])


def _unlike(e: Evidence, starts: list[tuple[TorchRun, tuple[str, ...] | None]]) -> Iterator[Hit]:
    """Tell the starts that are unlike most of those given."""
    compared = [sign for _, sign in starts if sign is not None]
    if len(compared) < FEWEST - 1:
        return
    usual, count = Counter(compared).most_common(1)[0]
    if 2 * count <= len(compared):
        return
    for run, sign in starts:
        if sign is not None and sign != usual:
            what = "this touch-off has other searches or checks than the others of the program"
            yield at_row(e, run.first_row, what, "write the program again, or copy the touch-off of another cut")


def _expected(e: Evidence, later: list[tuple[TorchRun, TorchRun]]) -> list[float]:
    """Return how far below its start each first search should trip (mm), by the plate that was found before."""
    if not len(e.search_rows):
        return [0.0] * len(later)
    before = np.array([run.last_row for run, _ in later])
    rows = e.search_rows[np.minimum(np.searchsorted(e.search_rows, before), len(e.search_rows) - 1)]
    # The program counts from its own zero, which may lie over where the search begins.
    expected: list[float] = (e.height[rows, 0] - e.trace.frame_z[rows, 0] + e.machine.trip_depth).tolist()
    return expected


class _Mark(NamedTuple):
    """A line that tells one touch-off from another: a stop, a search (without its numbers), or a parameter."""

    stop: bool
    search: bool
    text: str


def _marks(e: Evidence) -> dict[int, _Mark]:
    """Return the marks of the different lines of the program that have one."""
    probe, known = e.control.probe_word, dict[int, _Mark]()
    for number, words in enumerate(e.lines.words):
        search = probe in words
        if search or "#" in words or "M" in words:
            text = SEARCH + "".join(sorted(letters_of(words))) if search else _worked_out(words) if "#" in words else ""
            known[number] = _Mark(_STOP.search(words) is not None, search, text)
    return known


def _worked_out(words: str) -> str:
    """Return a line with sums of plain numbers worked out, so that spelling makes no difference."""
    while (shorter := _SUM.sub(_sum, words)) != words:
        words = shorter
    return words


def _sum(found: re.Match[str]) -> str:
    first, sign, second = found.groups()
    if sign is None:
        return first
    by = float(second)
    value = {"+": float(first) + by, "-": float(first) - by, "*": float(first) * by}.get(sign)
    return found[0] if value is None else f"{value:.9g}"


def _signatures(
    e: Evidence, later: list[tuple[TorchRun, TorchRun]], steady: float | None
) -> list[tuple[str, ...] | None]:
    """Return the searches and checks between each two runs, numbers that say how high the torch was as one word.

    None where nothing is searched (another rule's matter) or the operator looks himself. `steady` is the feed at which
    one touch does.
    """
    marks = _marks(e)
    marked = np.zeros(len(e.lines.words), dtype=np.bool_)
    marked[list(marks)] = True
    lines = np.flatnonzero(marked[e.lines.which])
    which = e.lines.which[lines]
    unit = INCH if e.machine.inches else 1.0
    # The zero of one touch on a fixed head lies so much lower.
    late = abs(e.machine.read_late(steady)) if steady is not None else 0.0
    known: dict[tuple[bytes, float], tuple[str, ...] | None] = {}
    out = []
    after, until = [run.off_line for run, _ in later], [run.light_line - 1 for _, run in later]
    spans = zip(np.searchsorted(lines, after).tolist(), np.searchsorted(lines, until).tolist(), strict=True)
    for (first, end), expected in zip(spans, _expected(e, later), strict=True):
        said = which[first:end]
        key = said.tobytes(), round(expected, 2)
        if key not in known:
            known[key] = _signature([marks[number] for number in said.tolist()], expected / unit, late / unit)
        out.append(known[key])
    return out


def _signature(between: list[_Mark], expected: float, late: float) -> tuple[str, ...] | None:
    if any(mark.stop for mark in between) or not any(mark.search for mark in between):
        return None

    def word(number: re.Match[str]) -> str:
        return "H" if abs(float(number[0]) - expected) < late + SAME_HEIGHT * max(abs(expected), 1e-9) else number[0]

    return tuple(mark.text if mark.search else _NUMBER.sub(word, mark.text) for mark in between if mark.text)


RULE = Rule("touch-off-unlike-others", Severity.WARNING, _judge)
