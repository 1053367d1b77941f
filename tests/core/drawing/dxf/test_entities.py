from __future__ import annotations

import math

import numpy as np
import pytest

from kerfproof.drawing.drawing import Entity
from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.geom.path import Path
from kerfproof.registry import load_folder
from support.drawings.drawings import as_bytes, bare, drawn, new, rules, tags

DOWN = {"extrusion": (0, 0, -1)}


def _one(kind: str, *args: object, **kwargs: object) -> Entity:
    """Return the one entity that `add_<kind>` of a model space makes."""
    drawing = drawn(lambda _, space: getattr(space, f"add_{kind}")(*args, **kwargs))
    assert (drawing.entity_count, len(drawing.entities)) == (1, 1), drawing.skipped
    return drawing.entities[0]


def _path(kind: str, *args: object, **kwargs: object) -> Path:
    path = _one(kind, *args, **kwargs).path
    assert path is not None
    return path


def test_there_is_one_file_for_each_kind_of_curve() -> None:
    found = load_folder("kerfproof.drawing.dxf.entities", "ENTITY")
    assert {name: reader.kind for name, reader in found.items()} == {n: n.upper() for n in found}
    assert set(found) == {"line", "arc", "circle", "ellipse", "spline", "lwpolyline", "polyline", "point"}


def test_a_line_drops_its_height() -> None:
    assert _path("line", (1, 2, 9), (4, 6, 9)).vertices.tolist() == [[1, 2, 0], [4, 6, 0]]


def test_an_arc_runs_counter_clockwise_from_start_to_end() -> None:
    path = _path("arc", (5, 5), 10, 350, 80)
    assert path.start == pytest.approx((5 + 10 * math.cos(math.radians(350)), 5 + 10 * math.sin(math.radians(350))))
    assert path.end == pytest.approx((5 + 10 * math.cos(math.radians(80)), 5 + 10 * math.sin(math.radians(80))))
    assert path.vertices[0, 2] == pytest.approx(math.tan(math.radians(90) / 4))


def test_arcs_with_negative_and_equal_angles() -> None:
    assert _path("arc", (0, 0), 10, -90, 0).length() == pytest.approx(5 * math.pi)
    full = _path("arc", (0, 0), 10, 30, 30)
    assert full.closed
    assert full.length() == pytest.approx(20 * math.pi)
    assert _path("arc", (0, 0), 10, 0, 270).n_segments == 2


def test_an_arc_of_minus_z_starts_at_180_minus_end_and_turns_the_other_way() -> None:
    # Mirrored in x: start and end become 180 - end and 180 - start, the sense of turning flips.
    path = _path("arc", (20, 5), 10, 30, 70, dxfattribs=DOWN)
    assert path.end == pytest.approx((-20 + 10 * math.cos(math.radians(110)), 5 + 10 * math.sin(math.radians(110))))
    assert path.start == pytest.approx((-20 + 10 * math.cos(math.radians(150)), 5 + 10 * math.sin(math.radians(150))))
    assert path.vertices[0, 2] < 0


def test_a_circle_of_minus_z_lies_on_the_other_side() -> None:
    entity = _one("circle", (20, 5, 3), 4, dxfattribs={**DOWN, "layer": "HOLES", "color": 3, "linetype": "BYBLOCK"})
    assert entity.path is not None
    assert entity.path.bounds() == pytest.approx((-24, 1, -16, 9))
    assert (entity.kind, entity.layer, entity.color, entity.linetype) == ("CIRCLE", "HOLES", 3, "CONTINUOUS")
    assert entity.handle


# Bulge, radius, length, and area between chord and arc of the chord from (0, 0) to (10, 0), computed apart from this
# code from sweep = 4 atan b and R = c (1 + b^2) / (4 |b|).
@pytest.mark.parametrize(
    ("bulge", "length", "area"),
    [
        (1.0, 15.707963, 39.269908), (0.5, 11.591190, 17.472469), (0.131652498, 10.115152, 4.403591),
        (2.0, 27.678718, 105.245994), (-2.414213562, 33.321622, -142.809725), (-1.0, 15.707963, -39.269908),
    ],
)  # fmt: skip
def test_bulges_have_the_length_and_area_of_their_arcs(bulge: float, length: float, area: float) -> None:
    path = _path("lwpolyline", [(0, 0, bulge), (10, 0, 0)], format="xyb", close=True)
    assert path.length() == pytest.approx(length + 10, abs=1e-5)
    assert path.area() == pytest.approx(area, abs=1e-4)
    mirrored = _path("lwpolyline", [(0, 0, bulge), (10, 0, 0)], format="xyb", close=True, dxfattribs=DOWN)
    assert mirrored.area() == pytest.approx(-area, abs=1e-4)
    assert mirrored.vertices[:, 0].min() == pytest.approx(-10)


