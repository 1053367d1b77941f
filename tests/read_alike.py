"""One program read line by line, and again with all that is copied or taken many at once: the traces are the same."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

import kerfproof.motion.interpreter as interpreter
import kerfproof.motion.stretches as stretches
from kerfproof.dialect import Dialect
from kerfproof.motion.book import Book
from kerfproof.motion.interpreter import interpret
from kerfproof.motion.trace import StartState, Trace
from kerfproof.verify.table import Plate, Search, Table
from known_plate import MACHINES

FLAT = Plate(-20.0)
LINES = {"arc_wait": "M66 P0 L3 Q1"}


def traced(text: str, control: Dialect, plate: Plate, book: Book) -> tuple[Trace, list[Search]]:
    table = Table(MACHINES["contact-float"], plate, 5.0, 0.0)
    start = StartState(position=(5.0, 6.0, 30.0), offset=(1.0, 2.0, 0.5), tool_lengths=(0.0, 3.0))
    return interpret(text, control, world=table, start=start, lines=LINES, book=book), table.searches


def assert_read_and_copied_alike(
    text: str, control: Dialect, monkeypatch: pytest.MonkeyPatch, plate: Plate = FLAT
) -> Book:
    with monkeypatch.context() as patch:
        patch.setattr(interpreter, "MOST_STATES", 0)
        patch.setattr(stretches, "FEWEST", len(text) + 1)
        read, felt = traced(text, control, plate, Book(control, LINES))
    monkeypatch.setattr(stretches, "FEWEST", 0)
    book = Book(control, LINES)
    for _ in range(2):  # the second time much more is known
        copied, felt_again = traced(text, control, plate, book)
        assert felt_again == felt
        for field in fields(Trace):
            one, other = getattr(read, field.name), getattr(copied, field.name)
            if isinstance(one, np.ndarray):
                assert one.dtype == other.dtype and one.tobytes() == other.tobytes(), field.name
            else:
                assert one == other, field.name
    return book
