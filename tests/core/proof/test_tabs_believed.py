"""What a heading calls a tab is believed of short pieces of an outline's cut between two cut ends, of nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof import api
from kerfproof.errors import Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.outcome import Outcome
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from support.shop.shop import cut, dxf


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (160, 0), (160, 100), (0, 100)], close=True)
    space.add_circle((40, 50), 4)
    space.add_circle((120, 50), 10)


@pytest.fixture(scope="module")
def tabbed() -> Outcome:
    return cut(dxf(plate), tabs=4)


@pytest.fixture(scope="module")
def whole() -> Outcome:
    return cut(dxf(plate))


def proof_of(outcome: Outcome, tabs: tuple[Path, ...], text: str = "") -> Proof:
    contours, slits = api.drawn_contours(outcome.parts, ())
    return prove(
        text or outcome.program.text,
        Against(
            control=control_of(outcome.machine),
            machine=outcome.machine,
            process=outcome.process,
            drawn=contours,
            slits=slits,
            plate=outcome.plan.plate,
            tabs=tabs,
        ),
    )


def errors(proof: Proof) -> list[str]:
    return [f.rule for f in proof.findings if f.severity is Severity.ERROR]


def without(outcome: Outcome, *numbers: int) -> str:
    cuts = tuple(c for k, c in enumerate(outcome.plan.cuts) if k not in numbers)
    return write(replace(outcome.plan, cuts=cuts), control_of(outcome.machine)).text


def told(proof: Proof) -> list[str]:
    return [f.message for f in proof.findings if f.rule == "tab-not-believed"]


def test_the_tabs_that_are_planned_are_believed(tabbed):
    proof = proof_of(tabbed, tabbed.plan.tabs)
    assert proof.ok and "held-by-tabs" in {f.rule for f in proof.findings}


@pytest.mark.parametrize("hole", [0, 1])
def test_a_hole_that_is_not_cut_is_no_tab(whole, hole):
    ring = whole.plan.cuts[hole].contour.opened()
    proof = proof_of(whole, (ring,), without(whole, hole))
    assert "tab-not-believed" in errors(proof) and "feature-not-cut" in errors(proof)


def test_a_hole_in_many_short_pieces_is_no_tab_either(whole):
    ring = whole.plan.cuts[1].contour.opened()
    step = ring.length() / 12
    pieces = tuple(ring.part(k * step, (k + 1) * step) for k in range(12))
    proof = proof_of(whole, pieces, without(whole, 1))
    assert len(told(proof)) == 12 and "feature-not-cut" in errors(proof)


def test_a_piece_of_an_outline_longer_than_a_hand_can_cut_is_no_tab(tabbed):
    tabs = tabbed.plan.tabs
    cuts = tabbed.plan.cuts
    long = next(k for k, c in enumerate(cuts) if c.kind == "outline")
    stretch = cuts[long].contour
    proof = proof_of(tabbed, (*tabs, stretch), without(tabbed, long))
    assert any("a tab at most" in message for message in told(proof))
    assert "metal-left" in errors(proof) or "not-free" in errors(proof)


def test_a_tab_that_no_cut_ends_at_or_that_lies_off_the_outline_is_none(tabbed):
    first, *rest = tabbed.plan.tabs
    along = first.moved(0.0, 0.3) if abs(first.start[1] - first.end[1]) > 1 else first.moved(0.3, 0.0)
    assert told(proof_of(tabbed, (along, *rest))) == [
        "the heading calls this a tab, but no cut ends where it begins or ends"
    ]
    aside = first.moved(3.0, 3.0)
    assert told(proof_of(tabbed, (aside, *rest))) == ["the heading calls this a tab, but it lies on no outline's cut"]


def test_tabs_leave_no_more_than_a_quarter_of_an_outline():
    def small(space) -> None:
        space.add_circle((10, 10), 10)

    disc = cut(dxf(small))
    outline = disc.plan.cuts[0]
    ring = outline.contour.opened()
    total = ring.length()
    # Eight stretches as short as the tabs between them: half of the outline stays.
    step = total / 16
    pieces = [ring.part(k * step, (k + 1) * step) for k in range(16)]
    stretches = tuple(
        replace(outline, lead_in=None, pierce=tuple(p.start.tolist()), contour=p, over_burn=None, lead_out=None)
        for p in pieces[::2]
    )
    text = write(replace(disc.plan, cuts=stretches), control_of(disc.machine)).text
    proof = proof_of(disc, tuple(pieces[1::2]), text)
    assert len(told(proof)) == 8 and "more than 25% of the outline" in told(proof)[0]
