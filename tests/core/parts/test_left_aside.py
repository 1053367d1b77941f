"""Layers left aside by their names alone must not leave holes to be cut as parts, or nothing at all."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Path
from kerfproof.parts.classify.choices import PageFrames
from kerfproof.parts.join_contours import JoinSettings, join_contours
from kerfproof.parts.model.contour import Role
from support.referees.strategies import drawing_of

HOLES = (Path.circle((20, 30), 5), Path.circle((80, 30), 5))
OUTLINE = [Path.polyline(ends) for ends in
           ([(0, 0), (100, 0)], [(100, 0), (100, 60)], [(100, 60), (0, 60)], [(0, 60), (0, 0)])]  # fmt: skip


def told(on_layer, layer: str, *others: Path, rule: str = "outline-ignored", **settings: object) -> list[Finding]:
    aside = tuple(replace(e, layer=layer) for e in drawing_of(*on_layer).entities)
    drawing = drawing_of(*others)
    got = join_contours(replace(drawing, entities=(*drawing.entities, *aside)), JoinSettings(**settings))
    return [f for f in got.findings if f.rule == rule]


def test_an_outline_on_a_layer_that_is_ignored_by_its_name_is_asked_about():
    (doubt,) = told(OUTLINE, "BORDER", *HOLES)
    assert doubt.severity is Severity.ERROR and doubt.layer == "BORDER"
    assert "--role BORDER=cut" in doubt.advice and "--role BORDER=ignore" in doubt.advice


@pytest.mark.parametrize("role", [Role.CUT, Role.IGNORE])
def test_a_rule_of_the_person_answers(role):
    assert not told(OUTLINE, "BORDER", *HOLES, rules=(("BORDER", role),))


def test_a_frame_round_parts_is_none_of_that():
    assert not told([Path.rectangle(-50, -50, 300, 200)], "BORDER", Path.rectangle(0, 0, 100, 60), *HOLES)
    assert not told([Path.rectangle(-5, -5, 105, 65)], "construction", Path.rectangle(0, 0, 100, 60))
    assert not told([Path.rectangle(-20, -20, 190, 277)], "Rahmen", Path.circle((50, 50), 20)), "A4 paper"
    assert not told(OUTLINE, "BORDER", *HOLES, page=PageFrames.IGNORE)
    assert not told(OUTLINE, "BORDER", *HOLES, Path.circle((300, 30), 5)), "not everything lies in it"


def test_a_drawing_of_which_everything_is_left_aside_is_an_error_that_names_the_layers():
    (nothing,) = told([*OUTLINE, *HOLES], "Konstruktion", rule="nothing-left")
    assert nothing.severity is Severity.ERROR and "all 6 curves" in nothing.message
    assert nothing.advice.endswith("--role Konstruktion=cut")
    assert not told([*OUTLINE], "Konstruktion", *HOLES, rule="nothing-left")
