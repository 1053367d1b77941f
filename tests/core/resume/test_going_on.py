"""Going on after a lost arc: the first program up to there and the resumed one leave the drawn part."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from kerfproof import api
from kerfproof.errors import KerfproofError, Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Path
from kerfproof.job.job import RoleRule
from kerfproof.resume.combined_proof import Setup
from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish, along
from support.referees.plain_program import burned, kerf_of, piece_at, upto
from support.shop.known_plate import drawn, program
from support.shop.shop import DIALECTS, built_in, cut, demo, dxf, starts


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    space.add_circle((60, 40), 20)
    space.add_circle((20, 20), 6)
    space.add_circle((100, 60), 6)


def setup_of(outcome) -> Setup:
    closed, slits = api.drawn_contours(outcome.parts, outcome.left_out)
    return Setup(
        machine=outcome.machine, process=outcome.process, control=control_of(outcome.machine), drawn=closed,
        slits=slits, plate=outcome.plan.plate, name="first.nc", digest="0123",
    )  # fmt: skip


@pytest.fixture(scope="module")
def first():
    outcome = cut(dxf(plate))
    assert [c.kind for c in outcome.plan.cuts] == ["hole", "hole", "hole", "outline"]
    return outcome


def go(outcome, **wish):
    return resume(outcome.program.text, outcome.proof.trace, Wish(**wish), setup_of(outcome))


def errors(made) -> list[str]:
    return [f.rule for f in made.findings if f.severity is Severity.ERROR]


def left_by(outcome, made, done: int, partly: float = 0.0) -> Polygon:
    """Return the part after both programs, by a plain reading of their texts and shapely."""
    lines = burned(outcome.program.text)
    before = lines[:done] + ([upto(lines[done], partly)] if partly else [])
    kerf = kerf_of([*before, *burned(made.program.text)], outcome.process.kerf)
    x0, y0 = outcome.shift
    return piece_at(outcome.plan.plate, kerf, x0 + 60, y0 + 8)


def wanted(outcome) -> Polygon:
    x0, y0 = outcome.shift
    holes = [
        Point(x0 + x, y0 + y).buffer(r, 128).exterior.coords for x, y, r in ((60, 40, 20), (20, 20, 6), (100, 60, 6))
    ]
    return Polygon([(x0, y0), (x0 + 120, y0), (x0 + 120, y0 + 80), (x0, y0 + 80)], holes)


def test_from_the_start_of_a_cut_the_rest_is_cut_as_first_planned(first):
    made = go(first, from_cut=3)
    assert made.ok and made.done == (1, 2) and made.wanted == (3, 4)
    again = burned(made.program.text)
    assert all(np.allclose(a, b) for a, b in zip(again, burned(first.program.text)[2:], strict=True))
    assert left_by(first, made, 2).symmetric_difference(wanted(first)).area < 0.02 * wanted(first).length


@pytest.mark.parametrize("at", [12.0, 35.0, 101.5, 180.0, 300.0, 390.0])
def test_from_the_middle_of_the_outline_both_programs_leave_the_drawn_part(first, at):
    made = go(first, from_cut=4, at=at)
    assert made.ok, errors(made)
    part = left_by(first, made, 3, at)
    assert part.symmetric_difference(wanted(first)).area < 0.02 * wanted(first).length
    assert part.hausdorff_distance(wanted(first)) < 0.4 * first.process.kerf  # corners are rolled round


def test_the_new_pierce_lies_in_scrap_that_is_still_whole(first):
    face = first.machine.tip_face_radius
    for at in (35.0, 180.0):
        made = go(first, from_cut=4, at=at)
        lines = burned(first.program.text)
        void = kerf_of([*lines[:3], upto(lines[3], at)], first.process.kerf)
        pierce = Point(burned(made.program.text)[0][0])
        assert pierce.distance(void) >= face - 1e-3  # the tip stands on sound plate
        assert pierce.distance(wanted(first)) >= first.process.crater_radius
        touches = made.proof.trace.end[made.proof.trace.kind == Step.PROBE, :2] - made.proof.trace.xy_origin
        assert all(Point(p).distance(void) >= face - 1e-3 for p in touches)


def test_a_large_hole_is_gone_on_with_from_its_scrap(first):
    big = next(k for k, c in enumerate(first.plan.cuts) if "D40" in c.label)
    made = go(first, from_cut=big + 1, at=60.0)
    assert made.ok, errors(made)
    pierce = Point(burned(made.program.text)[0][0])
    x0, y0 = first.shift
    assert pierce.distance(Point(x0 + 60, y0 + 40)) < 20 - first.process.crater_radius
    part = left_by(first, made, big, 60.0)
    assert part.symmetric_difference(wanted(first)).area < 0.02 * wanted(first).length


@pytest.mark.parametrize("share", [0.3, 0.6, 0.8])
@pytest.mark.parametrize("name", ["contact float", "pilot float"])
def test_a_small_hole_is_gone_on_with_the_plate_found_beside_it(name, share):
    outcome = cut(dxf(plate), starts()[name])
    small = next(k for k, c in enumerate(outcome.plan.cuts) if "D12" in c.label)
    lines = burned(outcome.program.text)
    at = share * LineString(lines[small]).length
    made = go(outcome, from_cut=small + 1, at=at)
    assert made.ok, errors(made)
    kerf = outcome.process.hole_kerf or outcome.process.kerf
    void = kerf_of([*lines[:small], upto(lines[small], at)], kerf)
    pierce = Point(burned(made.program.text)[0][0])
    assert not void.contains(pierce) and pierce.distance(void) > 0.6 * kerf
    assert pierce.distance(wanted(outcome)) >= outcome.process.crater_radius
    trace = made.proof.trace
    probe = np.flatnonzero(trace.kind == Step.PROBE)[0]
    touched = Point(trace.end[probe, :2] - trace.xy_origin)
    if name == "contact float":  # the tip's face stands on sound plate at the touch, not at the pierce
        assert touched.distance(void) >= outcome.machine.tip_face_radius - 0.1
        assert "pierce-beside-kerf" in {f.rule for f in made.findings}
    part = left_by(outcome, made, small, at)
    assert part.symmetric_difference(wanted(outcome)).area < 0.02 * wanted(outcome).length


def test_a_hole_too_small_for_a_second_pierce_is_refused_with_what_to_do():
    def tiny(space) -> None:
        space.add_lwpolyline([(0, 0), (60, 0), (60, 60), (0, 60)], close=True)
        space.add_circle((30, 30), 4.5)

    with pytest.raises(KerfproofError, match=r"no room for a new pierce near .* by hand or drill.*--from-cut 2"):
        go(cut(dxf(tiny)), from_cut=1, at=15.0)


def slit(space) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    space.add_line((30, 40), (90, 40), {"layer": "SLIT"})


ON_THE_LINE = (RoleRule(role="slit", layer="SLIT"),)


def test_a_slit_is_cut_from_its_far_end_back_to_where_the_arc_was_lost():
    outcome = cut(dxf(slit), roles=ON_THE_LINE)
    assert outcome.plan.cuts[0].kind == "slit"
    made = go(outcome, from_cut=1, at=40.0)
    assert made.ok, errors(made)
    again = LineString(burned(made.program.text)[0])
    first_way = burned(outcome.program.text)[0]
    assert np.allclose(again.coords[0], first_way[-1])
    assert Point(again.coords[-1]).distance(LineString(upto(first_way, 40.0))) < 1e-6


def test_a_slit_with_too_little_left_says_how_much():
    with pytest.raises(KerfproofError, match=r"on the 2\.0 mm that are left of the slit.*--from-cut 2"):
        go(cut(dxf(slit), roles=ON_THE_LINE), from_cut=1, at=58.0)


def test_a_place_names_the_cut_and_how_far_it_got(first):
    x0, y0 = first.shift
    made = go(first, near=(x0 + 120 + 0.7, y0 + 30))
    assert made.ok and made.wanted == (4,)
    there = burned(made.program.text)[0][1]
    assert abs(there[0] - (x0 + 120 + first.process.kerf / 2)) < 1e-3 and abs(there[1] - (y0 + 30)) < 3


def test_the_length_along_a_path_is_that_of_shapely(first):
    line = np.array(burned(first.program.text)[3])
    for t in (3.0, 77.0, 250.0):
        p = LineString(line).interpolate(t)
        at, beside = along(Path.polyline(line), (p.x, p.y))
        assert at == pytest.approx(t, abs=1e-6) and beside < 1e-9


def test_every_mode_is_stated_anew_and_the_plate_is_found_before_each_light(first):
    made = go(first, from_cut=2)
    assert made.proof.verdict in ("PROVEN", "PROVEN WITH WARNINGS")
    text = made.program.text
    head = text.split("M3", 1)[0]
    for word in ("G17", "G90", "G94", "G21", "G54", "M5", "G38.2"):
        assert word in head
    assert text.count("G38.2") == 2 * len(made.wanted)  # two touches each
    assert "(proof: resumed = first.nc 0123 cuts 2 3 4)" in text


@pytest.mark.parametrize("name", list(starts()))
def test_all_start_kinds_and_touch_offs_can_go_on(name):
    outcome = cut(dxf(plate), starts()[name])
    for wish in ({"from_cut": 3}, {"from_cut": 4, "at": 90.0}):
        made = go(outcome, **wish)
        assert made.ok, (name, wish, errors(made))


def test_inch_programs_go_on_too():
    outcome = cut(dxf(plate), built_in("contact-float-inch"))
    made = go(outcome, from_cut=4, at=50.0)
    assert made.ok and "G20" in made.program.text


@pytest.mark.parametrize("inches", [False, True])
@pytest.mark.parametrize("dialect", DIALECTS)
def test_every_dialect_and_unit_can_go_on_in_the_middle_and_with_what_did_not_light(dialect, inches):
    machine = replace(built_in(), dialect=dialect, inches=inches, witness_every=2)
    outcome, scale = cut(dxf(plate), machine), 25.4 if inches else 1.0
    for wish in ({"from_cut": 4, "at": 150.0}, {"from_cut": 4, "unlit": (2,)}):
        made = go(outcome, **wish)
        assert made.ok, (wish, errors(made))
        partly = wish.get("at", 0.0)
        lines, again = ([[(scale * x, scale * y) for x, y in line] for line in burned(text)]
                        for text in (outcome.program.text, made.program.text))  # fmt: skip
        done = [line for k, line in enumerate(lines[:3], 1) if k not in wish.get("unlit", ())]
        before = [*done, *([upto(lines[3], partly)] if partly else [])]
        kerf = kerf_of([*before, *again], outcome.process.kerf)
        x0, y0 = outcome.shift
        part = piece_at(outcome.plan.plate, kerf, x0 + 60, y0 + 8)
        assert part.symmetric_difference(wanted(outcome)).area < 0.02 * wanted(outcome).length


def test_tabs_stay_and_the_rest_of_a_tabbed_outline_is_cut():
    outcome = cut(dxf(plate), tabs=3)
    setup = replace(setup_of(outcome), tabs=outcome.plan.tabs)
    length = outcome.plan.cuts[-1].length()
    made = resume(
        outcome.program.text, outcome.proof.trace, Wish(from_cut=len(outcome.plan.cuts), at=length / 2), setup
    )
    assert made.ok, errors(made)
    assert not {"tab-cut", "not-free", "metal-left"} & {f.rule for f in made.findings}
    again = [LineString(line) for line in burned(made.program.text)]
    middles = [Point(*tab.part(0.0, tab.length() / 2).end) for tab in outcome.plan.tabs]
    assert len(middles) == 3
    assert all(line.distance(middle) > outcome.process.kerf / 2 + 0.4 for line in again for middle in middles)


# --- it did not light -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("cold", [1, 2, 3])
def test_any_one_start_that_failed_is_named_cut_and_proven_whole(first, cold):
    made = go(first, from_cut=4, unlit=(cold,))
    assert made.ok and made.wanted == (cold, 4)  # the hole before the outline that hangs on it
    lines = burned(first.program.text)
    done = [line for k, line in enumerate(lines[:3], 1) if k != cold]
    kerf = kerf_of([*done, *burned(made.program.text)], first.process.kerf)
    x0, y0 = first.shift
    part = piece_at(first.plan.plate, kerf, x0 + 60, y0 + 8)
    assert part.symmetric_difference(wanted(first)).area < 0.02 * wanted(first).length


def test_an_outline_that_ran_cold_is_cut_alone(first):
    made = go(first, unlit=(4,))
    assert made.ok and made.wanted == (4,) and made.done == (1, 2, 3)


def test_a_cold_hole_in_a_part_that_fell_out_is_refused(first):
    with pytest.raises(KerfproofError, match=r"cut 1 .* lies in metal that cut 4 .* has freed"):
        go(first, unlit=(1,))


def test_what_can_still_be_cut_comes_with_an_error_for_what_can_not():
    two = cut(demo("sluice-sheet"), name="sluice-sheet.dxf")
    made = go(two, from_cut=4, unlit=(2,))
    assert not made.ok and 2 not in made.wanted
    assert "cut-in-loose-metal" in errors(made)


# --- bad input ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        ({"from_cut": 17}, "there is no cut 17, the program has 4"),
        ({"from_cut": 0}, "there is no cut 0"),
        ({"unlit": (9,), "from_cut": 2}, "there is no cut 9"),
        ({"from_cut": 4, "at": 5000.0}, r"5000.0 mm is not on cut 4, it is 4\d\d.\d mm long"),
        ({"from_cut": 4, "at": -1.0}, "is not on cut 4"),
        ({"from_cut": 4, "near": (75.0, 55.0)}, "beside cut 4"),
        ({"near": (500.0, 500.0)}, "beside any cut"),
        ({"at": 35.0}, "needs the number of the cut"),
        ({"from_cut": 4, "at": 3.0, "near": (0.0, 0.0)}, "both"),
        ({"from_cut": 4, "at": 30.0, "unlit": (4,)}, "can't be cold"),
    ],
)
def test_a_wish_that_does_not_suit_is_refused_in_one_sentence(first, wish, words):
    with pytest.raises(KerfproofError, match=words):
        go(first, **wish)


def test_an_arc_lost_in_the_over_burn_counts_as_finished(first):
    line = LineString(burned(first.program.text)[2])
    assert go(first, from_cut=3, at=line.length - 0.2).wanted == (4,)


# --- programs that are not ours -------------------------------------------------------------------------------


def stranger() -> tuple[str, object]:
    """Return the known plate's program without a word of ours, and its trace."""
    machine = built_in()
    text = "\n".join(line for line in program(control_of(machine), machine).split("\n") if not line.startswith("("))
    proof = api.prove(text, api.Against(control=control_of(machine), machine=machine, process=None))
    return text, proof.trace


