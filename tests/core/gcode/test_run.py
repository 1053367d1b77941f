from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kerfproof.gcode.writer.run import run_of
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.geom.path import Path
from kerfproof.registry import load_folder
from kerfproof.shop.profile import StartKind
from support.shop.cutting import PLATE_6MM, SHEET_2MM, bow, machine, plan, slit

NGC = load_folder("kerfproof.gcode.dialects", "DIALECT")["ngc"]
CONTROLLED = machine(StartKind.PILOT, height_control_on="M64 P2", height_control_off="M65 P2")


def square(side: float) -> Path:
    return Path.polyline([(0, 0), (side, 0), (side, side), (0, side), (0, 0)])


def test_the_pieces_are_joined_in_order() -> None:
    cut = slit(
        pierce=(10.0, 5.0),
        lead_in=Path.polyline([(10, 5), (10, 10)]),
        over_burn=Path.polyline([(20, 10), (21, 10)]),
        lead_out=Path([(21, 10, 0.5), (23, 12, 0)], False),
    )
    run = run_of(cut, WriteContext.of(plan(machine()), NGC))
    assert run.vertices[:, :2].tolist() == [[10, 5], [10, 10], [20, 10], [21, 10], [23, 12]]
    assert run.vertices[:, 2].tolist() == [0, 0, 0, 0.5, 0]
    assert run.events == ()


def test_pieces_that_do_not_meet_are_a_wrong_call() -> None:
    with pytest.raises(ValueError, match="do not meet"):
        run_of(slit(pierce=(0.0, 0.0)), WriteContext.of(plan(machine()), NGC))


def test_a_pilot_torch_leaves_the_slag_ring_and_comes_down_on_a_slope() -> None:
    run = run_of(bow(), WriteContext.of(plan(machine(StartKind.PILOT)), NGC))
    assert run.events == ((1, "Z1.5"),)
    along = [10 * math.atan2(y - 20, x - 20) for x, y in run.vertices[1:3, :2].tolist()]  # along radius 10
    assert np.allclose(along, [4.0, 9.0])
    assert np.allclose(run.vertices[:3, 2], np.tan(np.array([0.4, 0.5, math.pi / 2 - 0.9]) / 4))


def test_a_lead_too_short_for_the_slope_is_begun_at_cut_height() -> None:
    lead = Path([(15.0, 10.0, 0.0), (10.0, 10.0, 0.0)], False)
    short = slit(lead_in=lead, pierce=(15.0, 10.0))
    run = run_of(short, WriteContext.of(plan(machine(StartKind.PILOT)), NGC))
    assert run.events == ((0, "G1 Z1.5 F900"),)


def test_a_contact_torch_and_thin_plate_know_no_slag_ring() -> None:
    assert run_of(bow(), WriteContext.of(plan(machine()), NGC)).events == ()
    assert run_of(bow(), WriteContext.of(plan(machine(StartKind.PILOT), SHEET_2MM), NGC)).events == ()


def test_height_control_is_free_only_at_speed_and_away_from_corners_and_the_end() -> None:
    # 2200 mm/min, 500 mm/s2: v2 / 2a = 1.34, so 3 mm round corners; the lock of 0.5 s is 18.33 mm at the start.
    cut = slit(pierce=(0.0, 0.0), contour=square(100), feed_mm_min=2200.0)
    run = run_of(cut, WriteContext.of(plan(CONTROLLED, SHEET_2MM, cut), NGC))
    lengths = np.concatenate([[0], np.cumsum(Path(run.vertices, False).segments().lengths())])
    at = [(round(float(lengths[k]), 3), line) for k, line in run.events]
    on, off = "M64 P2", "M65 P2"
    assert at == [
        (18.333, on), (97.0, off), (103.0, on), (197.0, off), (203.0, on), (297.0, off), (303.0, on), (395.0, off),
    ]  # fmt: skip


def test_height_control_stays_locked_in_slowed_holes_and_short_cuts() -> None:
    given = WriteContext.of(plan(CONTROLLED, SHEET_2MM), NGC)
    hole = Path.circle((0, 0), 30).opened()
    at = {"pierce": (30.0, 0.0), "contour": hole}
    assert run_of(slit(kind="hole", feed_mm_min=1320.0, **at), given).events == ()
    assert len(run_of(slit(kind="hole", feed_mm_min=2200.0, **at), given).events) == 2
    assert run_of(slit(feed_mm_min=2200.0), given).events == ()


def test_height_control_is_locked_in_arcs_too_tight_for_the_feed() -> None:
    # 0.85 x 36.67 mm/s = 31.2: at 500 mm/s2 arcs under 1.94 mm radius slow down.
    given = WriteContext.of(plan(CONTROLLED, SHEET_2MM), NGC)
    q = math.tan(math.pi / 8)
    for radius, count in ((1.5, 4), (2.5, 2)):
        turn = Path([(0, 0, 0), (100, 0, q), (100 + radius, radius, 0), (100 + radius, 100, 0)], False)
        cut = slit(pierce=(0.0, 0.0), contour=turn, feed_mm_min=2200.0)
        assert len(run_of(cut, given).events) == count


def test_splitting_changes_no_length() -> None:
    cut = bow()
    given = WriteContext.of(plan(machine(StartKind.PILOT), replace(PLATE_6MM, thickness=8.0)), NGC)
    assert math.isclose(Path(run_of(cut, given).vertices, False).length(), cut.length(), abs_tol=1e-9)
