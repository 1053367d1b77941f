"""A text read beside the last one gives what reading it from nothing gives, to the last bit, and reads less."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from kerfproof.errors import Cancelled
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.dialects.compact import DIALECT as COMPACT
from kerfproof.gcode.dialects.ngc import DIALECT as NGC
from kerfproof.gcode.dialects.skip_macro import DIALECT as SKIP_MACRO
from kerfproof.gcode.reader.incremental import Again, LastRead
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.reader.line_cache import Book
from kerfproof.gcode.reader.recorder import MOST_UNREAD
from support.programs.read_alike import BLOCKS, FLAT, LINES, assert_same, count_lines, traced

GOLDEN = Path(__file__).parents[2] / "golden"
PROGRAM = (GOLDEN / "gusset-ngc-mm.nc").read_text(encoding="ascii")


@pytest.fixture(autouse=True)
def lines_read(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    return count_lines(monkeypatch, 10)


class Reader:
    """Reads texts one after the other with one memory."""

    def __init__(self, control: Dialect) -> None:
        self.control, self.last = control, LastRead()

    def assert_alike(self, text: str) -> None:
        now = traced(text, self.control, FLAT, Book(self.control, LINES), self.last)
        assert_same(traced(text, self.control, FLAT, Book(self.control, LINES)), now)
        stops = [stop.behind.lines for stop in self.last.read.stops] if self.last.read else []
        assert stops == sorted(set(stops)) and 0 not in stops


def block(rng: np.random.Generator, kinds: int) -> list[str]:
    x, y = rng.integers(0, 90, 2).tolist()
    return [f"G{rng.integers(2)} X{x} Y{y} F{rng.integers(1, 4)}00", *BLOCKS[rng.integers(kinds)], "(cut)"]


def edited(lines: list[str], rng: np.random.Generator, kinds: int) -> list[str]:
    """Return the lines with one edit: a line or a block gone, in, double or another, at any place or at the ends."""
    at = int((rng.integers(len(lines)), 0, len(lines) - 1)[rng.choice(3, p=(0.8, 0.1, 0.1))])
    stop = at + int(rng.integers(1, 8))
    new = block(rng, kinds)
    strange = ["M2", "%", "(", "/G1 X3", "G91", "G20", "G92 X5 Z-1", "G1 X-0 Y-0", "F1e9", "", "#5063=1", "G55"]
    return [
        lambda: lines[:at] + lines[stop:],
        lambda: lines[:at] + new + lines[at:],
        lambda: lines[:stop] + lines[at:],
        lambda: lines[:at] + new + lines[stop:],
        lambda: [*lines[:at], str(rng.choice(strange)), *lines[at:]],
        lambda: lines[stop:] + lines[:stop],
    ][rng.integers(6)]()


@pytest.mark.parametrize("control", [NGC, COMPACT, SKIP_MACRO], ids=lambda c: c.name)
@pytest.mark.parametrize("seed", range(4))
def test_a_text_changed_again_and_again_is_read_as_from_nothing(
    control: Dialect, seed: int, lines_read: Counter[str]
) -> None:
    rng, kinds = np.random.default_rng(seed), (5, len(BLOCKS))[seed % 2]
    lines = [line for _ in range(40) for line in block(rng, kinds)] + ["M5", "M2"]
    reader, total = Reader(control), 0
    for _ in range(40):
        text = ("\r\n" if rng.random() < 0.05 else "\n").join(lines) + "\n" * int(rng.integers(2))
        reader.assert_alike(text)
        total += len(lines)
        lines = edited(lines, rng, kinds) if rng.random() < 0.9 else lines[: -int(rng.integers(40))]
        lines = lines if len(lines) > 100 else lines + [line for _ in range(20) for line in block(rng, kinds)]
    assert lines_read["lines"] < 2 * total
    assert reader.last.read is None or len(reader.last.read.stops) <= len(lines) / 10 + 40


@pytest.mark.parametrize("place", [0, 0.1, 0.5, 0.9, 1])
def test_of_a_changed_digit_only_the_lines_about_it_are_read(place: float, lines_read: Counter[str]) -> None:
    lines, reader = PROGRAM.split("\n"), Reader(NGC)
    reader.assert_alike(PROGRAM)
    moves = [k for k, line in enumerate(lines) if line.startswith("G1 X")]
    at = moves[int(place * (len(moves) - 1))]
    lines[at] = lines[at].replace("G1 X", "G1 X1", 1)
    lines_read.clear()
    reader.assert_alike("\n".join(lines))
    assert 0 < lines_read["lines"] - len(lines) < 100 < len(lines)
    lines_read.clear()
    reader.assert_alike("(one more)\n" + "\n".join(lines))
    assert 0 < lines_read["lines"] - len(lines) < 20


def test_nothing_is_read_of_the_same_text(lines_read: Counter[str]) -> None:
    reader = Reader(NGC)
    reader.assert_alike(PROGRAM)
    stops = reader.last.read.stops if reader.last.read else []
    lines_read.clear()
    for _ in range(3):
        reader.assert_alike(PROGRAM)
    assert lines_read["lines"] == 3 * len(PROGRAM.splitlines()), "by the readings from nothing alone"
    assert reader.last.read is not None and len(reader.last.read.stops) == len(stops) > 5


@pytest.mark.parametrize("word", ["G91", "F123", "G92 Z1", "#7=1", "G55", "G17", "G43 H1", "S9", "G61", "G99", "(a)"])
def test_lines_that_leave_another_state_behind_let_nothing_be_taken_over_that_depends_on_it(word: str) -> None:
    body = ["G1 X1 F100", "X2", "X2.5 (b)", "X3 Z-0", "X1 Z1", "X4 Y2"] * 8
    for control in (NGC, COMPACT):
        reader = Reader(control)
        for lines in (body, ["G1 X1 F100", word, *body[1:]], [*body[:25], word, *body[25:]], body):
            reader.assert_alike("\n".join(lines))


def test_a_control_that_moved_before_a_stop_of_the_same_text_is_in_another_state() -> None:
    reader = Reader(NGC)
    for first in ("G1 X0 Y0 F100", "G1 X-0 Y-0 F100", "G1 X5 Y0 F100"):
        reader.assert_alike("\n".join([first, *["Z1", "Z2", "Z3"] * 10]))
    for first in ("S0", "S-0"):
        reader.assert_alike("\n".join(["G1 X0 F90", first, *["Z1", "Z2", "Z3"] * 10, "M3"]))
    for first in ("#7=1", "#7=2"):
        reader.assert_alike("\n".join(["G1 X0 F90", first, *["Z1", "Z2", "Z3"] * 10, "X#7"]))
    for first in ("G81 X1 Z-1 R2 F90", "G81 X1 Z-3 R2 F90"):
        reader.assert_alike("\n".join([first, *["X2", "X3", "X4"] * 10]))


def test_a_text_with_too_many_mistakes_is_told_of_as_it_is_without_memory() -> None:
    reader, most = Reader(NGC), MOST_UNREAD
    right = ["G1 X1 F9"] * 40
    for wrong in (most - 5, most + 5, 10):
        text = [*right, *["?"] * wrong, *right, *["nor this"] * 4, *right]
        reader.assert_alike("\n".join(text))
        reader.assert_alike("\n".join(["G1 X2 F9", "nothing", *text]))
        reader.assert_alike("\n".join([*text[:45], "nothing either", *text[45:]]))
        reader.assert_alike("\n".join([*text[:45], "nothing either", *text[45:], "nothing more", "nor now"]))


def test_a_reading_that_is_broken_off_leaves_the_last_one() -> None:
    reader = Reader(NGC)
    reader.assert_alike(PROGRAM)
    before = reader.last.read

    def stop(stage: str, share: float) -> None:
        if share > 0.5:
            raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        interpret(PROGRAM.replace("X", "X1"), NGC, again=Again(reader.last, []), watch=stop)
    assert reader.last.read is before
    reader.assert_alike(PROGRAM.replace("G1 X2", "G1 X3"))


def test_a_table_that_felt_something_else_last_is_in_another_state() -> None:
    feel = ["G38.2 Z-60 F100", "G0 Z5"]
    rest = [line for x in range(30) for line in (f"G0 X{x % 2}", *feel)]
    for reader in (Reader(NGC), Reader(SKIP_MACRO)):
        reader.assert_alike("\n".join(["G90", *feel, *rest]))
        reader.assert_alike("\n".join(["G90", "G0 X50", *feel, "X60", *feel, "X0", *feel, *rest]))


@pytest.mark.parametrize("first", ["%", "/G1 X2 F9"])
def test_what_only_the_first_line_of_a_kind_is_told_of_is_told_of_where_it_now_stands_first(first: str) -> None:
    body = [line for k in range(30) for line in (f"(cut {k})", f"G1 X{k} F90")]
    reader = Reader(NGC)
    for top in ([first], [], [first]):
        reader.assert_alike("\n".join([*top, *body, first, "G1 X4"]))


def test_two_lines_run_together_are_one_wherever_it_happens() -> None:
    lines = [f"X{k}" if k % 2 else f"Y{k}" for k in range(40)]
    for k in range(1, len(lines)):
        reader = Reader(NGC)
        reader.assert_alike("\n".join(["G1 F90", *lines]))
        reader.assert_alike("\n".join(["G1 F90", *lines[: k - 1], lines[k - 1] + lines[k], *lines[k + 1 :]]))
