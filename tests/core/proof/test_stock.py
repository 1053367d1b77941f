"""What is solid, run by run: rings in rings, slugs, strips, tabs, second plates."""

from __future__ import annotations

import numpy as np
import pytest

from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.proof.evidence.evidence import Against, Evidence, gather
from kerfproof.proof.rule import all_rules
from kerfproof.proof.table import scenario
from kerfproof.proof.table.play import play
from support.programs.examples import FIND, HEAD, LIGHT
from support.programs.stock_words import circle
from support.shop.known_plate import MACHINE, PROCESS

RULES = all_rules()


def evidence(body: str) -> Evidence:
    text = HEAD + body.replace("-49", "-84", 1) + "M2\n"
    table = scenario.nominal(MACHINE, 0.0)
    played = play(text, DIALECT, MACHINE, table, process=PROCESS)
    assert played.trace.stopped is None
    return gather(
        text,
        played.trace,
        played.searches,
        table.plate,
        Against(control=DIALECT, machine=MACHINE, process=PROCESS),
    )


def found(name: str, body: str) -> list[str]:
    return [f.message for f in RULES[name].findings(evidence(body))]


def test_ring_in_ring_in_ring_cut_from_inside_frees_one_piece_each():
    e = evidence(circle(100, 100, 10) + circle(100, 100, 30) + circle(100, 100, 60))
    assert len(e.path.rings) == 3
    assert e.path.ring_run.tolist() == [0, 1, 2]
    points = np.array([[100.0, 100.0], [120.0, 100.0], [150.0, 100.0], [170.0, 100.0]])
    for run, freed in ((0, [-1, -1, -1, -1]), (1, [0, -1, -1, -1]), (2, [0, 1, -1, -1]), (3, [0, 1, 2, -1])):
        # Asked before a run that does not exist yet: after all of them.
        asked = np.full(4, min(run, 2))
        assert e.stock.freed_by(points, asked, through=run == 3).tolist() == freed
    assert found("hole-after-outline", circle(100, 100, 10) + circle(100, 100, 30) + circle(100, 100, 60)) == []


def test_from_outside_in_each_further_cut_lies_in_a_loose_piece():
    body = circle(100, 100, 60) + circle(100, 100, 30) + circle(100, 100, 10)
    assert len(found("hole-after-outline", body)) == 2


def test_an_island_may_be_cut_before_the_hole_that_holds_it():
    body = circle(100, 100, 10) + circle(100, 100, 30)
    assert found("hole-after-outline", body) == [] and found("pierce-over-void", body) == []


def test_an_outline_held_by_a_tab_frees_nothing():
    body = circle(100, 100, 60, share=0.97) + circle(100, 100, 10)
    assert found("hole-after-outline", body) == []


def test_slugs_side_by_side_do_not_hinder_each_other():
    body = "".join(circle(40 + 25 * k, 50, 8) for k in range(5))
    for name in ("hole-after-outline", "pierce-over-void", "arc-crosses-gap", "same-contour-twice"):
        assert found(name, body) == []


def test_a_second_plate_begins_afresh():
    for stop in ("(MSG, change the plate)\nM0\n", "M0\n", "(MSG, the same plate)\nM0\n"):
        again = circle(100, 100, 60) + stop + circle(100, 100, 60)
        assert found("same-contour-twice", again) == []
        assert found("hole-after-outline", again) == []
        assert len(found("new-sheet-assumed", again)) == 1
    for stop in ("", "M1\n"):
        plain = circle(100, 100, 60) + stop + circle(100, 100, 60)
        assert len(found("same-contour-twice", plain)) == 1
        assert len(found("hole-after-outline", plain)) == 1


def test_a_run_over_its_own_beginning_is_no_crossing():
    assert found("arc-crosses-gap", circle(100, 100, 3.0, lead=3.0)) == []
    assert found("same-contour-twice", circle(100, 100, 3.0, lead=3.0)) == []


def test_a_run_that_crosses_itself_early_is_one():
    loop = f"G0 X50 Y50\n{FIND.replace('-84', '-49')}{LIGHT}G1 X80 F2200\nG1 Y70\nG1 X60\nG1 Y20\n"
    loop += "G1 X20\nM5\nG4 P0.3\nG0 Z25\n"
    assert len(found("arc-crosses-gap", loop)) == 1


def test_the_ring_leaves_lead_and_over_burn_out():
    e = evidence(circle(100, 100, 9.25))
    lengths = e.path.segments.lengths()
    ring = lengths[e.path.ring_first[0] : e.path.ring_stop[0]].sum()
    assert ring == pytest.approx(2 * np.pi * 9.25, abs=1e-3)
    assert e.path.leads().sum() == 2
