from __future__ import annotations

import math
import re
import warnings
from dataclasses import replace
from itertools import pairwise, product

import gcodeparser
import numpy as np
import pytest

from kerfproof.cut_plan import Cut, CutPlan, StartAt
from kerfproof.errors import KerfproofError
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.header_lines import read_heading
from kerfproof.gcode.writer.program import Program
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.job.job import Mode
from kerfproof.registry import load_folder
from kerfproof.shop.profile import Machine, StartKind, TouchOff
from support.shop.cutting import PLATE_6MM, SHEET_2MM, bow, machine, plan, slit, words_of

DIALECTS: dict[str, Dialect] = load_folder("kerfproof.gcode.dialects", "DIALECT")
NGC = DIALECTS["ngc"]
EVERY = list(product(sorted(DIALECTS), StartKind, TouchOff))
Z_WORD = re.compile(r"Z[-\[#\d]")


def program(control: str, start: StartKind, touch_off: TouchOff, **changes: object) -> Program:
    return write(
        plan(machine(start, touch_off, **changes), PLATE_6MM, slit(), bow(), slit(feature=2)), DIALECTS[control]
    )


def moves(lines: list[str]) -> list[str]:
    return [line for line in lines if line.startswith(("G0", "G1 ", "G2 ", "G3 ", "G38", "G31", "G53"))]


def blocks(made: Program) -> list[list[str]]:
    lines = made.text.splitlines()
    return [lines[b.first - 1 : b.last] for b in made.blocks]


@pytest.mark.parametrize(("control", "start", "touch_off"), EVERY)
def test_every_program_meets_what_all_controls_ask(control: str, start: StartKind, touch_off: TouchOff) -> None:
    for inches, homed in product((False, True), (False, True)):
        made = program(control, start, touch_off, inches=inches, z_homed=homed)
        lines = made.text.splitlines()
        assert made.text.isascii() and made.text.endswith("\n") and "\r" not in made.text
        assert max(map(len, lines)) <= min(80, DIALECTS[control].line_limit)
        words = words_of(made.text)
        assert not [w for w in words if re.search(r"-0(?![.\d])|[Ee][-+]\d|\d\.(?!\d)", w) and "(" not in w]
        assert words[0] == "M5"  # the torch is off before anything else
        for line in words:
            letters = re.sub(r"\(.*\)", "", line)
            assert not (re.search(r"\bM\d", letters) and re.search(r"[XYZ]", letters)), line
            if re.search(r"\b(G92|G10)\b", line):
                assert not re.search(r"[XY]", line), line
        assert "G91" not in [word for line in words for word in line.split()]
        assert not [line for line in words if re.match(r"[XYZIJ][-\d]", line)]


@pytest.mark.parametrize(("control", "start", "touch_off"), EVERY)
def test_every_block_restates_its_modes_and_needs_no_z_before_its_touch_off(
    control: str, start: StartKind, touch_off: TouchOff
) -> None:
    for homed in (False, True):
        made = program(control, start, touch_off, z_homed=homed)
        for block in blocks(made):
            words = words_of("\n".join(block))
            assert words[0] == "M5"
            first_xy = next(k for k, w in enumerate(words) if w.startswith("G0 X"))
            stated = " ".join(words[:first_xy]).split()
            assert {"G17", "G40", "G49", "G80", "G90", "G94", "G21", "G54", "F6000"} <= set(stated)
            assert stated.index("G21") < stated.index("F6000")
            if touch_off is TouchOff.NONE:
                continue
            provisional = next(k for k, w in enumerate(words) if w.startswith(("G92 Z", "G10 L20")))
            search = next(k for k, w in enumerate(words) if w.startswith(DIALECTS[control].probe_word + " "))
            assert provisional < search and words[provisional - 1] == "G4 P0.2"
            assert not [w for w in words[:provisional] if Z_WORD.search(w)]
            assert " ".join(words[provisional].split()[-1:]) == "Z0"


@pytest.mark.parametrize(("control", "start", "touch_off"), [e for e in EVERY if e[2] is not TouchOff.NONE])
def test_nothing_moves_between_the_trip_and_the_datum_but_the_way_back(
    control: str, start: StartKind, touch_off: TouchOff
) -> None:
    for block in blocks(program(control, start, touch_off)):
        words = words_of("\n".join(block))
        datum = max(k for k, w in enumerate(words) if w.startswith(("G92 Z", "G10 L20")))
        z = "Z-19.05" if touch_off is TouchOff.FLOAT else "Z0"
        assert words[datum].endswith(z)
        assert words[datum - 1] == "G4 P0.2" and words[datum + 1] == "G4 P0.1"
        slow = max(k for k, w in enumerate(words) if w.startswith(DIALECTS[control].probe_word + " "))
        between = moves(words[slow + 1 : datum])
        assert between == (["G1 Z#5063 F60"] if DIALECTS[control].expressions else [])


