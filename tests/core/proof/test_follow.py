"""Programs played where zero, torch and plate lie elsewhere: what stays behind is found, in whichever cut it stands."""

from __future__ import annotations

import itertools
import random
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from kerfproof.cut_plan import Cut
from kerfproof.errors import Severity
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.job.job import Mode
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from kerfproof.proof.table import scenario
from kerfproof.registry import load_folder
from kerfproof.shop.profile import Machine
from support.faulty.faults import Subject
from support.shop.known_plate import MACHINE, MACHINES, PROCESS, cuts, plan
from support.shop.shop import DIALECTS, built_in, cut, demo

CONTROLS = load_folder("kerfproof.gcode.dialects", "DIALECT")
NGC = CONTROLS["ngc"]
WORD = r"[-+]?[\d.]+"
Lines = list[str]


def errors(proof: Proof) -> set[str]:
    return {f.rule for f in proof.findings if f.severity is Severity.ERROR}


def loud(proof: Proof) -> list[str]:
    return [f.sentence() for f in proof.findings if f.severity is not Severity.NOTE]


# --- planted in the first, a middle and the last cut of fourteen -----------------------------------------


@cache
def sheet(dialect: str, inches: bool, **changes: object) -> Subject:
    """Return a program of fourteen cuts."""
    made = Subject(cut(demo("sluice-sheet"), replace(built_in(), dialect=dialect, inches=inches, hop=False, **changes)))
    assert len(made.blocks()) >= 12
    return made


def to_pierce(block: Lines) -> int:
    """Return the line of the travel before a touch-off."""
    search = next(k for k, line in enumerate(block) if re.match(r"G38|G31", line))
    return max(k for k in range(search) if re.match(rf"G0 X{WORD} Y{WORD}$", block[k]))


def place_of(line: str) -> tuple[float, float]:
    found = re.match(rf"G\d X({WORD}) Y({WORD})", line)
    assert found is not None
    return float(found[1]), float(found[2])


def put(block: Lines, at: int, *new: str) -> Lines:
    return [*block[:at], *new, *block[at + 1 :]]


def relative_to_the_parked_torch(block: Lines, s: Subject, first: bool) -> Lines | None:
    """Right from where the torch stands at zero; from the end of the cut before it is right anywhere."""
    at = to_pierce(block)
    return put(block, at, "G91", block[at], "G90") if first else None


def travel_in_machine_coordinates(block: Lines, s: Subject, first: bool) -> Lines:
    at = to_pierce(block)
    return put(block, at, f"G53 {block[at]}")


def travel_in_machine_coordinates_spelled_otherwise(block: Lines, s: Subject, first: bool) -> Lines:
    at = to_pierce(block)
    return put(block, at, "N7 g0 " + block[at][3:].lower() + " g053")


def cutting_in_machine_coordinates(block: Lines, s: Subject, first: bool) -> Lines | None:
    light = next(k for k, line in enumerate(block) if line.startswith("M3"))
    lines = [k for k in range(light, len(block)) if re.match(rf"G1 X{WORD} Y{WORD}", block[k])]
    return put(block, lines[-1], f"G53 {block[lines[-1]]}") if lines else None


def place_from_stored_offsets(block: Lines, s: Subject, first: bool) -> Lines:
    at = to_pierce(block)
    x, y = place_of(block[at])
    return put(block, at, f"G0 X[#5221+{x:.4f}] Y[{y:.4f}+#[5220+2]]")


def zero_where_the_torch_is(block: Lines, s: Subject, first: bool) -> Lines | None:
    at = to_pierce(block)
    return put(block, at, "G92.0 X0 Y0", block[at]) if first else None


def zero_where_the_torch_is_in_small_letters(block: Lines, s: Subject, first: bool) -> Lines | None:
    at = to_pierce(block)
    return put(block, at, "n20 y0 x0 g092", block[at]) if first else None


