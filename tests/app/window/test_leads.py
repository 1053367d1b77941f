from __future__ import annotations

import math

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt

from kerfproof.job.job import RoleRule
from kerfproof.job.job_file import parse_job
from support.app.at_the_window import cut_of, drag, mouse, open_demo, press_key, settle

ALT = Qt.KeyboardModifier.AltModifier


def test_a_lead_dragged_with_the_mouse_moves_and_plan_program_and_proof_follow(qtbot, window):
    open_demo(qtbot, window)
    before = window.session.outcome
    qtbot.waitUntil(lambda: bool(window.canvas.scene.benches), timeout=20_000)  # made ready once it is seen
    cut = cut_of(window, "outline")
    drag(window.canvas, cut.pierce, (60.0, 100.0), (11.0, 90.0))
    assert window.session.state == "checking"
    assert window.session.outcome is before, "the old proof stays, told as old"
    assert window.session.verdict == "checking"
    settle(qtbot, window)
    after = cut_of(window, "outline")
    assert window.session.verdict.startswith("PROVEN")
    assert math.dist(after.contour.start, (10.725, 93.9)) < 5.0, "on the left edge, at its middle"
    assert window.session.outcome.program.text != before.program.text
    assert [c.feature for c in window.session.outcome.plan.cuts] == [c.feature for c in before.plan.cuts]
    window.commands["undo"].trigger()
    settle(qtbot, window)
    assert window.session.outcome.program.text == before.program.text
    window.commands["redo"].trigger()
    settle(qtbot, window)
    assert cut_of(window, "outline").pierce == after.pierce


def test_while_it_is_dragged_the_verdict_is_live_and_never_plans(qtbot, window):
    open_demo(qtbot, window)
    canvas, cut = window.canvas, cut_of(window, "outline")
    mouse(canvas, QEvent.Type.MouseButtonPress, cut.pierce)
    words = set()
    for x in range(20, 200, 3):
        mouse(canvas, QEvent.Type.MouseMove, (float(x), 8.0))
        lead = canvas.tool.lead
        words.add(lead.tried.word)
        assert lead.tried.fits == (not lead.tried.reasons)
        assert abs(lead.tried.at[1] - 10.725) < 20.0
    assert window.session.state == "current"
    assert "clear" in words
    press_key(canvas, Qt.Key.Key_Escape)
    assert canvas.tool.lead is None
    assert window.session.undo_label == ""


def test_a_lead_snaps_to_middles_and_to_its_last_place_unless_alt_is_held(qtbot, window):
    open_demo(qtbot, window)
    canvas, cut = window.canvas, cut_of(window, "outline")
    mouse(canvas, QEvent.Type.MouseButtonPress, cut.pierce)
    middle = next(s for s in canvas.tool.lead.snaps if s.kind == "middle")
    near = (middle.at[0] + 0.4, middle.at[1] + 0.4)
    mouse(canvas, QEvent.Type.MouseMove, near)
    assert canvas.tool.lead.snapped == "middle"
    assert math.dist(canvas.tool.lead.tried.at, middle.at) < 1e-6
    mouse(canvas, QEvent.Type.MouseMove, near, keys=Qt.KeyboardModifier.AltModifier)
    assert canvas.tool.lead.snapped == ""
    assert math.dist(canvas.tool.lead.tried.at, middle.at) > 1e-3
    canvas.tool.leave()


def test_verdicts_name_what_is_wrong(qtbot, window):
    from kerfproof import api
    from support.shop import shop

    def draw(space):
        space.add_lwpolyline([(0, 0), (80, 0), (80, 60), (0, 60)], close=True)
        space.add_lwpolyline([(86, 0), (166, 0), (166, 60), (86, 60)], close=True)
        space.add_circle((40, 30), 5)

    outcome = shop.cut(shop.dxf(draw))
    bench = api.lead_bench(outcome)
    box = outcome.parts.parts[0].outline.contour.path.bounds()
    left = outcome.parts.parts[0].outline.number
    said = {bench.judge(left, (box[2] + 0.7, box[1] + t), "arc", 3.5).word for t in range(8, 52, 4)}
    assert said <= {"touches kept metal", "crosses another cut", "over a void"}
    assert "clear" not in said
    big = bench.judge(left, (box[0], (box[1] + box[3]) / 2), "straight", 11.0)
    assert big.word == "off the plate"
    assert not big.fits
    assert bench.judge(left, (box[0], (box[1] + box[3]) / 2)).fits


