"""What is told of piercing and small holes is told by what the program does: the same of a plan and of a stranger's."""

from __future__ import annotations

import pytest

from kerfproof import api
from kerfproof.gcode.machine_control import control_of
from kerfproof.job.job import SmallHoles
from support.shop.shop import cut, dxf

NAMES = ("pierce-at-limit", "pierce-near-kept-edge", "hole-is-small", "tip-face-near-kerf", "touch-off-near-void")


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
    space.add_circle((50, 30), 1.5)
    space.add_lwpolyline([(20, 10), (40, 10), (40, 14), (20, 14)], close=True)


@pytest.mark.parametrize(
    ("changes", "rules"),
    [
        ({"small_holes": SmallHoles.ROUGH}, ["hole-is-small", "pierce-near-kept-edge"]),
        ({"small_holes": SmallHoles.DRILL}, ["hole-is-small", "pierce-near-kept-edge"]),
        (
            {"small_holes": SmallHoles.DRILL, "amps": 30.0},
            ["hole-is-small", "pierce-at-limit", "pierce-near-kept-edge"],
        ),
        ({"small_holes": SmallHoles.DRILL, "thickness": 10.0}, []),
    ],
)
def test_a_plan_and_its_program_without_a_heading_are_told_alike(changes, rules) -> None:
    made = cut(dxf(plate), **changes)
    assert made.program is not None
    drawn, slits = api.drawn_contours(made.parts, made.left_out)
    text = "\n".join(line for line in made.program.text.split("\n") if not line.startswith("("))
    proof = api.prove(
        text,
        api.Against(
            control=control_of(made.machine),
            machine=made.machine,
            process=made.process,
            drawn=drawn,
            slits=slits,
            plate=made.plan.plate,
            placed=False,
        ),
    )
    told = sorted((f.rule, f.message) for f in made.findings if f.rule in NAMES)
    assert [rule for rule, _ in told] == rules
    assert sorted((f.rule, f.message) for f in proof.findings if f.rule in NAMES) == told
