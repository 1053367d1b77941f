"""Contours stay the ones that were chosen, whatever numbers they have in the next plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.job.job import TabPlace
from kerfproof.job.job_file import parse_job, write_job
from kerfproof_app.shop import store
from kerfproof_app.shop.preferences import Memory
from kerfproof_app.work import job_edits
from kerfproof_app.work.session import Session
from support.shop import shop


@pytest.fixture
def session(tmp_path, monkeypatch):
    """Return a session with two drawings."""
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "config"))
    paths = [tmp_path / f"{name}.dxf" for name in ("gusset", "pump-flange")]
    for path in paths:
        path.write_bytes(shop.demo(path.stem))
    made = Session(Memory(tmp_path / "config"))
    made.open(paths)
    made.settle()
    return made


def chosen(session):
    """Return drawing and entities of what is chosen."""
    outcome, found = session.outcome, []
    for number in session.selection.features:
        copy = next(c for c in outcome.copies if c.first <= number < c.first + c.count)
        contour = job_edits.feature_of(outcome, number).contour
        found.append((outcome.job.drawings[copy.use].name, contour.handles))
    return found


def numbers_of(session, drawing):
    copy = next(c for c in session.outcome.copies if session.outcome.job.drawings[c.use].name == drawing)
    return range(copy.first, copy.first + copy.count)


def test_a_hole_made_a_slit_and_one_of_a_drawing_that_moved_up_stay_chosen(session):
    session.select((numbers_of(session, "gusset.dxf")[1], numbers_of(session, "pump-flange.dxf")[1]))
    first, second = chosen(session)
    session.edit(job_edits.with_role(session.job, session.outcome, session.selection.features[:1], "slit"), "slit")
    session.settle()
    assert sorted(chosen(session)) == sorted([first, second])
    session.undo()
    session.settle()
    assert sorted(chosen(session)) == sorted([first, second])
    session.remove_drawing(0)
    session.settle()
    assert chosen(session) == [second]
    session.undo()
    session.settle()
    assert chosen(session) == [second]


def test_turned_and_doubled_the_first_copy_of_a_contour_stays_chosen(session):
    numbers = numbers_of(session, "pump-flange.dxf")
    session.select((numbers[2],))
    before = chosen(session)
    session.change("turn", drawings=tuple(replace(use, turn_deg=90.0, count=2) for use in session.job.drawings))
    session.settle()
    assert chosen(session) == before


def test_all_that_was_chosen_on_a_drawing_goes_with_it_and_the_job_can_be_read_again(session):
    outcome = session.outcome
    outlines = [cut.feature for cut in outcome.plan.cuts if cut.kind == "outline"]
    job = session.job
    for number in outlines:
        start = job_edits.feature_of(outcome, number).contour.path.start
        job = job_edits.with_tab(job, outcome, number, (float(start[0]), float(start[1])))
    job = job_edits.with_role(job, outcome, outlines, "cut")
    job = job_edits.with_order_kept(job, outcome)
    assert {tab.drawing for tab in job.tab_places} == {"gusset.dxf", "pump-flange.dxf"}
    left = job_edits.without_drawing(job, 0)
    assert all(isinstance(tab, TabPlace) and tab.drawing == "pump-flange.dxf" for tab in left.tab_places)
    assert len(left.tab_places) == len(left.contour_roles) == 1
    assert parse_job(write_job(left, None), "left.kerfproof.toml") == left
