"""One program read line by line, and again with plain moves taken many at once: the traces are the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields

import numpy as np
import pytest

import kerfproof.gcode.reader.batch_moves as batch_moves
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.reader.line_cache import Book
from kerfproof.gcode.trace import StartState, Trace
from kerfproof.proof.evidence.simulated_table import Plate, Search, Table
from support.shop.known_plate import MACHINES

FLAT = Plate(-20.0)
LINES = {"arc_wait": "M66 P0 L3 Q1"}


def traced(
    text: str, control: Dialect, plate: Plate = FLAT, book: Book | None = None, lines: Mapping[str, str] = LINES
) -> tuple[Trace, list[Search]]:
    table = Table(MACHINES["contact-float"], plate, 5.0, 0.0)
    start = StartState(position=(5.0, 6.0, 30.0), offset=(1.0, 2.0, 0.5), tool_lengths=(0.0, 3.0))
    return interpret(text, control, world=table, start=start, lines=lines, book=book), table.searches


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


def assert_read_alike(
    text: str,
    control: Dialect,
    monkeypatch: pytest.MonkeyPatch,
    plate: Plate = FLAT,
    lines: Mapping[str, str] = LINES,
) -> Trace:
    """See that a program is read with moves taken many at once as it is line by line; return its trace."""
    with monkeypatch.context() as patch:
        patch.setattr(batch_moves, "FEWEST", len(text) + 1)
        alone = traced(text, control, plate, Book(control, lines), lines)
    monkeypatch.setattr(batch_moves, "FEWEST", 0)
    book = Book(control, lines)
    for _ in range(2):  # the second time the book holds the lines
        assert_same(alone, traced(text, control, plate, book, lines))
    return alone[0]
