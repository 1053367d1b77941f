"""A program opened by itself: what it is judged on and compared with, and what lies beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from kerfproof.errors import KerfproofError, Severity, no_watch
from kerfproof.programs.earlier_program import EarlierMissing, EarlierProgram, earlier_of_outcome, link_of
from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish
from kerfproof_app.shop import store
from kerfproof_app.work.documents import JobDocument, ProgramDocument
from kerfproof_app.work.opening import Opening
from kerfproof_app.work.program_document import earlier_in, judged
from kerfproof_app.work.session import Session
from support.shop.shop import cut, dxf


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    for x in (20, 60, 100):
        space.add_circle((x, 40), 10)


@pytest.fixture(scope="module")
def first():
    return cut(dxf(plate))


@pytest.fixture
def folder(tmp_path, monkeypatch, first) -> Path:
    """Return a folder with a drawing and its program."""
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    work = tmp_path / "work"
    work.mkdir()
    (work / "part.dxf").write_bytes(dxf(plate))
    (work / "first.nc").write_text(first.program.text, encoding="ascii", newline="")
    return work


def opened(*paths: Path, onto=None):
    return Opening(paths, onto).run(no_watch)


def test_a_job_and_a_program_are_two_kinds_of_document(folder):
    program, job = opened(folder / "first.nc"), opened(folder / "part.dxf")
    assert isinstance(program, ProgramDocument) and isinstance(job, JobDocument)
    assert (program.name, program.folder, program.drawings) == ("first.nc", folder.resolve(), ())
    assert (job.name, list(job.sources)) == ("part.dxf", ["part.dxf"])


def test_a_program_is_compared_with_the_drawings_last_given(folder):
    program = opened(folder / "first.nc")
    other = folder / "sub"
    other.mkdir()
    (other / "part.dxf").write_bytes(dxf(lambda space: space.add_circle((0, 0), 30)))
    both = opened(folder / "part.dxf", other / "part.dxf", onto=program)
    assert [drawing.name for drawing in both.drawings] == ["part.dxf", "part (2).dxf"]
    one = opened(folder / "part.dxf", onto=both)
    assert list(one.sources) == ["part.dxf"] and one.text == program.text


def test_it_is_judged_against_the_drawing_beside_it_or_by_the_rules_alone(folder):
    beside = judged(opened(folder / "first.nc"), no_watch)
    assert beside.proved.compared and beside.proved.verdict in ("PROVEN", "PROVEN WITH WARNINGS")
    (folder / "part.dxf").unlink()
    alone = judged(opened(folder / "first.nc"), no_watch)
    assert not alone.proved.compared
    (missing,) = [f for f in alone.findings if f.rule == "drawing-missing"]
    assert missing.advice == "drop it on the window to compare them"


def test_another_machine_is_a_step_that_can_be_undone_and_no_job_is_open(folder):
    session = Session()
    session.open([folder / "first.nc"])
    session.settle()
    was = session.machine_name
    session.judge_on("pilot-ohmic-mm")
    assert session.machine_name == "pilot-ohmic-mm" and session.job is None and not session.unsaved
    session.undo()
    assert session.machine_name == was
    with pytest.raises(KerfproofError, match="there is no job to save"):
        session.save(folder / "x.kerfproof.toml")


def test_a_resumed_program_is_judged_after_the_one_that_lies_beside_it(folder, first):
    earlier = earlier_of_outcome(first, "first.nc")
    rest = resume(earlier.text, earlier.trace, Wish(from_cut=2), earlier.setup).program.text
    (folder / "rest.nc").write_text(rest, encoding="ascii", newline="")
    find, goes_on = earlier_in(folder, no_watch), link_of(rest)
    assert isinstance(find(goes_on), EarlierProgram)
    after = judged(opened(folder / "rest.nc"), no_watch)
    assert after.proved.compared and not [f for f in after.findings if f.severity is Severity.ERROR]
    assert after.proved.whole is not after.proof
    (folder / "first.nc").write_text(first.program.text.replace("G21", "G21 ", 1), encoding="ascii", newline="")
    missing = find(goes_on)
    assert isinstance(missing, EarlierMissing), "it is another by now"
    told = judged(opened(folder / "rest.nc"), no_watch)
    assert [(f.rule, f.advice) for f in told.findings if f.severity is Severity.ERROR] == [
        ("first-missing", missing.advice)
    ]
    assert isinstance(earlier_in(None, no_watch)(goes_on), EarlierMissing)