def test_two_vertices_of_bulge_one_are_the_full_circle() -> None:
    path = _path("lwpolyline", [(0, 0, 1), (10, 0, 1)], format="xyb", close=True)
    assert path.area() == pytest.approx(25 * math.pi)


def test_repeated_vertices_go_and_an_open_ring_is_closed() -> None:
    path = _path("lwpolyline", [(0, 0), (0, 0), (10, 0), (10, 0), (10, 10), (0, 0)])
    assert path.closed
    assert path.vertices[:, :2].tolist() == [[0, 0], [10, 0], [10, 10]]


def test_an_old_polyline_keeps_bulges_and_leaves_out_frame_points() -> None:
    document, space = new(version="R12")
    line = space.add_polyline2d([(0, 0, 0), (10, 0, 1), (10, 10, 0)], format="xyb", close=True)
    line.append_vertex((99, 99), dxfattribs={"flags": 16})
    (entity,) = read_dxf(as_bytes(document), "old.dxf").entities
    assert entity.path is not None
    assert entity.path.vertices.tolist() == [[0, 0, 0], [10, 0, 1], [10, 10, 0]]


def test_a_polyline_in_space_is_read_when_it_lies_flat() -> None:
    assert _path("polyline3d", [(0, 0, 2), (10, 0, 2), (10, 5, 2)]).n_segments == 2
    drawing = drawn(lambda _, space: space.add_polyline3d([(0, 0, 0), (10, 0, 2), (10, 5, 2)]))
    assert rules(drawing)[0] == "entity-tilted"
    mesh = drawn(lambda _, space: space.add_polymesh((3, 3)))
    assert mesh.skipped[0].reason == "a mesh is no outline"


@pytest.mark.parametrize(("a", "b", "perimeter"), [(2, 1, 9.688448), (50, 30, 255.269989)])
def test_an_ellipse_is_fitted_to_the_true_curve(a: float, b: float, perimeter: float) -> None:
    # Perimeters: complete elliptic integral, computed apart from this code.
    entity = _one("ellipse", (7, 8), (a, 0), b / a)
    assert entity.path is not None
    assert entity.path.closed
    assert entity.path.length() == pytest.approx(perimeter, abs=0.02)
    assert 0 < entity.fit_error <= 0.005
    assert entity.samples is not None
    x, y = (entity.samples - [7, 8]).T
    assert np.hypot(x / a, y / b) == pytest.approx(1, abs=1e-9)


def test_a_piece_of_an_ellipse_goes_by_its_parameter_and_turns_with_its_extrusion() -> None:
    path = _path("ellipse", (0, 0), (10, 0), 0.5, 0, math.pi / 2)
    assert (path.start, path.end) == (pytest.approx((10, 0)), pytest.approx((0, 5), abs=1e-9))
    down = _path("ellipse", (0, 0), (10, 0), 0.5, 0, math.pi / 2, dxfattribs=DOWN)
    assert (down.start, down.end) == (pytest.approx((10, 0)), pytest.approx((0, -5), abs=1e-9))
    tilted = drawn(lambda _, space: space.add_ellipse((0, 0), (10, 0), 0.5, dxfattribs={"extrusion": (0, 1, 1)}))
    assert rules(tilted)[0] == "entity-tilted"


def test_splines_by_control_points_and_by_fit_points() -> None:
    by_control = _path("open_spline", [(0, 0), (0, 10), (10, 10), (10, 0)])
    assert by_control.start.tolist() == [0, 0]
    assert by_control.end.tolist() == [10, 0]
    assert by_control.bounds()[3] == pytest.approx(7.5, abs=0.01)  # a cubic's middle: (3 x 10 + 3 x 10) / 8
    by_fit = _path("spline", [(0, 0), (5, 4), (10, 0)])
    assert by_fit.start == pytest.approx((0, 0), abs=1e-12)
    assert min(math.hypot(x - 5, y - 4) for x, y in by_fit.flattened(1e-4)) < 0.1
    twice = _path("spline", [(0, 0), (0, 0), (5, 4), (5, 4), (10, 0)])
    assert twice.vertices.tolist() == by_fit.vertices.tolist()


