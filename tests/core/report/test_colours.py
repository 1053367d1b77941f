"""Colours that must be told apart are, for eyes that lack a kind of cone too; what shares one differs in its line."""

from __future__ import annotations

from itertools import combinations

import pytest

from kerfproof.report.picture.colors import DARK, LIGHT
from kerfproof.report.picture.page import DASHES
from kerfproof.report.picture.picture import ROLES
from support.app.color_sight import EYES, apart, ciede2000, contrast

THEMES = pytest.mark.parametrize("table", [LIGHT, DARK], ids=["light", "dark"])
STROKES = [role for role in ROLES if role not in ("part", "hole")]
TOLD = 10.0
"""CIEDE2000; 1 is just seen side by side, beyond 10 two colours are told apart at a glance."""
NEVER_TOGETHER = {
    frozenset(pair)
    for pair in (("kerf", "slit"), ("travel", "raised"), ("lead_out", "raised"), ("kerf", "raised"), ("slit", "raised"))
}
"""The line of a slit is covered by its kerf; the raised torch is drawn where nothing is cut."""


@pytest.mark.parametrize(
    ("one", "other", "far"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, -1.3802, -84.2814), (50.0, 0.0, -82.7485), 1.0),
        ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
        ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
        ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)
def test_the_difference_is_that_of_the_published_test_data(
    one: tuple[float, float, float], other: tuple[float, float, float], far: float
) -> None:
    assert ciede2000(one, other) == pytest.approx(far, abs=1e-4)
    assert ciede2000(other, one) == pytest.approx(far, abs=1e-4)


def test_the_simulated_eyes_keep_greys_and_lose_what_they_should() -> None:
    for eye in EYES:
        assert apart("#808080", "#808080", eye) == 0
        assert apart("#000000", "#FFFFFF", eye) > 95
    assert apart("#C00000", "#6B6B00") > 30
    assert apart("#C00000", "#6B6B00", "deuteranopia") < 15


def kind_of_line(one: str, other: str) -> bool:
    """Whether two lines differ without colour: one is dashed, or its dashes are twice as long."""
    a, b = DASHES.get(one), DASHES.get(other)
    if a is None or b is None:
        return (a is None) != (b is None)
    return max(a[0], b[0]) >= 2 * min(a[0], b[0])


@THEMES
@pytest.mark.parametrize("eye", EYES)
def test_lines_that_are_drawn_alike_differ_in_colour(table: dict[str, str], eye: str) -> None:
    for one, other in combinations(STROKES, 2):
        if not kind_of_line(one, other) and frozenset((one, other)) not in NEVER_TOGETHER:
            assert apart(table[one], table[other], eye) >= TOLD, (one, other)


@THEMES
@pytest.mark.parametrize("eye", EYES)
def test_lines_stand_out_from_metal_and_scrap_and_these_from_each_other(table: dict[str, str], eye: str) -> None:
    for ground in ("part", "plate"):
        for role in (*STROKES, "disc_edge", "zero"):
            assert apart(table[role], table[ground], eye) >= TOLD, (role, ground)
    assert apart(table["part"], table["plate"], eye) >= TOLD
    assert apart(table["hot"], table["kerf"], eye) >= 3 * TOLD


@THEMES
@pytest.mark.parametrize("eye", EYES)
def test_severities_differ_in_colour_besides_their_shapes(table: dict[str, str], eye: str) -> None:
    for one, other in combinations(("error", "warning", "note", "good"), 2):
        assert apart(table[one], table[other], eye) >= TOLD, (one, other)


@THEMES
def test_all_text_has_a_contrast_of_four_and_a_half(table: dict[str, str]) -> None:
    pairs = [("ink", "paper"), ("faint", "paper"), ("paper", "faint"), ("ink", "part"), ("disc_ink", "disc")]
    pairs += [(f"{kind}_ink", kind) for kind in ("error", "warning", "note", "good")]
    for ink, ground in pairs:
        assert contrast(table[ink], table[ground]) >= 4.5, (ink, ground)