@pytest.mark.parametrize(("control", "start", "touch_off"), EVERY)
def test_the_torch_stands_while_it_lights_and_goes_out_and_no_stop_holds_it_burning(
    control: str, start: StartKind, touch_off: TouchOff
) -> None:
    words = words_of(program(control, start, touch_off).text)
    assert words.count("M3") == 3
    burning = False
    for word, following in pairwise(words):
        if word == "M3":
            burning = True
            assert following == "G4 P0.4"
        if word == "M5" and burning:
            burning = False
            assert following == "G4 P0.3"
        assert not (burning and (word in ("M0", "M1") or word.startswith(("G0", "G53"))))
    assert not burning
    assert words.count("M0") == (2 if touch_off is TouchOff.NONE else 1)
    risky = touch_off is TouchOff.NONE or control == "skip"
    assert words.count("M1") == (2 if risky else 0)


@pytest.mark.parametrize(("control", "start", "touch_off"), EVERY)
def test_feed_is_stated_on_the_first_line_in_the_plane(control: str, start: StartKind, touch_off: TouchOff) -> None:
    for block in blocks(program(control, start, touch_off)):
        words = words_of("\n".join(block))
        lit = words.index("M3")
        first = next(w for w in words[lit:] if re.match(r"G[123] X", w))
        assert first.endswith(" F1100")


# --- units ------------------------------------------------------------------------------------------------


def parsed(text: str) -> list[tuple[str, dict[str, float]]]:
    """Return the lines without expressions as an outside parser reads them."""
    plain = "\n".join(line for line in text.splitlines() if "#" not in line)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        read = gcodeparser.parse_gcode_lines(plain, include_comments=False)
        return [("".join(map(str, line.command)), dict(line.params)) for line in read]


def wavy(seed: int) -> Cut:
    rng = np.random.default_rng(seed)
    points = np.cumsum(rng.uniform(2, 30, (40, 2)), axis=0)
    vertices = np.column_stack([points, rng.uniform(-1, 1, 40)])
    return slit(feature=seed, pierce=tuple(points[0].tolist()), contour=Path(vertices, False))


@pytest.mark.parametrize("control", sorted(DIALECTS))
@pytest.mark.parametrize("start", StartKind)
def test_the_inch_program_equals_the_mm_program(control: str, start: StartKind) -> None:
    cuts = (slit(), bow(), wavy(1), wavy(2))
    texts = [write(plan(machine(start, inches=i), PLATE_6MM, *cuts), DIALECTS[control]).text for i in (False, True)]
    metric, inch = map(parsed, texts)
    units = [("G21", "G20") if a == "G21" else (a, a) for a, _ in metric]
    assert [a for a, _ in inch] == [b for _, b in units]
    for (code, a), (_, b) in zip(metric, inch, strict=True):
        assert a.keys() == b.keys()
        for letter, value in a.items():
            if letter in "IJ":
                continue  # flat arcs: the centre follows the rounding of the ends; see the test of strokes
            is_length = letter in "XYZF" or code == "G64"
            other = b[letter] * 25.4 if is_length else b[letter]
            limit = 1e-3 * value if letter == "F" else 2.0e-4
            assert math.isclose(value, other, abs_tol=limit), (code, letter, value, other)
    numbers = [
        [float(n) for line in text.splitlines() if "#" in line for n in re.findall(r"(?<![#\d.])\d+(?:\.\d+)?", line)]
        for text in texts
    ]
    assert len(numbers[0]) == len(numbers[1])
    for value, other in zip(*numbers, strict=True):  # lengths and feeds in guards and returns; 0 and 1 stay
        assert value == other or math.isclose(value, other * 25.4, rel_tol=1e-3), (value, other)


# --- ways --------------------------------------------------------------------------------------------------


def test_a_homed_machine_raises_by_the_machine_frame_only() -> None:
    words = words_of(write(plan(machine(z_homed=True)), NGC).text)
    assert words[:8] == ["M5", "G17 G40 G49 G80", "G90 G94", "G21", "G54", "G64", "F6000", "G53 G0 Z0"]
    assert words[-4:] == ["M5", "G53 G0 Z0", "G92.1", "M2"]


