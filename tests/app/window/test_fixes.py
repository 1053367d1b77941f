from __future__ import annotations

from pathlib import Path

import pytest

from kerfproof.errors import Finding, Severity
from kerfproof.job.job import ContourRole, DrawingUse, Job, Pin, RoleRule, SmallHoles, Turn
from kerfproof.parts.classify.choices import DrillKind
from kerfproof_app.window.findings.fixes import FIELDS, Fix, fixes_for
from kerfproof_app.work.session import Session
from support.app import panels
from support.shop import shop


@pytest.fixture(autouse=True)
def _config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KERFPROOF_CONFIG", str(tmp_path / "config"))


def finding_of(session: Session, rule: str) -> Finding:
    return next(f for f in session.findings if f.rule == rule)


def labels(fixes: tuple[Fix, ...]) -> list[str]:
    return [fix.label for fix in fixes]


def mended(session: Session, rule: str, words: str) -> Session:
    finding = finding_of(session, rule)
    fix = next(m for m in fixes_for(finding, session.job, session.outcome) if words in m.label)
    session.edit(fix.job, fix.change)
    session.settle()
    return session


def open_line(layer: str = "SCRIBBLE") -> bytes:
    def draw(space: object) -> None:
        space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)  # type: ignore[attr-defined]
        space.add_line((30, 40), (90, 40), dxfattribs={"layer": layer})  # type: ignore[attr-defined]

    return shop.dxf(draw)


def test_an_open_line_is_ignored_with_its_layer(tmp_path: Path) -> None:
    session = panels.session_on(tmp_path, open_line())
    mended(session, "open-chain", "Ignore layer SCRIBBLE")
    assert session.job.roles[0] == RoleRule(layer="SCRIBBLE", role="ignore")
    assert not [f for f in session.findings if f.rule == "open-chain"]


def test_a_layer_name_with_signs_of_patterns_is_meant_as_it_stands(tmp_path: Path) -> None:
    session = panels.session_on(tmp_path, open_line("A[1]"))
    mended(session, "open-chain", "Ignore layer")
    assert not [f for f in session.findings if f.rule == "open-chain"]


def test_an_ignored_layer_is_cut_all_the_same(tmp_path: Path) -> None:
    def draw(space: object) -> None:
        space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
        space.add_circle((60, 40), 15, dxfattribs={"layer": "NOTES"})

    session = panels.session_on(tmp_path, shop.dxf(draw))
    assert len(session.outcome.parts.features) == 1
    mended(session, "layer-ignored", "Cut layer NOTES")
    assert len(session.outcome.parts.features) == 2


def test_a_line_in_the_part_becomes_a_slit(tmp_path: Path) -> None:
    session = panels.session_on(tmp_path, open_line())
    finding = finding_of(session, "open-chain")
    fix = next(m for m in fixes_for(finding, session.job, session.outcome) if "slit" in m.label)
    (rule,) = fix.job.contour_roles
    assert (rule.role, rule.x, rule.y) == ("slit", 30.0, 40.0)


def test_a_page_frame_is_left_out_or_cut(tmp_path: Path) -> None:
    def draw(space: object) -> None:
        for x0, y0, x1, y1 in ((0, 0, 297, 210), (60, 60, 200, 150)):
            space.add_lwpolyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], close=True)
        space.add_text("PLATE", height=5).set_placement((210, 20))

    session = panels.session_on(tmp_path, shop.dxf(draw))
    rule = next(f.rule for f in session.findings if f.rule.startswith("page-frame"))
    mended(session, rule, "Leave the page frame out")
    assert len(session.outcome.parts.parts) == 1
    assert not [f for f in session.findings if f.rule == "page-frame-doubt"]


def test_what_its_line_type_kept_from_being_cut_is_cut(tmp_path: Path) -> None:
    def draw(space: object) -> None:
        space.doc.linetypes.add("CENTER", pattern=[2.0, 1.25, -0.25, 0.25, -0.25])
        space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
        space.add_line((0, 40), (-20, 40), dxfattribs={"linetype": "CENTER"})

    session = panels.session_on(tmp_path, shop.dxf(draw))
    finding = finding_of(session, "linetype-not-cut")
    (fix,) = fixes_for(finding, session.job, session.outcome)
    assert fix.label == "Cut line type CENTER all the same"
    assert fix.job.roles == (RoleRule(linetype="CENTER", role="cut"),)