def test_the_same_by_keyboard(qtbot, window):
    open_demo(qtbot, window)
    canvas = window.canvas
    canvas.setFocus()
    for _ in range(6):
        press_key(canvas, Qt.Key.Key_N)
    feature = window.session.selection.features[0]
    assert feature == window.session.outcome.plan.cuts[5].feature
    press_key(canvas, Qt.Key.Key_M)
    start = canvas.tool.lead.tried.at
    press_key(canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert abs(math.dist(canvas.tool.lead.tried.at, start) - 10.0) < 0.1
    press_key(canvas, Qt.Key.Key_Up)
    assert canvas.tool.lead.snapped
    press_key(canvas, Qt.Key.Key_S)
    press_key(canvas, Qt.Key.Key_Return)
    settle(qtbot, window)
    assert len(window.session.job.pins) == 1
    assert window.session.verdict.startswith("PROVEN")


def test_shape_and_size_for_many_and_choose_again(qtbot, window):
    open_demo(qtbot, window)
    window.show_page("torch")
    page = window.pages.cuts
    holes = tuple(c.feature for c in window.session.outcome.plan.cuts if c.kind == "hole")
    window.session.select(holes)
    page.shape.show_value("straight")
    page.shape.changed.emit("straight")
    settle(qtbot, window)
    holes_now = [c for c in window.session.outcome.plan.cuts if c.kind == "hole"]
    other = [c.label for c in holes_now if c.lead_shape != "straight"]
    assert len(other) < len(holes)
    assert all(label in window.session.notice for label in other[:3]), "what could not be had is said"
    assert len(window.session.job.pins) == len(holes)
    window.session.select(holes[:1])
    page.again.click()
    settle(qtbot, window)
    assert len(window.session.job.pins) == len(holes) - 1
    page.again_all.click()
    settle(qtbot, window)
    assert window.session.job.pins == ()


def test_the_lead_from_the_other_side_turns_the_cut_and_says_what_that_means(qtbot, window):
    open_demo(qtbot, window)
    before = cut_of(window, "outline")
    window.session.select((before.feature,))
    window.pages.cuts.flip.click()
    settle(qtbot, window)
    after = cut_of(window, "outline")
    assert before.contour.opened().area() * after.contour.opened().area() < 0
    assert window.session.verdict.startswith("PROVEN")
    assert "cut-other-way-round" in {f.rule for f in window.session.findings}


def test_a_size_that_does_not_fit_is_said(qtbot, window):
    open_demo(qtbot, window)
    hole = cut_of(window, "hole")
    window.session.select((hole.feature,))
    page = window.pages.cuts
    page.shape.show_value("from_center")
    page.size_field.edit.setText("30 mm")
    page.size_field.edit.setModified(True)
    page.size_field.commit()
    settle(qtbot, window)
    assert "Not as wanted" in window.session.notice
    assert window.session.outcome.program is not None


def slit_in_a_plate(qtbot, window, tmp_path):
    from support.shop import shop

    def draw(space):
        space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
        space.add_line((30, 40), (90, 40), dxfattribs={"layer": "slit"})

    path = tmp_path / "slit.dxf"
    path.write_bytes(shop.dxf(draw))
    window.files.open([path])
    settle(qtbot, window)
    window.session.change("slit", roles=(RoleRule(layer="slit", role="slit"),))
    settle(qtbot, window)
    return cut_of(window, "slit")


def test_a_slit_says_at_its_pierce_why_it_has_no_lead_to_move(qtbot, window, tmp_path):
    cut = slit_in_a_plate(qtbot, window, tmp_path)
    drag(window.canvas, cut.pierce, (cut.pierce[0] + 1.0, cut.pierce[1]))
    assert "pierced on its line" in window.canvas.tool.refused
    assert "slot" in window.under.text()
    assert window.session.undo_label == "slit", "nothing was changed"
    window.session.select((cut.feature,))
    window.commands["move_lead"].trigger()
    assert "pierced on its line" in window.canvas.tool.refused
    window.canvas.repaint()
    press_key(window.canvas, Qt.Key.Key_Escape)
    assert window.canvas.tool.refused == ""


def test_a_slit_begins_at_its_other_end_when_asked_and_the_job_file_keeps_it(qtbot, window, tmp_path):
    before, page = slit_in_a_plate(qtbot, window, tmp_path), window.pages.cuts
    window.session.select((before.feature,))
    assert page.flip.isEnabled() and not page.shape.isEnabled()
    page.flip.click()
    settle(qtbot, window)
    after = cut_of(window, "slit")
    assert after.pierce == pytest.approx(tuple(before.contour.end))
    assert tuple(after.contour.end) == pytest.approx(before.pierce)
    saved = window.session.save(tmp_path / "slit.kerfproof.toml")
    assert parse_job(saved.read_text(), "slit").pins == window.session.job.pins != ()
    page.flip.click()
    settle(qtbot, window)
    assert cut_of(window, "slit").pierce == before.pierce and len(window.session.job.pins) == 1
    page.again.click()
    settle(qtbot, window)
    assert window.session.job.pins == ()


def test_a_lead_grabbed_while_the_last_change_is_checked_says_to_wait(qtbot, window):
    open_demo(qtbot, window)
    cut = cut_of(window, "outline")
    window.session.change("kerf", kerf=1.6)
    mouse(window.canvas, QEvent.Type.MouseButtonPress, cut.pierce)
    assert window.canvas.tool.lead is None
    assert "once the last change is checked" in window.canvas.tool.refused
    settle(qtbot, window)
    assert window.canvas.tool.refused == ""


def test_another_lead_in_the_way_is_told_while_dragging(qtbot, window, tmp_path):
    from support.shop import shop

    def draw(space):
        space.add_lwpolyline([(0, 0), (80, 0), (80, 60), (0, 60)], close=True)
        space.add_lwpolyline([(92, 0), (172, 0), (172, 60), (92, 60)], close=True)

    path = tmp_path / "two.dxf"
    path.write_bytes(shop.dxf(draw))
    window.files.open([path])
    settle(qtbot, window)
    left, right = window.session.outcome.plan.cuts
    if left.contour.start[0] > right.contour.start[0]:
        left, right = right, left
    between = (window.session.outcome.parts.parts[0].outline.contour.path.bounds()[2] + 6.0, left.pierce[1])
    drag(window.canvas, right.pierce, between)
    settle(qtbot, window)
    right = next(cut for cut in window.session.outcome.plan.cuts if cut.feature == right.feature)
    left = next(cut for cut in window.session.outcome.plan.cuts if cut.feature == left.feature)
    mouse(window.canvas, QEvent.Type.MouseButtonPress, left.pierce)
    words = set()
    for step in range(-40, 41):
        mouse(window.canvas, QEvent.Type.MouseMove, (right.pierce[0], right.pierce[1] + step / 2), keys=ALT)
        words.add(window.canvas.tool.lead.tried.word)
    assert "meets another lead" in words
    assert words & {"clear", "tight"}
    window.canvas.tool.leave()


def test_a_lead_is_grabbed_from_further_off_where_nothing_else_lies(qtbot, window):
    open_demo(qtbot, window)
    cut = cut_of(window, "outline")
    canvas = window.canvas
    u, v = canvas.camera.to_pixels(*cut.pierce)
    ring = [QPointF(u + 13 * math.cos(k), v + 13 * math.sin(k)) for k in range(7)]
    near = [canvas.picker.at(*canvas.place_of(place), 9.0 / canvas.camera.scale) for place in ring]
    free = [place for place, found in zip(ring, near, strict=True) if found is None or found.kind == "part"]
    assert free
    assert {canvas.thing_at(place).kind for place in free} <= {"lead", "pierce"}


def test_a_lead_moved_by_keys_tells_its_verdict_below_too(qtbot, window):
    open_demo(qtbot, window)
    cut = cut_of(window, "hole")
    window.plate_commands.hold_lead(cut.feature)
    assert window.under.text().startswith("lead of ")
    before = window.place.text()
    press_key(window.canvas, Qt.Key.Key_Right)
    assert window.under.text().startswith("lead of ")
    assert window.place.text() != before
