"""Programs gone on with at random places: a plain reading of both texts and shapely find nothing wrong."""

from __future__ import annotations

import random

import pytest
from shapely import LineString

from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish
from support.programs.going_on import DRAWINGS, Try, first_of, judged, plain_lines, setup_of, some, wrongs
from support.shop.shop import DEMOS

SHARE = 10


@pytest.mark.parametrize("seed", [11, 12])
def test_a_share_of_random_resumes_is_right_or_refused(seed):
    """No gouge, nothing left attached, no start near an open kerf, over a void or in a loose piece."""
    told = judged(SHARE, seed)
    assert told.wrong == []
    assert told.tried == SHARE
    assert told.written + sum(told.refused.values()) == SHARE


def test_on_the_demo_plates_random_resumes_are_written_or_refused_for_a_reason_that_holds():
    told = judged(SHARE, 7, DEMOS)
    assert told.wrong == []
    assert told.written >= SHARE / 2
    reasons = ("its kerf has freed", "more than once", "the plate is finished", "cut-in-loose-metal", "has freed")
    assert all(any(word in why for word in reasons) for why in told.refused), told.refused


def test_the_judge_sees_what_is_wrong():
    """It is no judge if a start in a kerf, a gouge or a forgotten stretch passes."""
    program = ("round in a plate", "ngc", False)
    outcome = first_of(*program)
    hole = LineString(plain_lines(outcome.program.text, False)[0])
    lost = 0.6 * hole.length
    good = Try(program, 0, lost, (), Wish(from_cut=1, at=lost))
    text = resume(outcome.program.text, outcome.proof.trace, good.wish, setup_of(outcome)).program.text
    assert wrongs(good, text) == []
    assert any("left attached" in what for what in wrongs(Try(program, 0, lost - 8, (), good.wish), text))
    after_all = wrongs(Try(program, 1, 0.0, (), good.wish), text)  # the hole was cut whole, so its slug is loose
    assert {what.rpartition(" of ")[0] for what in after_all} == {
        "start 1 pierces in a loose piece", "start 1 touches in a loose piece",
    }  # fmt: skip
    further = Try(program, 0, lost + 4, (), good.wish)  # the arc got farther than was said: the lead meets the kerf
    assert wrongs(further, text) == []
    pierce = next(line for line in text.split("\n") if line.startswith("G0 X"))
    x, y = hole.interpolate(lost - 3).coords[0]
    assert any("from an open kerf" in what for what in wrongs(good, text.replace(pierce, f"G0 X{x:.4f} Y{y:.4f}")))
    last = [k for k, line in enumerate(text.split("\n")) if line.startswith(("G1 X", "G1 Y"))][-1]
    lines = text.split("\n")
    spoiled = "\n".join([*lines[:last], "G1 X70 Y20", *lines[last:]])
    assert any("gouge" in what or "burned" in what for what in wrongs(good, spoiled))


def test_tries_cover_all_drawings_and_kinds_of_wishes():
    dice = random.Random(3)
    tries = [some(dice) for _ in range(120)]
    assert {tried.program[0] for tried in tries} == {*DRAWINGS, *DEMOS}
    assert any(tried.wish.near for tried in tries)
    assert any(tried.wish.unlit and tried.wish.at for tried in tries)
    assert any(tried.wish.at is None and tried.wish.near is None for tried in tries)
