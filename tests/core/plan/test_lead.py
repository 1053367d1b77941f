from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import Point as Spot

from kerfproof.job.job import LeadChoice
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.leads.lead import Starts, lead_path, lead_shapes
from support.referees.referee import direction_at_end, line
from support.shop.toolpath_shapes import process

SHAPES = lead_shapes()


def starts(angle: float, side: int) -> Starts:
    along = np.array([[math.cos(angle), math.sin(angle)]])
    return Starts(np.array([[50.0, 20.0]]), along, side * np.column_stack([-along[:, 1], along[:, 0]]))


def test_the_shapes_are_found_by_their_files() -> None:
    assert list(SHAPES) == ["arc", "extension", "from_center", "straight"]


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("name", SHAPES)
def test_every_shape_comes_from_the_scrap_side_and_meets_the_contour_as_declared(name: str, side: int) -> None:
    for angle in np.linspace(0.1, 6.0, 7):
        at = starts(angle, side)
        pierce, bulge = SHAPES[name].draw(at, np.array([5.0]))
        path = lead_path((pierce[0, 0], pierce[0, 1]), float(bulge[0]), (50.0, 20.0))
        straight = float(direction_at_end(path) @ at.along[0])
        assert (straight > 1 - 1e-5) is SHAPES[name].tangent
        assert float((pierce[0] - at.at[0]) @ at.scrap[0]) >= -1e-9
        # No part of it lies behind the contour's tangent, on the kept side.
        inner = np.array(line(path).coords) - at.at[0]
        assert (inner @ at.scrap[0]).min() > -1e-3


def test_the_arc_is_a_quarter_circle_of_its_size_and_the_half_circle_starts_at_its_width() -> None:
    at = starts(0.0, 1)
    pierce, bulge = SHAPES["arc"].draw(at, np.array([5.0]))
    path = lead_path((pierce[0, 0], pierce[0, 1]), float(bulge[0]), (50.0, 20.0))
    assert path.length() == pytest.approx(5 * math.pi / 2)
    assert max(abs(Spot(45, 25).distance(Spot(p)) - 0) for p in path.vertices[:1, :2]) < 1e-9
    pierce, bulge = SHAPES["from_center"].draw(at, np.array([5.0]))
    assert pierce[0].tolist() == pytest.approx([50.0, 30.0])
    assert abs(bulge[0]) == 1.0


def test_sizes_follow_the_process_the_person_and_the_hole() -> None:
    size = {name: lead.size for name, lead in SHAPES.items()}
    p, none = process(), LeadChoice()
    assert size["arc"](p, none, math.inf, False) == 3.5
    assert size["arc"](p, LeadChoice(radius=6.0), math.inf, False) == 6.0
    assert size["extension"](p, LeadChoice(straight=9.0), math.inf, False) == 9.0
    # From the center: half the radius of a 4.55 mm wide path.
    assert size["from_center"](p, none, 4.55, False) == pytest.approx(4.55 / 4)
    assert size["from_center"](p, none, 200.0, False) == 3.5
    # In a slot from its center line, whatever the radius.
    assert size["arc"](p, LeadChoice(radius=6.0), 4.0, True) == 2.0
    assert size["from_center"](p, none, 4.0, True) == 1.0


def test_only_outlines_are_begun_at_outside_corners() -> None:
    assert [name for name, lead in SHAPES.items() if lead.corner] == ["extension"]
    assert SHAPES["extension"].kinds == (FeatureKind.OUTLINE,)
    assert SHAPES["from_center"].kinds == (FeatureKind.HOLE,)