def test_points_become_marks_for_the_drill(tmp_path: Path) -> None:
    def draw(space: object) -> None:
        space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
        space.add_point((60, 40))

    session = panels.session_on(tmp_path, shop.dxf(draw))
    mended(session, "points-listed", "short pierces")
    assert session.job.drill_marks is DrillKind.PIERCE
    assert not [f for f in session.findings if f.rule == "points-listed"]


def test_choices_that_fit_nothing_any_more_are_forgotten(tmp_path: Path) -> None:
    session = panels.session_on(
        tmp_path,
        panels.plate_with_holes(20),
        contour_roles=(ContourRole(drawing="part.dxf", x=900.0, y=900.0, role="ignore"),),
        sequence=(Turn(drawing="part.dxf", x=900.0, y=900.0),),
    )
    mended(session, "role-lost", "Forget")
    assert session.job.contour_roles == ()
    mended(session, "order-by-hand-lost", "order")
    assert session.job.sequence == ()


def test_a_start_chosen_badly_is_chosen_again(tmp_path: Path) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(20))
    session.change("pin it", pins=(Pin(drawing="part.dxf", x=500.0, y=500.0),))
    session.settle()
    mended(session, "pinned-start-lost", "chosen again")
    assert session.job.pins == ()
    assert not [f for f in session.findings if f.rule == "pinned-start-lost"]


def test_a_plate_too_small_gives_way_to_the_parts(tmp_path: Path) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(20), plate=(110.0, 75.0))
    assert session.state == "failed"
    refusal = Finding("not-planned", Severity.ERROR, session.problem.what)
    fix = next(m for m in fixes_for(refusal, session.job, None) if "fit the parts" in m.label)
    session.edit(fix.job, fix.change)
    session.settle()
    assert session.job.plate is None
    assert session.verdict.startswith("PROVEN")


def test_a_current_that_the_chart_does_not_have_is_left_to_the_chart(tmp_path: Path) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(20), amps=17.0)
    assert session.state == "failed"
    refusal = Finding("not-planned", Severity.ERROR, session.problem.what)
    fix = next(m for m in fixes_for(refusal, session.job, None) if "current" in m.label)
    session.edit(fix.job, fix.change)
    session.settle()
    assert session.verdict.startswith("PROVEN")


def test_a_current_that_pierces_more_willingly_is_offered(tmp_path: Path) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(20), amps=30.0)
    mended(session, "pierce-at-limit", "40 A")
    assert session.job.amps == 40.0
    assert not [f for f in session.findings if f.rule == "pierce-at-limit"]


def test_every_mend_is_one_step_that_undo_takes_back(tmp_path: Path) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20, 3), small_holes=SmallHoles.ERROR)
    offered = 0
    for finding in session.findings:
        for fix in fixes_for(finding, session.job, session.outcome):
            if fix.job is not None:
                before = session.job
                session.edit(fix.job, fix.change)
                assert session.undo_label == fix.change
                session.undo()
                assert session.job == before
                offered += 1
    assert offered >= 4


def test_a_gap_wider_than_a_slip_is_not_offered_to_be_joined() -> None:
    job = Job(drawings=(DrawingUse(name="a"),), machine="m", chart="c", material="mild steel", thickness=3.0)

    def offered(size: float) -> bool:
        finding = Finding("open-chain", Severity.ERROR, "open", size=size, layer="0")
        return any("Join" in fix.label for fix in fixes_for(finding, job, None))

    assert offered(0.4)
    assert offered(1.9)
    assert not offered(2.5)
    assert not offered(0.04)


def test_what_lies_in_the_machine_names_its_field() -> None:
    from kerfproof.shop.machine_file import MachineFile
    from kerfproof_app.window.shop.first_run import info_of

    for rule, field in FIELDS.items():
        assert info_of(tuple(field.split("."))).description, (rule, MachineFile)
        (fix,) = fixes_for(Finding(rule, Severity.WARNING, "so"), None, None)
        assert fix.field == field
        assert fix.job is None


def test_a_program_opened_by_itself_is_not_mended() -> None:
    assert fixes_for(Finding("hole-too-small", Severity.ERROR, "so"), None, None) == ()