def another_work_offset(block: Lines, s: Subject, first: bool) -> Lines:
    at = to_pierce(block)
    return put(block, at, "G55", block[at], "G54")


def zero_of_the_machine(block: Lines, s: Subject, first: bool) -> Lines:
    at = to_pierce(block)
    return put(block, at, "G10 L2 P1 X0 Y0", block[at])


def found_height_thrown_away(block: Lines, s: Subject, first: bool) -> Lines | None:
    at = next((k for k, line in enumerate(block) if line.startswith("G1 Z#5063")), None)
    trip = ((24.0 if first else 25.0) + 19.0) / s.unit  # parked 24 mm over the plate, then raised 25 mm
    return None if at is None else put(block, at, block[at].replace("Z#5063", f"Z{-trip:.4f}"))


def datum_at_a_height_of_the_machine(block: Lines, s: Subject, first: bool) -> Lines | None:
    """On the table as it should be the plate lies 37.5 mm under machine zero."""
    at = next(k for k, line in enumerate(block) if re.match(r"(G92|G10 L20 P1) Z-", line))
    if s.outcome.machine.dialect != "ngc":
        return None
    return put(block, at, f"G10 L2 P1 Z{-37.5 / s.unit:.4f}", "G92.1")


def a_search_that_drags(block: Lines, s: Subject, first: bool) -> Lines:
    at = next(k for k, line in enumerate(block) if re.match(r"G38|G31", line))
    x, _ = place_of(block[to_pierce(block)])
    return put(block, at, block[at].replace(" Z", f" X{x + 3 / s.unit:.4f} Z", 1))


Plant = Callable[[Lines, Subject, bool], Lines | None]
PLANTS: dict[Plant, str] = {
    relative_to_the_parked_torch: "zero-not-followed",
    travel_in_machine_coordinates: "zero-not-followed",
    travel_in_machine_coordinates_spelled_otherwise: "zero-not-followed",
    cutting_in_machine_coordinates: "zero-not-followed",
    place_from_stored_offsets: "zero-not-followed",
    zero_where_the_torch_is: "zero-not-followed",
    zero_where_the_torch_is_in_small_letters: "zero-not-followed",
    another_work_offset: "zero-not-followed",
    zero_of_the_machine: "zero-not-followed",
    found_height_thrown_away: "height-not-followed",
    datum_at_a_height_of_the_machine: "height-not-followed",
    a_search_that_drags: "search-drags-sideways",
}
NO_NUMBERS = {"compact", "compact_offset", "skip"}
"""Dialects without parameters refuse the line itself."""


def spoiled(s: Subject, number: int, plant: Plant) -> str | None:
    lines, (low, high) = s.lines, s.blocks()[number]
    new = plant(lines[low:high], s, number == 0)
    return None if new is None else "\n".join([*lines[:low], *new, *lines[high:]]) + "\n"


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: plant.__name__)
def test_what_stays_behind_is_an_error_in_whichever_cut_it_stands(plant: Plant, dialect: str):
    turn = list(PLANTS).index(plant) + DIALECTS.index(dialect)
    s = sheet(dialect, bool(turn % 2))
    count, tried = len(s.blocks()), 0
    for number in (0, 2, random.Random(turn).randrange(3, count - 2), count - 1):
        text = spoiled(s, number, plant)
        if text is None:
            continue
        tried += 1
        found = errors(s.prove(text))
        refused = plant is place_from_stored_offsets and dialect in NO_NUMBERS
        assert (PLANTS[plant] if not refused else "unreadable-text") in found, (number, found)
    rare = {found_height_thrown_away, datum_at_a_height_of_the_machine}
    assert tried or plant in rare


