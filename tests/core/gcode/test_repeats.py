"""Lines copied or taken many at once do what read lines do: the same trace to the last bit, whatever they say."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.dialects.compact import DIALECT as COMPACT
from kerfproof.gcode.dialects.ngc import DIALECT as NGC
from kerfproof.gcode.dialects.skip_macro import DIALECT as SKIP_MACRO
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.reader.line_cache import Book
from kerfproof.gcode.reader.repeats import MOST_MISSES, MOST_STATES, Repeat
from kerfproof.proof.evidence.simulated_table import Plate
from support.programs.read_alike import BLOCKS, LINES, assert_read_and_copied_alike

GOLDEN = sorted((Path(__file__).parents[2] / "golden").glob("*.nc"))


@pytest.mark.parametrize("control", [NGC, COMPACT, SKIP_MACRO], ids=lambda c: c.name)
@pytest.mark.parametrize("seed", range(12))
def test_any_mix_of_lines_is_copied_as_it_is_read(control: Dialect, seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(seed)
    out: list[str] = []
    for number in range(150):
        block = list(BLOCKS[rng.integers(len(BLOCKS))] if seed % 3 else BLOCKS[rng.integers(5)])
        if rng.random() < 0.15:
            del block[rng.integers(len(block))]
        x, y = rng.integers(0, 90, 2).tolist()
        out += [f"(cut {number})", f"G{rng.integers(2)} X{x} Y{y} F{rng.integers(1, 4)}00", *block]
        if rng.random() < 0.2:
            out += [f"G3 X{x + 2} I1 J0", f"G1 X{x}"]
    plate = Plate(-20.0, 0.01 * (seed % 2), 0.0)
    assert_read_and_copied_alike("\n".join([*out, "M2", "G1 X1"]), control, monkeypatch, plate)


@pytest.mark.parametrize("path", GOLDEN, ids=lambda p: p.stem)
def test_whole_programs_are_copied_as_they_are_read(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    control = SKIP_MACRO if "skip" in path.stem else NGC
    assert_read_and_copied_alike(path.read_text(encoding="ascii"), control, monkeypatch)


def test_the_lines_around_each_cut_are_copied(monkeypatch: pytest.MonkeyPatch) -> None:
    cut = [*BLOCKS[0], *BLOCKS[1], "G53 G0 Z20", *BLOCKS[4]]
    text = "\n".join(line for k in range(20) for line in (f"G0 X{k} Y2", *cut, f"G1 X{k}.5 F2000"))
    book = assert_read_and_copied_alike(text, NGC, monkeypatch)
    copied = {len(repeat.lines) for known in book.repeats.values() for repeat in known.repeats}
    assert len(cut) in copied


def test_lines_that_never_begin_in_the_same_state_again_are_soon_looked_up_no_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = []
    fits = Repeat.fits
    monkeypatch.setattr(Repeat, "fits", lambda repeat, *now: bool(asked.append(1)) or fits(repeat, *now))
    text = "#1=1\n" + "#1=[#1+1]\n" * 4000
    interpret(text, NGC, book=Book(NGC, LINES))
    assert 0 < len(asked) < 2 * MOST_STATES * MOST_MISSES
    assert_read_and_copied_alike(text, NGC, monkeypatch)


def test_a_line_that_asks_for_the_place_in_the_plane_is_never_copied(monkeypatch: pytest.MonkeyPatch) -> None:
    text = "\n".join(
        line
        for k in range(8)
        for line in (f"G0 X{k} Y2", "G38.2 Z-60 F300", "G4 P0.1", "#1=#5061", "G1 Z#1 F300", "G1 Z3", "G92 X0", "G92.1")
    )
    book = assert_read_and_copied_alike(text, NGC, monkeypatch)
    for name in ("#1=#5061", "G92 X0", "G38.2 Z-60 F300"):
        assert book.kept[name].blind is None
