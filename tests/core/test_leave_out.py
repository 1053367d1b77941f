"""What can't be cut is an error with a way on, or left out with a warning while the rest is cut."""

from __future__ import annotations

import pytest

from kerfproof import api
from kerfproof.errors import Severity
from support.shop.shop import cut, dxf


def ring_without_room(space) -> None:
    """Draw a plate, in it a ring 3 mm wide with a disc inside, and a round hole beside it."""
    space.add_lwpolyline([(0, 0), (200, 0), (220, 75), (200, 150), (0, 150)], close=True)
    space.add_circle((70, 75), 40)
    space.add_circle((70, 75), 37)
    space.add_circle((70, 75), 10)
    space.add_circle((160, 75), 12)


def plate_with_notch(depth: float):
    def draw(space) -> None:
        space.add_lwpolyline(
            [(0, 0), (100, 0), (100, 60), (51, 60), (51, 60 - depth), (50, 60 - depth), (50, 60), (0, 60)], close=True
        )

    return draw


def told(outcome) -> list[tuple[str, Severity]]:
    return sorted({(f.rule, f.severity) for f in outcome.findings if f.severity is not Severity.NOTE})


def test_a_ring_without_room_for_a_lead_is_an_error_with_one_word_as_the_way_on() -> None:
    outcome = cut(dxf(ring_without_room))
    assert not outcome.ok and told(outcome) == [("no-room-for-lead", Severity.ERROR)]
    assert all(f.advice.endswith("; --leave-out cuts the rest") for f in outcome.findings)


def test_left_out_with_all_that_hangs_on_it_the_rest_is_cut_and_proven() -> None:
    outcome = cut(dxf(ring_without_room), leave_out=True)
    assert outcome.ok and told(outcome) == [("no-room-for-lead", Severity.WARNING)]
    assert sorted(cut.label for cut in outcome.plan.cuts) == ["hole 2 D24", "outline 220 x 150"]
    # The ring, the disc in it and the hole of the disc go together; none of them is for the drill.
    assert len(outcome.left_out) == 3 and outcome.drilled == ()
    assert outcome.proof.verdict == "PROVEN"


@pytest.mark.parametrize(("depth", "severity"), [(1.2, Severity.WARNING), (3.0, Severity.ERROR)])
def test_a_notch_under_the_kerf_is_a_warning_up_to_a_kerf_of_depth(depth: float, severity: Severity) -> None:
    outcome = cut(dxf(plate_with_notch(depth)))
    assert told(outcome) == [("corner-not-reached", severity)] and outcome.ok == (severity is Severity.WARNING)
    assert cut(dxf(plate_with_notch(depth)), leave_out=True).ok


def test_a_program_alone_excuses_nothing_the_person_does() -> None:
    data = dxf(ring_without_room)
    made = cut(data, leave_out=True)
    drawn, slits = api.drawn_contours(made.parts, ())

    def against(leave_out: bool) -> api.Against:
        return api.Against(
            control=api.control_of(made.machine), machine=made.machine, process=made.process, drawn=drawn, slits=slits,
            plate=made.plan.plate, leave_out=leave_out,
        )  # fmt: skip

    assert "left-out" in made.program.text
    alone = api.prove(made.program.text, against(False))
    assert {f.rule for f in alone.findings if f.severity is Severity.ERROR} == {"feature-not-cut"}
    asked = api.prove(made.program.text, against(True))
    assert asked.verdict == "PROVEN WITH WARNINGS"


def test_what_lies_in_a_hole_for_the_drill_goes_with_it() -> None:
    def draw(space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        space.add_circle((30, 30), 2.0)
        space.add_circle((30, 30), 0.6)

    outcome = cut(dxf(draw))
    assert outcome.ok and [f.diameter for f in outcome.drilled] == [pytest.approx(4)]
    assert len(outcome.left_out) == 2 and len(outcome.plan.cuts) == 1