@pytest.mark.parametrize("dialect", DIALECTS)
def test_a_relative_move_from_the_end_of_the_cut_before_is_right(dialect: str):
    s = sheet(dialect, False)
    lines, (low, high) = s.lines, s.blocks()[6]
    at = low + to_pierce(lines[low:high])
    before = max(k for k in range(at) if re.match(rf"G[0123] X{WORD} Y{WORD}", lines[k]))
    (x, y), (x0, y0) = place_of(lines[at]), place_of(lines[before])
    text = "\n".join(put(lines, at, "G91", f"G0 X{x - x0:.4f} Y{y - y0:.4f}", "G90")) + "\n"
    assert errors(s.prove(text)) == set()


def test_no_word_of_x_and_y_before_the_first_cut_leaves_it_where_the_torch_was_parked():
    slit = Path.polyline([(0.0, 0.0), (30.0, 0.0)])
    one = Cut(
        feature=0, kind="slit", part="p", label="1", pierce=(0.0, 0.0), contour=slit, feed_mm_min=2200.0, kerf=1.5
    )
    text = write(plan(MACHINE, (one,)), NGC).text
    assert "G0 X0 Y0\n" in text and not errors(prove(text, Against(control=NGC, machine=MACHINE, process=PROCESS)))
    proof = prove(text.replace("G0 X0 Y0\n", ""), Against(control=NGC, machine=MACHINE, process=PROCESS))
    told = [f for f in proof.findings if f.severity is Severity.ERROR]
    assert [f.rule for f in told] == ["zero-not-followed"]
    assert "where the torch was parked, not from the work zero" in told[0].message
    half = prove(text.replace("G0 X0 Y0\n", "G0 X0\n"), Against(control=NGC, machine=MACHINE, process=PROCESS))
    assert errors(half) == {"zero-not-followed"}, "Y stands where the torch was parked"
    apart = prove(text.replace("G0 X0 Y0\n", "G0 X0\nY0\n"), Against(control=NGC, machine=MACHINE, process=PROCESS))
    assert loud(apart) == loud(prove(text, Against(control=NGC, machine=MACHINE, process=PROCESS))), (
        "one axis after the other is right"
    )


WHY = [
    (relative_to_the_parked_torch, "where the torch was parked, not from the work zero"),
    (travel_in_machine_coordinates, "from machine zero, not from the work zero"),
    (another_work_offset, "from the zero of another work offset"),
    (place_from_stored_offsets, "with the work zero counted twice"),
    (found_height_thrown_away, "what its touch-off found is not used"),
    (datum_at_a_height_of_the_machine, "it stays at one height of the machine"),
]


@pytest.mark.parametrize(("plant", "why"), WHY)
def test_the_sentence_tells_what_happens_and_where(plant: Plant, why: str):
    s = sheet("ngc", False)
    number = 0 if plant is relative_to_the_parked_torch else 7
    text = spoiled(s, number, plant)
    assert text is not None
    (told,) = [f for f in s.prove(text).findings if f.rule == PLANTS[plant]]
    assert why in told.message
    low, high = s.blocks()[number]
    assert told.line is not None and low < told.line <= high + 2 and told.x is not None


# --- over slugs and kerfs ------------------------------------------------------------------------------


def with_slit(touch_at: tuple[float, float], machine: Machine = MACHINE) -> Proof:
    """Return the proof of a hole (20 mm, at 70, 50) and a slit beside it whose touch-off is made elsewhere."""
    slit = Path.polyline([(84.0, 50.0), (95.0, 50.0)])
    beside = Cut(
        feature=1,
        kind="slit",
        part="p",
        label="slit",
        pierce=(84.0, 50.0),
        touch_at=touch_at,
        contour=slit,
        feed_mm_min=2200.0,
        kerf=1.5,
    )
    return prove(
        write(plan(machine, (cuts()[0], beside)), NGC).text, Against(control=NGC, machine=machine, process=PROCESS)
    )


