"""A drawing that changed since the job was saved: what still fits is kept, what does not is told."""

from __future__ import annotations

import hashlib

import numpy as np
import pytest

from kerfproof.job.job import ContourRole, DrawingUse, Pin, RoleRule, Turn
from kerfproof.job.job_file import parse_job, write_job
from kerfproof.outcome import Outcome
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from support.shop.shop import cut, dxf


def version(*holes: tuple[float, float, float], slit: bool = True):
    def draw(space) -> None:
        space.add_lwpolyline([(0, 0), (160, 0), (160, 80), (0, 80)], close=True)
        for x, y, r in holes:
            space.add_circle((x, y), r)
        if slit:
            space.add_line((20, 65), (60, 65))

    return dxf(draw)


OLD = version((30, 30, 8), (80, 30, 8), (130, 30, 10))
CHOSEN = {
    "pins": (
        Pin(drawing="part.dxf", x=22.0, y=30.0, area=np.pi * 64, length=np.pi * 16),
        Pin(drawing="part.dxf", x=140.0, y=30.0, area=np.pi * 100, length=np.pi * 20),
    ),
    "contour_roles": (ContourRole(drawing="part.dxf", x=40.0, y=65.0, role="slit"),),
    "sequence": tuple(Turn(drawing="part.dxf", x=x, y=30.0) for x in (140.0, 22.0, 72.0)),
}


def made(data: bytes) -> Outcome:
    use = DrawingUse(name="part.dxf", sha256=hashlib.sha256(OLD).hexdigest())
    return cut(data, drawings=(use,), **CHOSEN)


def rules(outcome: Outcome) -> list[str]:
    return [f.rule for f in outcome.findings]


def start_of(outcome: Outcome, x: float, y: float) -> tuple[float, float]:
    """Return where the cut of the hole round x, y (drawing coordinates) begins, from its middle."""
    middle = np.array([x, y]) + outcome.shift
    cuts = [c for c in outcome.plan.cuts if c.kind == "hole"]
    nearest = min(cuts, key=lambda c: np.hypot(*(np.mean(c.contour.vertices[:, :2], axis=0) - middle)))
    dx, dy = nearest.contour.start - middle
    return float(dx), float(dy)


def test_the_same_drawing_keeps_everything_and_says_nothing():
    outcome = made(OLD)
    assert outcome.ok
    assert not {"drawing-changed", "pinned-start-lost", "role-lost"} & set(rules(outcome))
    assert [c.kind for c in outcome.plan.cuts].count("slit") == 1
    assert start_of(outcome, 30, 30)[0] < -5 and start_of(outcome, 130, 30)[0] > 5


def test_of_a_changed_drawing_what_still_fits_is_kept_and_what_does_not_is_told():
    changed = version((30, 30, 8), (80, 45, 8), (130, 30, 12), slit=False)
    outcome = made(changed)
    assert outcome.ok
    told = rules(outcome)
    assert told.count("drawing-changed") == 1
    assert told.count("pinned-start-lost") == 1, "the hole of 130, 30 has another size"
    assert told.count("role-lost") == 1
    lost = next(f for f in outcome.findings if f.rule == "pinned-start-lost")
    assert (lost.x, lost.y) == (140, 30)
    assert start_of(outcome, 30, 30)[0] < -5, "the start that still fits is where the person put it"
    assert any("order by hand" in f.message for f in outcome.findings)


def test_choices_about_drawings_go_through_the_job_file():
    text = write_job(made(OLD).job, None)
    job = parse_job(text + '\n[[role]]\ncolor = "red"\nlinetype = "DASH*"\nrole = "mark"\n', "job")
    assert job.roles == (RoleRule(role="mark", color="red", linetype="DASH*"),)
    more = parse_job('drill_marks = "pierce"\ndrill_below = "3 mm"\npage = "ignore"\n' + text, "job")
    assert (more.drill_marks, more.drill_below, more.page) == (DrillKind.PIERCE, 3.0, PageFrames.IGNORE)
    again = parse_job(write_job(more, None), "again")
    assert again == more


@pytest.mark.parametrize("word", ["drill_marks", "page"])
def test_a_choice_that_does_not_exist_is_told_with_those_that_do(word):
    with pytest.raises(Exception, match=r"is not one of"):
        parse_job(f'{word} = "perhaps"\n' + write_job(made(OLD).job, None), "job")
