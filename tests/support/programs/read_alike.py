"""One program read line by line, and again with all that is copied or taken many at once: the traces are the same."""

from __future__ import annotations

from collections import Counter
from dataclasses import fields

import numpy as np
import pytest

import kerfproof.gcode.reader.batch_moves as stretches
import kerfproof.gcode.reader.interpreter as interpreter
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader.incremental import Again, LastRead
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.reader.line_cache import Book
from kerfproof.gcode.trace import StartState, Trace
from kerfproof.proof.evidence.simulated_table import Plate, Search, Table
from support.shop.known_plate import MACHINES

FLAT = Plate(-20.0)
LINES = {"arc_wait": "M66 P0 L3 Q1"}
BLOCKS = (
    ("M5", "G4 P0.3", "G0 Z25"),
    ("M5", "G17 G40 G49 G80", "G90 G94", "G21", "G54", "G61", "F7500"),
    ("G4 P0.2", "G92 Z0", "G38.2 Z-60 F1000", "#101=#5063", "#102=SQRT[4-ABS[#101+44]]", "G1 Z[#101+2] F600"),
    ("#101=#5063", "G1 Z[#101+2] F600 (up)", "G4 P0.1", "#103=[#101*2+#5061]", "G1 Z-1 F1000"),
    ("G92 Z-19", "G4 P0.1", "G1 Z-1 F1000", "M3", "M66 P0 L3 Q1", "G4 P0.4", "G1 Z1.5 F900"),
    ("G1 X[#5061+1] Y2", "#5=7", "##5=2", "G1 Z#7"),
    ("G20", "G1 Z0.5 F40", "Z0.6", "G21"),
    ("G91", "G0 Z3", "G0 Z-1", "G90", "G53 G0 Z20"),
    ("G93", "G1 Z4 F2", "G1 Z5", "G94", "F900"),
    ("G10 L2 P1 Z2", "G92.1", "G55", "G54", "G43 H1", "G49"),
    ("G1 Z3 Q2", "G18", "G1 Z2", "G17", "M0", "T1 M6", "S500", "M3"),
    ("G41 D1", "G1 Z2", "G40", "/G0 Z30", "M7", "M9", "G81 X1 Y1 Z-1 R2", "G80"),
    ("#102=SQRT[#101+90]", "G61.1", "G64 P0.05", "G98", "G99", "#9=#8", "G1 Z#9"),
)
"""What stands in programs; some of it must never be copied, some of it is wrong."""


def count_lines(monkeypatch: pytest.MonkeyPatch, chunk: int) -> Counter[str]:
    """Read `chunk` lines at a time; return the count of those that are really read."""
    count: Counter[str] = Counter()
    read_some = interpreter._Reader._read_some

    def counted(self: interpreter._Reader, lines: list[str], before: int) -> int:
        count["lines"] += len(lines)
        return read_some(self, lines, before)

    monkeypatch.setattr(interpreter, "_CHUNK", chunk)
    monkeypatch.setattr(interpreter._Reader, "_read_some", counted)
    return count


def traced(
    text: str, control: Dialect, plate: Plate, book: Book, last: LastRead | None = None
) -> tuple[Trace, list[Search]]:
    table = Table(MACHINES["contact-float"], plate, 5.0, 0.0)
    start = StartState(position=(5.0, 6.0, 30.0), offset=(1.0, 2.0, 0.5), tool_lengths=(0.0, 3.0))
    again = Again(last, table.searches) if last is not None else None
    return interpret(text, control, world=table, start=start, lines=LINES, book=book, again=again), table.searches


def assert_same(one: tuple[Trace, list[Search]], other: tuple[Trace, list[Search]]) -> None:
    """See that two traces with their searches are the same to the last bit."""
    assert repr(one[1]) == repr(other[1])
    for field in fields(Trace):
        a, b = getattr(one[0], field.name), getattr(other[0], field.name)
        if isinstance(a, np.ndarray):
            assert a.dtype == b.dtype and a.shape == b.shape and a.tobytes() == b.tobytes(), field.name
        elif field.name == "changes":
            assert list(a) == list(b)
        else:
            assert repr(a) == repr(b), field.name


def assert_read_and_copied_alike(
    text: str, control: Dialect, monkeypatch: pytest.MonkeyPatch, plate: Plate = FLAT
) -> Book:
    with monkeypatch.context() as patch:
        patch.setattr(interpreter, "MOST_STATES", 0)
        patch.setattr(stretches, "FEWEST", len(text) + 1)
        read = traced(text, control, plate, Book(control, LINES))
    monkeypatch.setattr(stretches, "FEWEST", 0)
    book = Book(control, LINES)
    for _ in range(2):  # the second time much more is known
        assert_same(read, traced(text, control, plate, book))
    return book