def test_a_search_over_a_slug_or_an_open_kerf_is_an_error_and_beside_them_none():
    for place, said in (((70.0, 50.0), "has freed"), ((79.3, 50.0), "over an open kerf")):
        proof = with_slit(place)
        assert errors(proof) == {"touch-off-near-void"}
        (told,) = [f for f in proof.findings if f.rule == "touch-off-near-void"]
        assert said in told.message and (told.x, told.y) == pytest.approx(place)
    assert loud(with_slit((86.0, 55.0))) == []


# --- right programs go along ----------------------------------------------------------------------------


@pytest.mark.parametrize("mode", [Mode.CUT, Mode.DRY, Mode.FRAME, Mode.TOUR])
@pytest.mark.parametrize("name", MACHINES)
def test_a_right_program_goes_along_in_every_mode(name: str, mode: Mode):
    for g92 in (False, True):
        machine = replace(MACHINES[name], xy_zero_in_g92=g92, end_clears_datum=not g92)
        text = write(plan(machine, mode=mode), CONTROLS["ngc_blend"]).text
        found = prove(
            text, Against(control=CONTROLS["ngc_blend"], machine=machine, process=PROCESS, mode=mode.value)
        ).findings
        assert not {"zero-not-followed", "height-not-followed", "program-stops-itself"} & {f.rule for f in found}


CHANGES: list[dict[str, object]] = [
    {"tip_changes": True, "tip_change_x": 5.0, "tip_change_y": 7.0},
    {"witness_every": 3, "witness_x": 12.0, "witness_y": 9.0},
    {"z_homed": True},
    {"work_offset": "G57"},
    {"plate_height_band": 1.0},
    {"park_height_max": 12.0},
    {"first_looks": 3},
]


@pytest.mark.parametrize("changes", CHANGES, ids=str)
@pytest.mark.parametrize("dialect", DIALECTS)
def test_a_right_program_of_another_machine_goes_along(dialect: str, changes: dict[str, object]):
    machine = replace(built_in(), dialect=dialect, **changes)
    proof = cut(demo("sluice-sheet"), machine).proof
    assert proof is not None
    assert not {"zero-not-followed", "height-not-followed", "program-stops-itself"} & {f.rule for f in proof.findings}


def in_a_row(count: int, **changes: object) -> tuple[Cut, ...]:
    """Return slits one above the other, 10 mm apart."""
    return tuple(
        Cut(
            feature=k,
            kind="slit",
            part="p",
            label=f"{k}",
            pierce=(20.0, 10.0 * k),
            contour=Path.polyline([(20.0, 10.0 * k), (60.0, 10.0 * k)]),
            feed_mm_min=2200.0,
            kerf=1.5,
            **changes,  # type: ignore[arg-type]
        )
        for k in range(count)
    )


@pytest.mark.parametrize("dialect", DIALECTS)
def test_touch_offs_left_out_raised_fully_or_made_beside_go_along(dialect: str):
    control = CONTROLS[dialect]
    beside = tuple(replace(c, touch_at=(c.pierce[0] - 8.0, c.pierce[1] + 3.0)) for c in in_a_row(12))
    for machine, items in (
        (replace(MACHINES["pilot-float"], retouch_distance=35.0), in_a_row(12)),
        (MACHINES["contact-float-homed"], in_a_row(12, full_raise=True)),
        (MACHINE, beside),
    ):
        text = write(plan(machine, items), control).text
        found = prove(text, Against(control=control, machine=machine, process=PROCESS)).findings
        assert not {"zero-not-followed", "height-not-followed", "program-stops-itself"} & {f.rule for f in found}


def test_going_home_after_the_last_cut_of_a_homed_machine_is_at_most_a_warning():
    machine = MACHINES["contact-float-homed"]
    text = write(plan(machine), NGC).text
    for home in ("G28\n", "G53 G0 X0 Y0\n"):
        proof = prove(text.replace("M2\n", home + "M2\n"), Against(control=NGC, machine=machine, process=PROCESS))
        assert [f.severity for f in proof.findings if f.rule == "zero-not-followed"] == [Severity.WARNING]
        assert "G28" in home or errors(proof) == set()