def test_the_way_passes_the_given_points_raised() -> None:
    words = words_of(write(plan(machine(), PLATE_6MM, slit(), bow(via=((0.0, 50.0), (40.0, 60.0)))), NGC).text)
    at = words.index("G0 X0 Y50")
    assert words[at - 1] == "F6000" and words[at + 1 : at + 3] == ["G0 X40 Y60", "G0 X30 Y20"]


def test_a_full_raise_goes_to_the_top_or_asks_the_operator() -> None:
    cuts = (slit(), bow(full_raise=True))
    homed = words_of(write(plan(machine(z_homed=True), PLATE_6MM, *cuts), NGC).text)
    at = homed.index("G0 X30 Y20")
    assert homed[at - 1] == "G53 G0 Z0"
    assert "G38.2 Z-84.05 F1000" in homed[at:] and "G38.2 Z-49.05 F1000" not in homed  # from the top, not from S
    assert homed.count("#103=#101") == 2 and homed.count("#102=SQRT[[4-ABS[#101-#103]]*ABS[#103]]") == 1
    assert homed.count("M1") == 1  # after a restart there is nothing to compare with, so the operator looks
    parked = words_of(write(plan(machine(), PLATE_6MM, *cuts), NGC).text)
    at = parked.index("G0 X30 Y20")
    assert parked[at - 2 : at] == ["(MSG, freed pieces may stand up on the way: look, then go on)", "M0"]
    assert "G38.2 Z-49.05 F1000" in parked


def test_an_edge_start_waits_for_no_pierce() -> None:
    lines = words_of(write(plan(machine(), PLATE_6MM, slit(start_at=StartAt.EDGE)), NGC).text)
    lit = lines.index("M3")
    assert lines[lit : lit + 4] == ["M3", "G4 P0.4", "G1 Z1.5 F900", "G1 X20 Y10 F1100"]
    pilot = words_of(write(plan(machine(StartKind.PILOT), PLATE_6MM, slit(start_at=StartAt.EDGE)), NGC).text)
    lit = pilot.index("M3")
    assert pilot[lit : lit + 4] == ["M3", "G4 P0.4", "G1 Z1.5 F900", "G1 X20 Y10 F1100"]


def test_a_pilot_torch_may_skip_touch_offs_nearby_and_the_block_says_where_to_restart() -> None:
    near, far = bow(), slit(feature=2, pierce=(500.0, 10.0), contour=Path.polyline([(500, 10), (510, 10)]))
    shop = machine(StartKind.PILOT, retouch_distance=100.0)
    made = write(plan(shop, SHEET_2MM, slit(), near, far), NGC)
    first, second, third = blocks(made)
    assert [sum("G38.2" in line for line in b) for b in (first, second, third)] == [2, 0, 2]
    assert "(no restart here, no touch-off: resume --from-cut 2)" in second
    at = second.index("G0 X30 Y20")
    assert second[at + 1 : at + 3] == ["G1 Z3 F1000", "M3"]
    contact = blocks(write(plan(machine(retouch_distance=100.0), SHEET_2MM, slit(), near), NGC))
    assert [sum("G38.2" in line for line in b) for b in contact] == [2, 2]  # never with a contact torch


def test_the_torch_is_not_triggered_again_too_soon() -> None:
    # Without touch-off: 0.3 arc out + 23.5 mm up at 2000 (0.705) + 10 mm of travel at 6000 (0.1) = 1.105 s.
    shop = machine(touch_off=TouchOff.NONE, min_off_time_s=2.0)
    first = blocks(write(plan(shop), NGC))[0]
    assert first[-2:] == ["G0 Z25", "G4 P0.895"]
    assert blocks(write(plan(shop), NGC))[1][-1] == "G0 Z25"  # nothing follows the last
    assert blocks(write(plan(replace(shop, min_off_time_s=1.0)), NGC))[0][-1] == "G0 Z25"
    searching = machine(min_off_time_s=6.0)  # + 0.6 + 40.05 mm at 1000 (2.403)
    assert blocks(write(plan(searching), NGC))[0][-1] == "G4 P1.892"


def test_waiting_for_the_arc_by_a_line_of_the_machine_takes_the_place_of_the_light_delay() -> None:
    words = words_of(write(plan(machine(StartKind.PILOT, arc_wait="M66 P0 L3 Q2"), SHEET_2MM, slit()), NGC).text)
    lit = words.index("M3")
    assert words[lit : lit + 3] == ["M3", "M66 P0 L3 Q2", "G4 P0.4"]


