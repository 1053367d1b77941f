"""Programs read back by the interpreter: restarted at any cut, from any state, on a plate found anywhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.trace import Probed, StartState, Step, Trace
from kerfproof.gcode.writer.program import Program
from kerfproof.gcode.writer.writer import write
from kerfproof.registry import load_folder
from kerfproof.shop.profile import StartKind, TouchOff
from support.shop.cutting import PLATE_6MM, bow, machine, plan, slit

DIALECTS: dict[str, Dialect] = load_folder("kerfproof.gcode.dialects", "DIALECT")
XYZ = tuple[float, float, float]


@dataclass
class Plate:
    """A flat plate at machine height `top`; the head trips 19.05 below contact and stops there."""

    top: float

    def probe(self, start: XYZ, target: XYZ, feed_mm_min: float) -> Probed:
        trip = self.top - 19.05
        if target[2] > trip:
            return Probed(False, target, target)
        at = (start[0], start[1], min(trip, start[2]))
        return Probed(True, at, at)


def written(name: str, start: StartKind, inches: bool) -> Program:
    cuts = (slit(), bow(touch_at=(40.0, 20.0)), slit(feature=2, pierce=(20.0, 10.0), contour=slit().contour.reversed()))
    return write(plan(machine(start, TouchOff.FLOAT, inches=inches), PLATE_6MM, *cuts), DIALECTS[name])


def burning(trace: Trace) -> np.ndarray:
    """Return line kind, ends and feed of all motion with the torch on, plate at height 0."""
    rows = trace.torch & np.isin(trace.kind, [Step.FEED, Step.ARC])
    return np.column_stack([trace.kind[rows], trace.start[rows], trace.end[rows], trace.sweep[rows], trace.feed[rows]])


def any_state(rng: np.random.Generator, height: float) -> StartState:
    return StartState(
        position=(float(rng.uniform(-50, 300)), float(rng.uniform(-50, 300)), height),
        offset=(0.0, 0.0, float(rng.uniform(-200, 200))),
        shift=(0.0, 0.0, float(rng.uniform(-200, 200))),
        inches=bool(rng.integers(2)),
        incremental=bool(rng.integers(2)),
        plane=int(rng.choice([17, 18, 19])),
        torch=bool(rng.integers(2)),
        motion=str(rng.choice(["G0", "G1", "G2", "G38.2", "G80"])),
        compensation=bool(rng.integers(2)),
    )


@pytest.mark.parametrize("inches", [False, True])
@pytest.mark.parametrize("start", StartKind)
@pytest.mark.parametrize("name", sorted(DIALECTS))
def test_each_cut_can_be_restarted_from_any_state(name: str, start: StartKind, inches: bool) -> None:
    made, control = written(name, start, inches), DIALECTS[name]
    whole = interpret(made.text, control, world=Plate(0.0), start=StartState(position=(0.0, 0.0, 40.0)))
    assert whole.stopped is None and not whole.unread
    lines, rng = made.text.splitlines(keepends=True), np.random.default_rng(7)
    for block in made.blocks:
        tail = "".join(lines[block.first - 1 :])
        state = any_state(rng, float(rng.uniform(23, 27)))
        trace = interpret(tail, control, world=Plate(0.0), start=state)
        assert trace.stopped is None and not trace.unread
        expected = burning(whole)[-len(burning(trace)) :]
        assert np.abs(burning(trace) - expected).max() < 1e-3
        lit = np.flatnonzero(trace.kind == Step.TORCH_ON)
        assert len(lit) == len(made.blocks) - block.cut
        assert not trace.torch[: lit[0]][trace.kind[: lit[0]] <= Step.PROBE].any()  # off before anything moves
        assert trace.end[:, 2].min() > -19.05 - 0.01


@pytest.mark.parametrize("top", [-5.0, 0.0, 12.5])
@pytest.mark.parametrize("name", sorted(DIALECTS))
def test_heights_follow_the_plate_wherever_it_lies(name: str, top: float) -> None:
    made = written(name, StartKind.CONTACT, True)
    trace = interpret(made.text, DIALECTS[name], world=Plate(top), start=StartState(position=(0.0, 0.0, 45.0)))
    lit = trace.kind == Step.TORCH_ON
    assert np.allclose(trace.end[lit, 2], top - 1.0, atol=1e-3)
    across = trace.torch & (np.hypot(*(trace.end - trace.start)[:, :2].T) > 0)
    assert np.allclose(trace.end[across, 2], top + 1.5, atol=1e-3)


def test_a_restart_from_the_wrong_height_stops_unlit_where_the_control_can_compare() -> None:
    made = written("ngc", StartKind.CONTACT, False)
    tail = "".join(made.text.splitlines(keepends=True)[made.blocks[1].first - 1 :])
    for height in (15.0, 40.0):
        trace = interpret(tail, DIALECTS["ngc"], world=Plate(0.0), start=StartState(position=(0.0, 0.0, height)))
        assert trace.stopped is not None
        assert not (trace.kind == Step.TORCH_ON).any()


def test_the_lit_line_of_each_block_is_where_the_torch_goes_on() -> None:
    made = written("compact", StartKind.CONTACT, False)
    trace = interpret(made.text, DIALECTS["compact"], world=Plate(0.0), start=StartState(position=(0.0, 0.0, 40.0)))
    assert trace.line[trace.kind == Step.TORCH_ON].tolist() == [block.light for block in made.blocks]
