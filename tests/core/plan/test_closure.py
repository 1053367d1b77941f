from __future__ import annotations

import math

import pytest
from shapely import Point as Spot

from kerfproof.geom.path import Path
from kerfproof.job.job import LeadChoice
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.closure import Ending, beginning, contour_length
from support.referees.referee import line
from support.shop.toolpath_shapes import process, rounded_rectangle


@pytest.mark.parametrize("length", [0.4, 30.0, 31.5, 40.0, 100.0, 399.0])
def test_the_beginning_of_a_path_has_its_length_and_lies_on_the_path(length: float) -> None:
    path = rounded_rectangle(0, 0, 150, 60, 10).opened()
    piece = beginning(path, length)
    assert piece is not None
    assert line(piece).length == pytest.approx(length, abs=0.01)
    assert piece.start.tolist() == path.start.tolist()
    ruler = line(path)
    assert max(ruler.distance(Spot(p)) for p in line(piece).coords) < 0.005
    assert ruler.interpolate(length).distance(Spot(piece.end)) < 0.01


def test_no_length_is_no_beginning_and_too_much_is_the_whole_path() -> None:
    path = Path.polyline([(0, 0), (10, 0)])
    assert beginning(path, 0.0) is None
    assert beginning(path, 12.0) is path


def test_the_length_of_a_circle_is_its_circumference() -> None:
    assert contour_length(Path.circle((3, 4), 5).opened()) == pytest.approx(10 * math.pi)


# Outline: over-burn max(1, 0.25 t), lead-out max(2, 0.5 t); hole: over-burn max(1, 0.2 t), no lead-out.
@pytest.mark.parametrize(
    ("thickness", "outline", "hole"), [(1.0, (1.0, 2.0), 1.0), (6.0, (1.5, 3.0), 1.2), (12.0, (3.0, 6.0), 2.4)]
)
def test_over_burn_and_lead_out_follow_the_thickness(
    thickness: float, outline: tuple[float, float], hole: float
) -> None:
    p = process(thickness=thickness)
    round_it = Ending.of(FeatureKind.OUTLINE, p, LeadChoice())
    assert (round_it.over_burn, round_it.lead_out) == outline
    inside = Ending.of(FeatureKind.HOLE, p, LeadChoice())
    assert (inside.over_burn, inside.lead_out) == (pytest.approx(hole), 0.0)
    own = Ending.of(FeatureKind.HOLE, p, LeadChoice(over_burn_hole=4.0, over_burn_outline=9.0))
    assert own.over_burn == 4.0