def test_the_controls_own_delay_counts_into_the_light_delay_and_the_speed_word_is_written() -> None:
    words = words_of(write(plan(machine(torch_on_delay_s=0.25, torch_on_speed=1000.0)), NGC).text)
    lit = words.index("M3 S1000")
    assert words[lit + 1] == "G4 P0.15"
    inch = words_of(write(plan(machine(torch_on_speed=1000.0, inches=True)), NGC).text)
    assert "M3 S1000" in inch


def test_the_first_touch_is_slow_enough_for_the_float() -> None:
    # Stroke 20.05: half of the spare is 0.5 mm; 300 mm/s2 and 10 ms: v = 300 (sqrt(1e-4 + 1/300) - 0.01) = 14.575.
    words = words_of(write(plan(machine(float_stroke=20.05)), NGC).text)
    assert "G38.2 Z-84.05 F874" in words


def test_the_preload_is_at_most_a_third_of_the_float() -> None:
    assert "G1 Z-0.5 F2000" in words_of(write(plan(machine(float_travel=1.5, float_stroke=9.0)), NGC).text)


def test_a_contact_torch_never_lights_with_its_sense_circuit_on() -> None:
    with pytest.raises(KerfproofError, match="disconnected"):
        write(plan(machine(touch_off=TouchOff.OHMIC, sense_off="")), NGC)


def test_the_datum_names_the_work_offset_of_the_machine() -> None:
    words = words_of(write(plan(machine(work_offset="G55")), DIALECTS["compact_offset"]).text)
    assert "G10 L20 P2 Z-19.05" in words and "G55" in words and "G54" not in words


def test_the_all_axes_clear_is_not_written_where_it_would_move_the_jobs_zero() -> None:
    ends = {}
    for homed, there, clears in product((False, True), repeat=3):
        shop = machine(z_homed=homed, xy_zero_in_g92=there, end_clears_datum=clears)
        ends[homed, there, clears] = words_of(write(plan(shop), NGC).text)[-3:]
    up, top = "G0 Z25", "G53 G0 Z0"
    assert ends[False, False, True] == [up, "G92.1", "M2"]
    assert ends[True, False, True] == [top, "G92.1", "M2"]
    assert ends[True, True, True] == [top, "G92 Z0", "M2"]
    assert ends[False, True, True] == ["M5", up, "M2"]
    assert ends[True, False, False] == ["M5", top, "M2"]


def test_the_path_mode_is_stated_with_its_tolerance_or_its_rounding() -> None:
    loose = write(plan(machine()), NGC).text
    # 0.18 v2 / a = 0.18 x 18.333^2 / 500 = 0.121
    assert "(path mode without a limit: a square corner rounds by up to 0.12 mm)" in loose
    assert "G64 P0.05" in words_of(write(plan(machine()), DIALECTS["ngc_blend"]).text)
    assert "G64 P0.00197" in words_of(write(plan(machine(inches=True)), DIALECTS["ngc_blend"]).text)
    assert "G61" in words_of(write(plan(machine(path_tolerance=None)), NGC).text)


def test_lines_of_the_machine_stand_where_they_belong() -> None:
    shop = machine(header_lines=("T1",), footer_lines=("M9",), height_control_off="M65 P2", end_word="M30")
    words = words_of(write(plan(shop), NGC).text)
    assert words[:3] == ["M5", "M65 P2", "T1"] and words[-3:] == ["G92.1", "M9", "M30"]
    assert blocks(write(plan(shop), NGC))[1][3:5] == ["M5", "M65 P2"]


@pytest.mark.parametrize("line", ["M3 \u00d8", "M3\nG0 Z0"])
def test_a_machine_line_that_is_not_one_line_of_ascii_is_refused(line: str) -> None:
    with pytest.raises(KerfproofError, match="torch_on must be one line"):
        write(plan(machine(torch_on=line)), NGC)


# --- text ---------------------------------------------------------------------------------------------------


def test_the_same_plan_gives_the_same_bytes() -> None:
    cuts = tuple(wavy(k) for k in range(5))
    assert len({write(plan(machine(), PLATE_6MM, *cuts), NGC).text for _ in range(3)}) == 1


