"""A way over freed pieces that leads over the top of travel loses the height over the plate, but not the guard."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof import api
from kerfproof.cut_plan import CutPlan
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.writer.writer import write
from kerfproof.outcome import Outcome
from support.shop.shop import cut, demo, starts


def raised(dialect: str, start: str) -> tuple[Outcome, CutPlan, str]:
    """Return a job on a homed machine, its plan with two ways over the top, and the text of that."""
    shop = replace(starts()[start], dialect=dialect, z_homed=True)
    outcome = cut(demo("pump-flange"), shop)
    assert outcome.plan is not None
    cuts = tuple(replace(c, full_raise=k in (2, 4)) for k, c in enumerate(outcome.plan.cuts))
    plan = replace(outcome.plan, cuts=cuts)
    return outcome, plan, write(plan, control_of(shop)).text


def proof(outcome: Outcome, plan: CutPlan, text: str) -> api.Proof:
    drawn, slits = api.drawn_contours(outcome.parts, outcome.left_out)
    control, shop = control_of(outcome.machine), outcome.machine
    return api.prove(
        text,
        api.Against(
            control=control,
            machine=shop,
            process=outcome.process,
            drawn=drawn,
            slits=slits,
            plate=plan.plate,
            mode="cut",
        ),
    )


@pytest.mark.parametrize("dialect", ["ngc", "skip_macro"])
@pytest.mark.parametrize("start", ["pilot ohmic", "contact float"])
def test_a_slat_stops_the_program_after_a_way_over_the_top_too(dialect: str, start: str) -> None:
    outcome, plan, text = raised(dialect, start)
    assert text.count("#103=#101") == 3, "the first search and both from the top keep where they met the plate"
    assert proof(outcome, plan, text).verdict == "PROVEN"
    bare = [line for line in text.splitlines() if "ABS[#103]" not in line]
    assert len(bare) == len(text.splitlines()) - 2
    found = {f.rule for f in proof(outcome, plan, "\n".join(bare) + "\n").findings if f.severity == "error"}
    assert found == {"touch-off-miss-unguarded"}
