"""What became of the contours of a drawing that was drawn anew."""

from __future__ import annotations

from kerfproof.geom.path import Path
from kerfproof.parts.build_parts import build_parts
from kerfproof.parts.join_contours import join_contours
from kerfproof.parts.model.changes import changes
from kerfproof.parts.model.part import Parts
from support.referees.strategies import drawing_of


def parts(*paths: Path) -> Parts:
    got = join_contours(drawing_of(*paths))
    return build_parts(got.closed, got.open, "p")


PLATE = Path.rectangle(0, 0, 100, 60)
HOLES = [Path.circle((20, 30), 5), Path.circle((50, 30), 5), Path.circle((80, 30), 8)]


def test_nothing_has_changed_in_the_same_drawing_drawn_in_another_order():
    found = changes(parts(PLATE, *HOLES), parts(*HOLES[::-1], PLATE.reversed()))
    assert len(found.kept) == 4 and not (found.moved or found.gone or found.come)
    assert found.lines()[0] == ("changed", "4 contours as they were")


def test_a_moved_a_lost_and_a_new_hole_are_told_apart():
    new = [HOLES[0], Path.circle((50, 42), 5), Path.rectangle(70, 20, 90, 30)]
    found = changes(parts(PLATE, *HOLES), parts(PLATE, *new))
    assert len(found.kept) == 2
    assert [(old.label, way) for old, _, way in found.moved] == [("hole 2 D10", (0.0, 12.0))]
    assert [f.label for f in found.gone] == ["hole 3 D16"]
    assert [f.label for f in found.come] == ["hole 3 20 x 10"]
    data = found.record()
    assert data["kept"] == 2 and data["moved"][0]["by"] == [0.0, 12.0] and data["gone"][0]["at"] == [80.0, 30.0]


def test_a_hole_of_another_diameter_is_no_moved_one():
    found = changes(parts(PLATE, HOLES[0]), parts(PLATE, Path.circle((20, 30), 5.1)))
    assert not found.moved and len(found.gone) == len(found.come) == 1