def test_the_top_names_dangers_and_assumptions() -> None:
    text = write(plan(machine(inches=True)), NGC).text
    for phrase in (
        "(bracket.dxf)",
        "(SAFETY: plasma arc, fumes, fire, electric shock, moving axes.)",
        "(Local codes and licensed practice come first, stay at the stop button.)",
        "(material mild steel 0.2362 in = 6 mm, 50 A)",
        "(kerf 0.0669 in = 1.7 mm)",
        "(float 0.75 in = 19.05 mm)",
        "(Before start park the torch raised, clear of clamps, over the plate,)",
    ):
        assert phrase in text.split("M5\n")[0]
    comments = [line for line in text.splitlines() if line.startswith("(")]
    assert read_heading(comments) == {"kerf": "1.7"}


def test_every_block_names_part_feature_size_and_number() -> None:
    first, second = blocks(write(plan(machine(inches=True), PLATE_6MM, slit(part="Halter (2) \u00d8"), bow()), NGC))
    assert first[:3] == [
        "(cut 1 of 2: slit, feature 0, path 0.3937 x 0 in = 10 x 0 mm)",
        "(part Halter 2 D, slit 10)",
        "(restart here: torch off, raised, XY zero kept)",
    ]
    assert second[0] == "(cut 2 of 2: slit, feature 1, path 0.3937 x 0.3937 in = 10 x 10 mm)"
    assert second[2] == "(restart here: torch off, raised 0.9843 in = 25 mm over the plate, XY zero kept)"


def test_blocks_know_their_lines() -> None:
    made = write(plan(machine()), NGC)
    lines = made.text.splitlines()
    for number, block in enumerate(made.blocks):
        assert block.cut == number and lines[block.first - 1].startswith(f"(cut {number + 1} of 2")
        assert lines[block.light - 1] == "M3" and lines[block.last - 1] == "G0 Z25"
        assert made.cut_at(block.light) == number
    assert made.blocks[0].last + 1 == made.blocks[1].first


def test_an_empty_plan_is_told() -> None:
    with pytest.raises(KerfproofError, match="nothing to cut"):
        write(replace(plan(machine()), cuts=()), NGC)


# --- without an arc -----------------------------------------------------------------------------------------


def in_plane(text: str) -> list[str]:
    """Return the motion in the plane without its feeds."""
    return [re.sub(r" F\S+", "", line) for line in text.splitlines() if re.match(r"G[0123] X", line)]


def raised(mode: Mode, shop: Machine, *cuts: Cut) -> tuple[CutPlan, str]:
    dry = plan(shop, PLATE_6MM, *cuts, mode=mode)
    return dry, write(dry, NGC).text


@pytest.mark.parametrize("homed", [False, True])
@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME])
def test_no_arc_no_touch_off_no_datum_and_no_z_in_the_work_frame(mode: Mode, homed: bool) -> None:
    _, text = raised(mode, machine(z_homed=homed), slit(), bow(touch_at=(0.0, 0.0)))
    words = words_of(text)
    assert not [w for w in words if re.match(r"M3|G38|G31|G92|G10|#", w)]
    assert {w for w in words if Z_WORD.search(w)} == ({"G53 G0 Z0"} if homed else set())
    assert words[0] == "M5" and words[-1] == "M2"


def test_a_dry_run_is_the_motion_of_the_cut_at_travel_feed() -> None:
    cuts = (slit(), bow(via=((0.0, 50.0),)), wavy(3))
    dry, text = raised(Mode.DRY, machine(), *cuts)
    assert in_plane(text) == in_plane(write(replace(dry, mode=Mode.CUT), NGC).text)
    assert {w.split("F")[1] for w in words_of(text) if re.match(r"G[123] X.*F", w)} == {"6000"}
    assert len(write(dry, NGC).blocks) == 3


def test_a_frame_stops_at_the_corners_of_all_motion() -> None:
    half = Path([(50, 0, -1.0), (50, 40, 0)], False)  # clockwise from below: bows to the left, to x = 30
    assert math.isclose(half.bounds()[0], 30.0)
    _, text = raised(Mode.FRAME, machine(), slit(pierce=(50.0, 0.0), contour=half, via=((-5.0, 3.0),)), slit())
    words = [re.sub(r"corner.*", "corner", w) for w in words_of(text)]
    assert words[7:] == [
        "G0 X-5 Y0", "(MSG, corner", "M0", "G1 X50 Y0 F6000", "(MSG, corner", "M0",
        "G1 X50 Y40 F6000", "(MSG, corner", "M0", "G1 X-5 Y40 F6000", "(MSG, corner", "M0", "G1 X-5 Y0 F6000",
        "M5", "M2",
    ]  # fmt: skip