def test_travel_in_machine_coordinates_between_cuts_is_a_warning():
    s = sheet("ngc", False)
    lines, (low, high) = s.lines, s.blocks()[7]
    at = low + to_pierce(lines[low:high])
    proof = s.prove("\n".join([*lines[:at], "G53 G0 X10 Y10", *lines[at:]]) + "\n")
    told = [f for f in proof.findings if f.rule == "zero-not-followed"]
    assert [f.severity for f in told] == [Severity.WARNING] and "this travel goes" in told[0].message


@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME, Mode.TOUR])
def test_motion_without_an_arc_must_follow_the_zero_too(mode: Mode):
    text = write(plan(mode=mode), NGC).text
    every = [k for k, line in enumerate(text.splitlines()) if re.match(rf"G[01] X{WORD} Y{WORD}", line)]
    lines = text.splitlines()
    middle = every[len(every) // 2]
    proof = prove(
        "\n".join(put(lines, middle, f"G53 {lines[middle]}")) + "\n",
        Against(control=NGC, machine=MACHINE, process=PROCESS, mode=mode.value),
    )
    severities = {f.severity for f in proof.findings if f.rule == "zero-not-followed"}
    assert severities == {Severity.ERROR}


def test_a_guard_narrower_than_the_plate_band_is_a_warning_and_what_follows_is_played_all_the_same():
    s = sheet("ngc", False)
    text = re.sub(r"SQRT\[4-ABS", "SQRT[1-ABS", s.outcome.program.text)
    assert text != s.outcome.program.text
    proof = s.prove(text)
    assert errors(proof) == set()
    assert "program-stops-itself" in {f.rule for f in proof.findings if f.severity is Severity.WARNING}
    behind = spoiled(s, 12, found_height_thrown_away)
    assert behind is not None
    assert "height-not-followed" in errors(s.prove(re.sub(r"SQRT\[4-ABS", "SQRT[1-ABS", behind)))


# --- the tables themselves ------------------------------------------------------------------------------


@pytest.mark.parametrize("turn", range(len(scenario.ZEROS)))
@pytest.mark.parametrize("name", MACHINES)
def test_the_table_elsewhere_is_within_what_the_machine_file_allows(name: str, turn: int):
    machine = MACHINES[name]
    box = (0.0, 0.0, 500.0, 300.0)
    table = scenario.elsewhere(machine, 0.0, turn, "G54", box)
    band, nominal = machine.plate_height_band, scenario.plate_top(machine)
    zero = scenario.ZEROS[turn]
    points = [(zero[0] + x, zero[1] + y) for x in (0.0, 250.0, 500.0) for y in (0.0, 150.0, 300.0)]
    tops = [[table.plate.top_at(x, y, pierce) for x, y in points] for pierce in range(1, 12)]
    highest = nominal + band
    if machine.z_homed and machine.touch_off.value != "none":  # a thicker plate is met sooner from the top of travel
        highest = max(highest, -machine.travel_height - band)
    assert all(nominal - band < top < highest for row in tops for top in row)
    if machine.touch_off.value == "none":
        assert all(top == tops[0][0] for row in tops for top in row)
        return
    for now, later in itertools.pairwise(tops):
        apart = [abs(a - b) for a in now for b in later]
        assert min(apart) > 0.05 and max(apart) < band, "each touch-off finds another height, within the band"
    if turn:  # flat, and once in a while a whole band higher, less what the fast touch reads late
        late = abs(machine.read_late(machine.touch_fast_mm_min)) + scenario.LEAST_READ
        assert max(later[0] - now[0] for now, later in itertools.pairwise(tops)) == pytest.approx(band - late)
    assert table.start.position[:2] not in (zero, (0.0, 0.0)) and table.start.offset[:2] == zero
