"""Programs of our own writer, and spoiled ones, played on the simulated table."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from kerfproof.cut_plan import Cut
from kerfproof.errors import Severity
from kerfproof.gcode.dialect import Dialect, Guard, ProbeMiss
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.trace import StartState, Step, Trace
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.proof.evidence.evidence import extra_lines
from kerfproof.proof.evidence.simulated_table import Fault, Plate, Table, trip_depth
from kerfproof.proof.table import scenario
from kerfproof.proof.table.play import Played, play
from kerfproof.registry import load_folder
from kerfproof.shop.profile import Machine, StartKind, TouchOff
from support.shop.known_plate import MACHINE, MACHINES, PROCESS, plan, program

CONTROLS: dict[str, Dialect] = load_folder("kerfproof.gcode.dialects", "DIALECT")
TOUCHING = {name: m for name, m in MACHINES.items() if m.touch_off is not TouchOff.NONE}
BOTH = list(itertools.product(MACHINES, CONTROLS))
TOUCH = list(itertools.product(TOUCHING, CONTROLS))


def wanted_height(machine: Machine) -> float:
    """Return the height at light-up: the preload, contact on a fixed head, twice the cut height for a pilot arc."""
    if machine.start is StartKind.PILOT:
        return 3.0
    return -1.0 if machine.touch_off is TouchOff.FLOAT else 0.0


def errors(played: Played) -> list[str]:
    return [f.rule for f in played.findings if f.severity is Severity.ERROR]


def on(table: scenario.Scenario, control: Dialect, machine: Machine, clean: Trace | None = None) -> Played:
    return play(program(control, machine), control, machine, table, process=PROCESS, clean=clean)


@pytest.mark.parametrize(("name", "dialect"), BOTH)
@pytest.mark.parametrize("by", [200.0, -200.0, 37.5])
def test_a_stale_control_changes_nothing_after_the_first_touch_off(name: str, dialect: str, by: float):
    machine, control = MACHINES[name], CONTROLS[dialect]
    clean = on(scenario.nominal(machine, 0.0), control, machine)
    for turn in range(3):
        table = scenario.stale(machine, 0.0, by, turn, worded_centers=bool(control.arc_center_word))
        played = on(table, control, machine, clean.trace)
        assert table.start.torch and table.start.incremental is not table.start.inverse_time
        assert errors(played) == []
        assert len(played.light_rows) == 2
        assert played.light_heights == pytest.approx(clean.light_heights, abs=1e-6)


def test_a_program_without_units_is_found_under_a_stale_control():
    control = CONTROLS["ngc"]
    text = program(control).replace("G21\n", "")
    clean = play(text, control, MACHINE, scenario.nominal(MACHINE, 0.0), process=PROCESS)
    played = play(text, control, MACHINE, scenario.stale(MACHINE, 0.0, 120.0, 0), process=PROCESS, clean=clean.trace)
    assert "state-inherited" in errors(played)


def test_a_program_that_does_not_begin_with_torch_off_is_found():
    control = CONTROLS["ngc"]
    text = program(control).replace("M5\nG17 G40", "G17 G40")
    played = play(text, control, MACHINE, scenario.stale(MACHINE, 0.0, 120.0, 0), process=PROCESS)
    assert "torch-on-at-start" in errors(played)


def test_a_start_pressed_too_little_says_how_far_down_to_go():
    control = CONTROLS["ngc"]
    text = program(control).replace("G1 Z-1 F3000", "G1 Z-0.4 F3000")
    played = play(text, control, MACHINE, scenario.nominal(MACHINE, 0.0), process=PROCESS)
    assert {f.advice for f in played.findings if f.rule == "contact-start-off-plate"} == {
        "go down to Z -1.00 mm before it, which is the preload of the machine file"
    }


def test_a_plunge_from_a_stale_frame_is_found():
    control = CONTROLS["ngc"]
    text = program(control).replace("G0 X70 Y50\n", "G0 Z25\nG0 X70 Y50\n", 1)
    played = play(text, control, MACHINE, scenario.stale(MACHINE, 0.0, -200.0, 0), process=PROCESS)
    assert "head-driven-down" in errors(played)


@pytest.mark.parametrize(("name", "dialect"), TOUCH)
@pytest.mark.parametrize("rise", [-3.0, 0.0, 3.0])
def test_the_tip_is_where_it_must_be_at_every_plate_height(name: str, dialect: str, rise: float):
    machine, control = TOUCHING[name], CONTROLS[dialect]
    nominal = scenario.nominal(machine, 0.0)
    lying = replace(nominal, plate=Plate(scenario.plate_top(machine) + rise))
    played = on(lying, control, machine)
    assert played.light_heights == pytest.approx(wanted_height(machine), abs=0.05)
    assert played.cut_heights == pytest.approx(1.5, abs=0.05)
    assert errors(played) == []


@pytest.mark.parametrize(("name", "dialect"), TOUCH)
def test_on_a_tilted_plate_each_start_is_right_at_its_own_place(name: str, dialect: str):
    machine, control = TOUCHING[name], CONTROLS[dialect]
    base = scenario.nominal(machine, 0.0)
    tilted = replace(base, plate=Plate(base.plate.z, 0.03, -0.02))
    played = on(tilted, control, machine)
    assert played.light_heights == pytest.approx(wanted_height(machine), abs=0.05)
    assert len(played.light_heights) == 2


def blind(machine: Machine, control: Dialect) -> bool:
    """Return whether a fixed head stands on a control that can't read the trip: then it must stay where it tripped."""
    return machine.touch_off is TouchOff.OHMIC and control.trip_parameter is None


