"""Layer names and what they mean."""

from __future__ import annotations

import pytest

from kerfproof.parts.classify.roles import role_of
from kerfproof.parts.model.contour import Role


@pytest.mark.parametrize("name", ["BEND", "Bend_Extent", "BIEGELINIEN", "Mittellinie", "DIM-2", "text", "Hilfslinien"])
def test_usual_words_for_lines_that_are_not_cut_are_ignored(name):
    assert role_of(name) is Role.IGNORE


@pytest.mark.parametrize("name", ["0", "Sketch18", "OUTER_PROFILES", "IZREZ", "cut", "Benedict", "frame", "215"])
def test_other_layers_are_cut(name):
    assert role_of(name) is Role.CUT


@pytest.mark.parametrize("name", ["GRAVIRANJE", "Engraving", "mark"])
def test_marks_are_marks(name):
    assert role_of(name) is Role.MARK


def test_a_rule_of_the_person_wins_over_the_usual_words_whatever_the_case():
    assert role_of("BEND", [("bend", Role.CUT)]) is Role.CUT
    assert role_of("Slots 2", [("slots*", Role.SLIT)]) is Role.SLIT
