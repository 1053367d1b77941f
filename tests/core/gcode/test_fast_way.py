"""Programs of every kind of line are read alike with moves taken many at once and line by line, to the last bit."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

import kerfproof.gcode.reader.batch_moves as batch_moves
import kerfproof.gcode.reader.interpreter as interpreter
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.dialects.compact import DIALECT as COMPACT
from kerfproof.gcode.dialects.ngc import DIALECT as NGC
from kerfproof.gcode.dialects.ngc_blend import DIALECT as NGC_BLEND
from kerfproof.gcode.dialects.skip_macro import DIALECT as SKIP_MACRO
from kerfproof.gcode.reader.control import Control
from kerfproof.gcode.trace import Step
from kerfproof.proof.evidence.simulated_table import Plate
from support.programs.random_programs import KINDS, program
from support.programs.read_alike import LINES, assert_read_alike

GOLDEN = sorted((Path(__file__).parents[2] / "golden").glob("*.nc"))
CONTROLS = [NGC, NGC_BLEND, COMPACT, SKIP_MACRO]
WAITING = {"torch_on": "M62 P1", "torch_off": "M63 P1", "arc_wait": "M66 P0 L3 Q1"}
SEEDS = range(24)


@pytest.fixture
def taken(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many moves were taken at once each time."""
    counts: list[int] = []
    follow = batch_moves.BatchMoves.follow

    def counted(self: batch_moves.BatchMoves, control: Control, index: int) -> int:
        counts.append(follow(self, control, index))
        return counts[-1]

    monkeypatch.setattr(batch_moves.BatchMoves, "follow", counted)
    return counts


@pytest.mark.parametrize("control", CONTROLS, ids=lambda c: c.name)
@pytest.mark.parametrize("seed", SEEDS)
def test_any_program_is_read_alike(
    control: Dialect, seed: int, taken: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interpreter, "_CHUNK", (5000, 97, 300)[seed % 3])
    lines, _ = program(seed, control, 500)
    own = WAITING if control is NGC_BLEND and seed % 2 else LINES
    plate = Plate(-20.0, 0.01 * (seed % 2), 0.0)
    assert_read_alike("\n".join(lines), control, monkeypatch, plate, own)
    assert sum(taken) > 20 and max(taken) > 1


def test_the_random_programs_hold_every_kind_of_line_and_do_every_kind_of_step(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    steps, used, refused, ended = Counter[int](), set[str](), 0, 0
    for control in CONTROLS:
        for seed in SEEDS:
            lines, kinds = program(seed, control, 500)
            trace = assert_read_alike("\n".join(lines), control, monkeypatch)
            used |= kinds
            steps.update(trace.kind.tolist())
            refused += sum(u.error for u in trace.unread)
            ended += trace.stopped is None
    assert used == set(KINDS)
    assert {kind: steps[kind] for kind in Step if steps[kind] < 30} == {}
    assert steps[Step.END] == ended < len(CONTROLS) * len(SEEDS)
    assert 500 < refused < sum(steps.values()) / 2


@pytest.mark.parametrize("path", GOLDEN, ids=lambda p: p.stem)
def test_golden_programs_are_read_alike(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    control = SKIP_MACRO if "skip" in path.stem else NGC
    assert len(assert_read_alike(path.read_text(encoding="ascii"), control, monkeypatch)) > 10
