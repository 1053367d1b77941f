"""A program that never lights the torch must not look as if it cut."""

from __future__ import annotations

import pytest

import shop
from kerfproof.job import Mode
from kerfproof_app.window.overlay import unlit_words
from kerfproof_app.window.scene import make_scene


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
