"""What is drawn and not cut: seen, told, selected on the plate and given a role there."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor

from kerfproof import api
from kerfproof_app.work.uncut_chains import uncut_of
from support.app.at_the_window import click, hover, settle
from support.shop import shop

CTRL = Qt.KeyboardModifier.ControlModifier


def drawn(space):
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    space.add_line((20, 20), (60, 20))
    space.add_circle((90, 50), 10, dxfattribs={"layer": "construction"})


@pytest.fixture
def shown(qtbot, window, tmp_path):
    """Return a window with a plate on which a line stays open and a circle lies on an ignored layer."""
    path = tmp_path / "plate.dxf"
    path.write_bytes(shop.dxf(drawn))
    window.files.open([path])
    settle(qtbot, window)
    window.show_page("part")
    return window


def on_plate(window, x, y):
    dx, dy = window.session.outcome.shift
    return x + dx, y + dy


def give(qtbot, window, role):
    qtbot.mouseClick(window.pages.part.role_buttons[role], Qt.MouseButton.LeftButton)
    settle(qtbot, window)


def test_hover_tells_why_a_chain_is_not_cut(shown):
    hover(shown.canvas, on_plate(shown, 40, 20))
    assert "does not close" in shown.under.text()
    hover(shown.canvas, on_plate(shown, 100, 50))
    assert "ignored" in shown.under.text()
    assert "layer construction" in shown.under.text()


def test_an_open_chain_becomes_a_slit_by_click_and_is_undone(qtbot, shown):
    click(shown.canvas, on_plate(shown, 40, 20))
    assert [shown.canvas.scene.loose[k].kind for k in shown.session.selection.loose] == ["open"]
    assert "1 contour is selected" in shown.pages.part.chosen.text()
    give(qtbot, shown, "slit")
    assert [cut.kind for cut in shown.session.outcome.plan.cuts].count("slit") == 1
    assert shown.session.selection.loose == ()
    shown.commands["undo"].trigger()
    settle(qtbot, shown)
    assert "slit" not in {cut.kind for cut in shown.session.outcome.plan.cuts}


def test_what_an_ignored_layer_holds_is_cut_by_click_and_proven_so(qtbot, shown):
    assert [cut.kind for cut in shown.session.outcome.plan.cuts] == ["outline"]
    click(shown.canvas, on_plate(shown, 100, 50))
    give(qtbot, shown, "cut")
    assert sorted(cut.kind for cut in shown.session.outcome.plan.cuts) == ["hole", "outline"]
    assert "role-lost" not in {f.rule for f in shown.session.findings}
    hole = next(f for f in shown.session.outcome.parts.features if f.kind == "hole")
    assert hole.diameter == pytest.approx(20.0)
    click(shown.canvas, on_plate(shown, 100, 50))
    give(qtbot, shown, "ignore")
    assert [cut.kind for cut in shown.session.outcome.plan.cuts] == ["outline"]
    assert {chain.kind for chain in uncut_of(shown.session.outcome)} == {"open", "ignored"}, "it can be chosen again"


def test_several_are_chosen_with_the_control_key_and_given_one_role(qtbot, shown):
    click(shown.canvas, on_plate(shown, 40, 20))
    click(shown.canvas, on_plate(shown, 100, 50), keys=CTRL)
    assert len(shown.session.selection.loose) == 2
    give(qtbot, shown, "mark")
    assert len(shown.session.outcome.parts.parts[0].marks) == 2
    assert shown.session.verdict.startswith("PROVEN")


def test_each_is_painted_in_a_colour_of_its_own_and_named_in_the_legend(shown):
    from kerfproof_app.window.plate.paint.legend import legend_items

    shown.canvas.fly_to(*on_plate(shown, 90, 60), 40.0)
    image, ink = shown.canvas.still(), QColor(shown.canvas.colours["ignored"])
    middle = [image.pixelColor(image.width() // 2, image.height() // 2 + step) for step in range(-20, 20)]
    assert min(abs(c.red() - ink.red()) + abs(c.blue() - ink.blue()) for c in middle) < 20, "thin and grey"
    assert {"uncut", "ignored"} <= {kind for kind, _ in legend_items(shown.canvas)}


def test_turned_mirrored_and_doubled_drawings_are_given_roles_at_the_right_place(qtbot, shown):
    session = shown.session
    use = session.job.drawings[0]
    session.change("turn", drawings=(replace(use, turn_deg=30.0, mirror=True, count=2),))
    settle(qtbot, shown)
    chains = uncut_of(session.outcome)
    assert len(chains) == 4
    last = next(chain for chain in reversed(chains) if chain.kind == "ignored")
    click(shown.canvas, tuple(last.path.start))
    give(qtbot, shown, "cut")
    assert sum(cut.kind == "hole" for cut in session.outcome.plan.cuts) == 2, "of every copy"
    fresh = api.plan(session.job, session.sources, api.Shop(session.outcome.machine, shop.chart()))
    assert len(fresh.plan.cuts) == len(session.outcome.plan.cuts)