@pytest.mark.parametrize("repeated", [False, True])
def test_a_closed_spline_by_fit_points_is_smooth_where_it_closes(repeated: bool) -> None:
    ring = [(100 * math.cos(math.radians(a)), 100 * math.sin(math.radians(a))) for a in range(0, 360, 15)]

    def draw(_, space) -> None:
        space.add_spline(ring + ring[:1] if repeated else ring).closed = True

    path = drawn(draw).entities[0].path
    assert path is not None and path.closed
    assert max(abs(math.hypot(x, y) - 100) for x, y in path.flattened(1e-4)) < 0.003


@pytest.mark.parametrize("ring", [[(0, 0), (5, 0)], [(0, 0), (5, 0), (0, 0)], [(1, 1)] * 4, [(0, 0), (0, 0), (5, 5)]])
def test_a_closed_spline_without_a_loop_of_points_is_no_crash(ring: list[tuple[float, float]]) -> None:
    def draw(_, space) -> None:
        space.add_spline(ring).closed = True

    drawing = drawn(draw)
    assert len(drawing.entities) + len(drawing.skipped) == 1


def test_a_point_is_a_place_without_a_path() -> None:
    entity = _one("point", (3, 4, 5))
    assert entity.path is None
    assert entity.point == (3, 4)


@pytest.mark.parametrize(
    ("kind", "args", "reason"),
    [
        ("line", ((1, 1), (1, 1)), "it has no length"),
        ("circle", ((0, 0), 0), "it has no size"),
        ("lwpolyline", ([(2, 2), (2, 2)],), "it has no length"),
        ("ellipse", ((0, 0), (10, 0), 0.5, 0.0, 1e-9), "it has no length"),
        ("open_spline", ([(3, 3)] * 5,), "it has no length"),
    ],
)
def test_what_has_no_length_is_listed(kind: str, args: tuple[object, ...], reason: str) -> None:
    drawing = drawn(lambda _, space: getattr(space, f"add_{kind}")(*args))
    assert [s.reason for s in drawing.skipped] == [reason]
    assert drawing.entity_count == 1


BROKEN = [
    tags((0, "CIRCLE"), (5, "A1"), (8, "X"), (10, 0), (20, 0), (30, 0), (40, -3)),
    tags((0, "CIRCLE"), (5, "A1"), (8, "X"), (10, "nan"), (20, 0), (30, 0), (40, 3)),
    tags((0, "ARC"), (5, "A1"), (8, "X"), (10, 0), (20, 0), (30, 0), (40, 3), (50, "inf"), (51, 20)),
    tags((0, "LINE"), (5, "A1"), (8, "X"), (10, 0), (20, 0), (30, 0), (11, "1e400"), (21, 0), (31, 0)),
    tags((0, "CIRCLE"), (5, "A1"), (8, "X"), (10, 0), (20, 0), (30, 0), (40, 3), (210, 0), (220, 0), (230, 0)),
]


@pytest.mark.parametrize("entity", BROKEN)
def test_an_entity_that_makes_no_curve_is_an_error_with_its_handle_and_listed(entity: str) -> None:
    good = tags((0, "LINE"), (5, "A2"), (8, "0"), (10, 0), (20, 0), (30, 0), (11, 5), (21, 0), (31, 0))
    drawing = read_dxf(bare(entity, good), "b.dxf")
    (finding,) = [f for f in drawing.findings if f.rule == "entity-broken"]
    assert (finding.severity, finding.handle) == ("error", "A1")
    assert "on layer X is not cut" in finding.message
    assert [s.handle for s in drawing.skipped] == ["A1"]
    assert len(drawing.entities) == 1


def test_a_spline_with_a_wrong_number_of_knots_is_an_error_and_listed() -> None:
    document, space = new()
    spline = space.add_open_spline([(0, 0), (1, 5), (5, 5), (9, 0)])
    head, mark, tail = as_bytes(document).partition(b"AcDbSpline")
    tail = tail.replace(b"\n 40\n1.0\n", b"\n", 1).replace(b"\n 72\n8\n", b"\n 72\n7\n", 1)
    drawing = read_dxf(head + mark + tail, "knots.dxf")
    assert [s.handle for s in drawing.skipped] == [spline.dxf.handle]
    assert "need 8 knots" in drawing.skipped[0].reason
    assert "entity-broken" in rules(drawing)
