"""Tabs: metal that stays, where it stays, and that the proof expects it and nothing else."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box

from kerfproof import api
from kerfproof.errors import Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.job.job import TabPlace
from kerfproof.programs.read_header import read_claims
from support.referees.plain_program import burned, kerf_of
from support.shop.shop import DIALECTS, built_in, cut, dxf, starts


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (160, 0), (160, 100), (0, 100)], close=True)
    space.add_circle((40, 50), 10)
    space.add_circle((120, 50), 10)


def disc(space) -> None:
    space.add_circle((60, 60), 60)


def metal(outcome) -> Polygon:
    """Return what is left of the plate, by a plain reading of the program and shapely."""
    return box(*outcome.plan.plate).difference(kerf_of(burned(outcome.program.text), outcome.process.kerf))


def held(outcome, x: float, y: float) -> Polygon:
    left = metal(outcome)
    pieces = list(left.geoms) if hasattr(left, "geoms") else [left]
    return next(p for p in pieces if p.contains(Point(outcome.shift[0] + x, outcome.shift[1] + y)))


@pytest.mark.parametrize("count", [1, 2, 3, 4, 6])
def test_tabs_hold_the_part_in_the_sheet_and_the_proof_expects_them(count):
    outcome = cut(dxf(plate), tabs=count)
    assert outcome.ok and len(outcome.plan.tabs) == count
    piece = held(outcome, 80, 50)
    corner = Point(outcome.plan.plate[2] - 1, outcome.plan.plate[3] - 1)
    assert piece.contains(corner)  # part and sheet are one
    assert not held(cut(dxf(plate)), 80, 50).contains(corner)
    assert "held-by-tabs" in {f.rule for f in outcome.findings}


@pytest.mark.parametrize("width", [1.5, 2.0, 4.0])
def test_each_tab_is_as_wide_as_asked(width):
    outcome = cut(dxf(plate), tabs=4, tab_width=width)
    for tab in outcome.plan.tabs:
        middle = Point(*tab.part(0.0, tab.length() / 2).end)
        kerf = kerf_of(burned(outcome.program.text), outcome.process.kerf)
        assert middle.distance(kerf) == pytest.approx(width / 2, abs=0.02)


def test_with_the_tabs_cut_by_hand_the_part_is_as_drawn():
    outcome = cut(dxf(plate), tabs=4)
    lines = [*burned(outcome.program.text), *([tuple(p) for p in tab.flattened(0.01)] for tab in outcome.plan.tabs)]
    left = box(*outcome.plan.plate).difference(kerf_of(lines, outcome.process.kerf))
    x, y = outcome.shift
    part = next(p for p in left.geoms if p.contains(Point(x + 80, y + 50)))
    wanted = box(x, y, x + 160, y + 100)
    for hole in (40, 120):
        wanted = wanted.difference(Point(x + hole, y + 50).buffer(10, 128))
    assert part.symmetric_difference(wanted).area < 0.02 * wanted.length


def test_tabs_stay_off_corners_and_off_leads():
    outcome = cut(dxf(plate), tabs=6)
    x, y = outcome.shift
    corners = [Point(x + u, y + v) for u in (0, 160) for v in (0, 100)]
    pierces = [Point(*c.pierce) for c in outcome.plan.cuts]
    for tab in outcome.plan.tabs:
        line = LineString(tab.flattened(0.01))
        assert min(corner.distance(line) for corner in corners) > 3
        assert min(p.distance(line) for p in pierces) > outcome.process.crater_radius
        middle = Point(*tab.part(0.0, tab.length() / 2).end)
        bridge = middle.buffer(0.45 * (tab.length() - outcome.process.kerf))
        leads = [LineString(c.lead_in.flattened(0.01)).buffer(c.kerf / 2) for c in outcome.plan.cuts if c.lead_in]
        assert not any(lead.intersects(bridge) for lead in leads)


def test_tabs_on_a_round_part_are_spread_around_it():
    outcome = cut(dxf(disc), tabs=5)
    assert outcome.ok
    x, y = outcome.shift
    turns = sorted(math.degrees(math.atan2(t.start[1] - y - 60, t.start[0] - x - 60)) for t in outcome.plan.tabs)
    assert np.diff(turns).max() < 110


def test_a_tab_by_hand_stands_where_it_was_put():
    outcome = cut(
        dxf(plate), tab_places=(TabPlace(drawing="part.dxf", x=50, y=0), TabPlace(drawing="part.dxf", x=160, y=50))
    )
    assert outcome.ok and len(outcome.plan.tabs) == 2
    x, y = outcome.shift
    for want in ((50, 0), (160, 50)):
        assert (
            min(Point(x + want[0], y + want[1]).distance(LineString(t.flattened(0.01))) for t in outcome.plan.tabs) < 7
        )


def test_a_tab_by_hand_off_every_outline_is_told():
    outcome = cut(dxf(plate), tab_places=(TabPlace(drawing="part.dxf", x=80, y=50),))
    assert "tab-lost" in {f.rule for f in outcome.findings}


def test_a_part_too_small_for_its_tabs_is_told_and_cut_free():
    outcome = cut(dxf(lambda s: s.add_lwpolyline([(0, 0), (9, 0), (9, 9), (0, 9)], close=True)), tabs=4)
    assert "tab-without-room" in {f.rule for f in outcome.findings}


def test_holes_have_no_tabs():
    outcome = cut(dxf(plate), tabs=3)
    assert [c.kind for c in outcome.plan.cuts] == ["hole", "hole", "outline", "outline", "outline"]


@pytest.mark.parametrize("name", list(starts()))
def test_every_start_kind_can_leave_tabs(name):
    assert cut(dxf(plate), starts()[name], tabs=3).ok


@pytest.mark.parametrize("dialect", DIALECTS)
def test_every_dialect_and_inch_can_leave_tabs(dialect):
    for name in ("contact-float-mm", "contact-float-inch"):
        assert cut(dxf(plate), replace(built_in(name), dialect=dialect), tabs=2).ok


# --- the proof ------------------------------------------------------------------------------------------------


def proof_of(outcome, text: str, tabs):
    closed, slits = api.drawn_contours(outcome.parts, outcome.left_out)
    return api.prove(
        text,
        api.Against(
            control=control_of(outcome.machine),
            machine=outcome.machine,
            process=outcome.process,
            drawn=closed,
            slits=slits,
            plate=outcome.plan.plate,
            tabs=tabs,
        ),
    )


def errors(proof) -> set[str]:
    return {f.rule for f in proof.findings if f.severity is Severity.ERROR}


def test_the_heading_tells_the_tabs_so_that_the_proof_can_be_repeated():
    outcome = cut(dxf(plate), tabs=3)
    tabs = read_claims(outcome.program.text).tabs
    assert len(tabs) == 3
    assert not errors(proof_of(outcome, outcome.program.text, tabs))


def test_a_tab_that_nobody_meant_is_metal_left():
    outcome = cut(dxf(plate), tabs=3)
    assert errors(proof_of(outcome, outcome.program.text, outcome.plan.tabs[:2]))


def test_a_tab_that_is_cut_through_is_told():
    outcome, whole = cut(dxf(plate), tabs=3), cut(dxf(plate))
    assert "tab-cut-through" in errors(proof_of(outcome, whole.program.text, outcome.plan.tabs))


def test_a_gouge_beside_a_tab_is_still_found():
    outcome = cut(dxf(plate), tabs=3)
    text = outcome.program.text
    lines = text.split("\n")
    last = max(k for k, line in enumerate(lines) if line.startswith("G1 X"))
    number = float(lines[last].split("X")[1].split(" ")[0].split("Y")[0])
    lines[last] = lines[last].replace(f"X{number:g}", f"X{number + 0.5:g}")
    assert errors(proof_of(outcome, "\n".join(lines), outcome.plan.tabs))
