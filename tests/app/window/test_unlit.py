"""A program that never lights the torch must not look as if it cut."""

from __future__ import annotations

import pytest

from kerfproof.job.job import Mode
from kerfproof_app.window.plate.paint.overlay import unlit_words
from kerfproof_app.window.plate.scene.plate_scene import make_scene
from support.app.at_the_window import open_demo, settle
from support.shop import shop


@pytest.mark.parametrize(
    ("mode", "words"),
    [(Mode.DRY, "Dry run"), (Mode.FRAME, "Frame only"), (Mode.TOUR, "Tour of the pierces")],
)
def test_what_never_lights_has_no_kerf_no_leads_and_a_banner(qapp: object, mode: Mode, words: str) -> None:
    scene = make_scene(shop.cut(shop.demo("gusset"), mode=mode))
    assert not len(scene.kerf) and not len(scene.path)
    assert not len(scene.leads_in) and not len(scene.leads_out) and not len(scene.arrows)
    assert len(scene.travel)
    assert unlit_words(scene) == f"{words}: the torch stays off"
    lit = make_scene(shop.cut(shop.demo("gusset")))
    assert lit.picture.notice == ""
    assert len(lit.kerf) and len(lit.leads_in)


def test_the_window_says_that_the_torch_stays_off_and_claims_no_height(qtbot, window):
    open_demo(qtbot, window)
    for mode in (Mode.DRY, Mode.FRAME, Mode.TOUR):
        window.session.change("program", mode=mode)
        settle(qtbot, window)
        said = window.header.cards["torch"].answer
        assert said.startswith("the torch stays off")
        assert "pierce" not in said
        window.session.go_to(1.0)
        assert "as high as you put it" in window.area.trace.accessibleDescription()
        assert window.area.trace.tip_at(window.area.trace.x_of(1.0)) == ""
        window.area.trace.grab()