def test_a_program_not_ours_is_read_as_far_as_it_can_be():
    text, trace = stranger()
    outcome = cut(dxf(plate))
    setup = Setup(
        machine=outcome.machine, process=replace(outcome.process, kerf=1.5), control=control_of(outcome.machine)
    )
    made = resume(text, trace, Wish(from_cut=2, at=80.0), setup)
    rules = {f.rule for f in made.findings}
    assert {"program-not-ours", "plate-unknown", "scrap-side-guessed"} <= rules
    assert made.ok, errors(made)
    pierce = Point(burned(made.program.text)[0][0])
    assert not Polygon([(20, 20), (120, 20), (120, 80), (20, 80)]).contains(pierce)  # guessed right: outside
    with_drawing = replace(setup, drawn=drawn(), plate=(0.0, 0.0, 140.0, 100.0))
    proven = resume(text, trace, Wish(from_cut=2, at=80.0), with_drawing)
    assert proven.ok and "scrap-side-guessed" not in {f.rule for f in proven.findings}


def test_a_program_that_lights_nothing_is_refused():
    machine = built_in()
    proof = api.prove("G21 G90\nG0 X10\nM2\n", api.Against(control=control_of(machine), machine=machine, process=None))
    setup = Setup(machine=machine, process=cut(dxf(plate)).process, control=control_of(machine))
    with pytest.raises(KerfproofError, match="lights no torch"):
        resume("", proof.trace, Wish(from_cut=1), setup)
