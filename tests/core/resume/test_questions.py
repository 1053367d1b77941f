"""What a resume asks instead of guessing: pieces that the kerf has freed, places passed twice, plates that are done."""

from __future__ import annotations

import re

import pytest
from shapely import LineString, Point, box

from kerfproof.errors import KerfproofError, Severity
from kerfproof.job.job import RoleRule
from kerfproof.resume.first_program import first_program
from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish
from support.programs.going_on import plain_lines, setup_of
from support.referees.plain_program import kerf_of, upto
from support.shop.shop import cut, dxf


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    space.add_circle((60, 40), 20)
    space.add_circle((20, 20), 8)


@pytest.fixture(scope="module")
def first():
    return cut(dxf(plate))


def go(outcome, **wish):
    return resume(outcome.program.text, outcome.proof.trace, Wish(**wish), setup_of(outcome))


def freed_at(outcome, k: int) -> float:
    """Return how far a cut has got when its kerf first lets a piece go, by shapely."""
    line, kerf = plain_lines(outcome.program.text, False)[k], outcome.plan.cuts[k].kerf
    low, high = 0.0, LineString(line).length
    sheet = box(*outcome.plan.plate)
    while high - low > 0.01:
        at = (low + high) / 2
        left = sheet.difference(kerf_of([upto(line, at)], kerf))
        low, high = (low, at) if sum(p.area > 1 for p in getattr(left, "geoms", [left])) > 1 else (at, high)
    return high


@pytest.mark.parametrize("k", [0, 1, 2])
def test_a_piece_that_the_kerf_has_freed_is_not_pierced_again(first, k):
    """The kerf frees it well before the center line closes, since the lead-in runs beside the end."""
    free = freed_at(first, k)
    program = first_program(first.proof.trace, first.process)
    assert free < program.cuts[k].lead_in.length() + program.ring(k).length() - first.process.kerf / 2
    for at in (free - 0.2, free + 0.2):
        with pytest.raises(KerfproofError, match=r"its kerf has freed the piece there, or all but") as told:
            go(first, from_cut=k + 1, at=at)
        assert ("--from-cut" in told.value.advice) is (k < 2)
        assert ("the plate is finished" in told.value.advice) is (k == 2)
    with_room = go(first, from_cut=k + 1, at=free - 3 * first.process.kerf)
    assert with_room.ok


def test_a_place_that_the_torch_passes_twice_is_asked_about(first):
    cutting = first.plan.cuts[0]
    line = LineString(plain_lines(first.program.text, False)[0])
    ring = first_program(first.proof.trace, first.process).ring(0).length()
    over = line.interpolate(cutting.lead_in.length() + ring + 0.6)  # the over-burn runs over the beginning
    with pytest.raises(KerfproofError, match="more than once") as told:
        go(first, near=(over.x, over.y))
    found = re.findall(r"--from-cut 1 --at (\d+\.\d)mm", told.value.advice)
    once, again = map(float, found)
    assert again - once == pytest.approx(ring, abs=0.11)
    assert Point(over).distance(line.interpolate(once)) < 0.2
    with pytest.raises(KerfproofError) as told:
        go(first, from_cut=1, near=(over.x, over.y))
    assert told.value.advice == f"say which: --at {once:.1f}mm or --at {again:.1f}mm"
    assert go(first, from_cut=1, at=once).ok


def test_a_place_round_a_corner_is_passed_once(first):
    corner = first.shift[0] + 120 + 0.5, first.shift[1] + 80 + 0.5
    assert go(first, from_cut=3, near=corner).wanted == (3,)


def test_nothing_left_says_that_the_plate_is_finished(first):
    length = first.plan.cuts[2].length()
    with pytest.raises(KerfproofError, match="nothing is left to cut: the plate is finished"):
        go(first, from_cut=3, at=length - 0.05)


def slit_through_the_edge(space) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    space.add_line((60, 40), (60, -8), {"layer": "SLIT"})


@pytest.mark.parametrize("lost", [-0.4, 0.0, 0.3])
def test_an_arc_lost_in_an_open_kerf_is_taken_up_behind_it(lost):
    outcome = cut(dxf(slit_through_the_edge), roles=(RoleRule(role="slit", layer="SLIT"),))
    slit, outline = (LineString(line) for line in plain_lines(outcome.program.text, False))
    at = outline.project(slit.intersection(outline)) + lost
    made = go(outcome, from_cut=2, at=at)
    assert made.ok, [f.message for f in made.findings if f.severity is Severity.ERROR]
    again = LineString(plain_lines(made.program.text, False)[0])
    assert again.distance(slit) > 0.2 * outcome.process.kerf
    kerf = kerf_of([list(slit.coords), upto(list(outline.coords), at), list(again.coords)], outcome.process.kerf)
    metal = box(*outcome.plan.plate).difference(kerf)
    assert sum(p.area > 1 for p in metal.geoms) == 2  # the part and the rest of the plate


def test_metal_between_an_open_kerf_and_the_lost_arc_is_not_left():
    outcome = cut(dxf(slit_through_the_edge), roles=(RoleRule(role="slit", layer="SLIT"),))
    slit, outline = (LineString(line) for line in plain_lines(outcome.program.text, False))
    at = outline.project(slit.intersection(outline)) - 1.5  # a web stands between the two kerfs
    assert not go(outcome, from_cut=2, at=at).ok