@pytest.mark.parametrize("back_off", [0.5, 2.0])
@pytest.mark.parametrize(("name", "dialect"), [(n, d) for n, d in TOUCH if blind(TOUCHING[n], CONTROLS[d])])
def test_a_back_off_that_nothing_makes_good_is_found(name: str, dialect: str, back_off: float):
    machine, control = TOUCHING[name], replace(CONTROLS[dialect], control_back_off=back_off)
    played = on(scenario.backing_off(machine, back_off), control, machine)
    assert set(errors(played)) == {"contact-start-off-plate"}


@pytest.mark.parametrize("back_off", [0.0, 0.5, 2.0])
@pytest.mark.parametrize(("name", "dialect"), [(n, d) for n, d in TOUCH if not blind(TOUCHING[n], CONTROLS[d])])
def test_a_control_that_backs_off_changes_no_height(name: str, dialect: str, back_off: float):
    machine = TOUCHING[name]
    control = replace(CONTROLS[dialect], control_back_off=back_off)
    played = on(scenario.backing_off(machine, back_off), control, machine)
    assert played.light_heights == pytest.approx(wanted_height(machine), abs=0.05)
    assert played.cut_heights == pytest.approx(1.5, abs=0.05)


def test_nothing_drifts_over_two_hundred_starts():
    control = CONTROLS["ngc"]
    lines = []
    for k in range(200):
        x, y = 5.0 + 6.0 * (k % 20), 5.0 + 8.0 * (k // 20)
        path = Path.polyline([(x, y), (x + 3, y)])
        lines.append(
            Cut(
                feature=k,
                kind="slit",
                part="p",
                label=f"{k}",
                pierce=(x, y),
                contour=path,
                feed_mm_min=2200.0,
                kerf=1.5,
            )
        )
    text = write(plan(MACHINE, tuple(lines)), control).text
    tilted = replace(scenario.nominal(MACHINE, 0.0), plate=Plate(-37.5, 0.01, 0.02))
    played = play(text, control, MACHINE, tilted, process=PROCESS)
    assert len(played.light_heights) == 200
    assert np.abs(played.light_heights + 1.0).max() < 1e-6  # sequence A goes back to the trip itself


@pytest.mark.parametrize(
    ("old", "new", "off"),
    [("G92 Z-19.05", "G92 Z0", 19.05), ("G92 Z-19.05", "G92 Z19.05", 38.1), ("G1 Z#5063 F60\n", "", 0.0)],
)
def test_a_forgotten_float_a_wrong_sign_and_a_datum_at_rest_are_told_apart(old: str, new: str, off: float):
    control = CONTROLS["ngc"]
    text = program(control).replace(old, new)
    played = play(text, control, MACHINE, scenario.nominal(MACHINE, 0.0), process=PROCESS)
    # The datum is off by the float or twice of it, or by the overrun of the slow touch, 0.0354.
    assert played.light_heights == pytest.approx(-1.0 - off - (0.0354 if off == 0 else 0.0), abs=1e-3)


FAULTS = [(fault, pierce) for fault in (Fault.MISSING, Fault.STUCK, Fault.FALSE_TRIP, Fault.SLAT) for pierce in (1, 2)]


@pytest.mark.parametrize(("fault", "pierce"), FAULTS)
@pytest.mark.parametrize(("name", "dialect"), TOUCH)
def test_after_a_fault_a_stopping_control_never_lights_and_a_silent_one_stops_first(
    name: str, dialect: str, fault: Fault, pierce: int
):
    machine, control = TOUCHING[name], CONTROLS[dialect]
    played = on(scenario.troubled(machine, 0.0, fault, pierce), control, machine)
    assert any(s.faulty for s in played.searches)
    before = next(r for r, s in zip(played.probe_rows, played.searches, strict=True) if s.faulty)
    later = played.light_rows[played.light_rows > before]
    if control.guard is not Guard.NONE and not (fault is Fault.SLAT and pierce == 1):
        assert len(later) == 0 and played.trace.stopped is not None
    elif control.probe_miss is ProbeMiss.SILENT and len(later):
        kinds = played.trace.kind[before : later[0]]
        assert np.isin(kinds, (Step.STOP, Step.OPTIONAL_STOP)).any()
    elif fault in (Fault.MISSING, Fault.FALSE_TRIP):
        assert len(later) == 0
    assert errors(played) == []


def test_a_missing_guard_is_found_by_playing_the_fault():
    control = CONTROLS["skip_macro"]
    text = "\n".join(line for line in program(control).splitlines() if not line.startswith("IF")) + "\n"
    played = play(text, control, MACHINE, scenario.troubled(MACHINE, 0.0, Fault.MISSING, 2), process=PROCESS)
    assert errors(played) == ["touch-off-miss-unguarded"]


@pytest.mark.parametrize(("name", "dialect"), TOUCH)
def test_every_block_can_be_restarted_from_any_state(name: str, dialect: str):
    machine, control = replace(TOUCHING[name], z_homed=False, park_height_max=60.0), CONTROLS[dialect]
    whole = write(plan(machine), control)
    clean = play(whole.text, control, machine, scenario.nominal(machine, 0.0), process=PROCESS)
    for turn, block in enumerate(whole.blocks):
        table = scenario.stale(machine, 0.0, 90.0, 2)
        # The torch stands raised at travel height, as the block's comment asks.
        raised = replace(table, start=replace(table.start, position=(33.0, 44.0, table.plate.z + 25.0)))
        tail = "\n".join(whole.text.splitlines()[block.first - 1 :]) + "\n"
        played = play(tail, control, machine, raised, process=PROCESS)
        mine = played.trace.end[played.cut_rows]
        full = clean.trace.end[clean.cut_rows]
        assert mine == pytest.approx(full[len(full) - len(mine) :], abs=1e-3)
        assert len(played.light_rows) == len(whole.blocks) - turn
        assert errors(played) == []


def test_a_touch_off_none_machine_trusts_the_operators_zero():
    machine, control = MACHINES["contact-none"], CONTROLS["ngc"]
    played = on(scenario.nominal(machine, 0.0), control, machine)
    assert played.searches == ()
    assert played.light_heights == pytest.approx(0.0, abs=1e-9)


def test_the_lines_of_the_machine_file_reach_the_reader():
    machine = MACHINES["contact-ohmic"]
    lines = extra_lines(machine)
    assert lines == {"sense_on": "M64 P1", "sense_off": "M65 P1", "torch_on": "M3", "torch_off": "M5"}
    control = CONTROLS["ngc"]
    table = Table(machine, Plate(-37.5), trip_depth(machine, control))
    trace = interpret(program(control, machine), control, world=table, start=StartState(), lines=lines)
    assert not trace.unread and (trace.kind == Step.OUTPUT).sum() == 4
