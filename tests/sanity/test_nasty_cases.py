"""The nasty cases of real drawings, ranked by the scrap they would cut: each on a drawing made for it."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.layouts.layout import Modelspace

from kerfproof import api
from kerfproof.errors import KerfproofError, Severity
from kerfproof.job.job import DrawingUse, RoleRule
from kerfproof.parts.classify.roles import RolePattern
from kerfproof.parts.join_contours import JoinSettings
from kerfproof.parts.model.contour import Role
from support.drawings.drawings import as_bytes, as_text, bare, new, tags
from support.drawings.ways import document_of
from support.shop.shop import cut

Looked = api.Inspection


def looked(draw, units: int = 4, scale: float | None = None, **join: object) -> Looked:
    data = draw if isinstance(draw, bytes) else document_of(draw, units)
    return api.inspect(data, "made.dxf", api.ReadSettings(scale), JoinSettings(**join))


def plate(document: Document, space: Modelspace) -> None:
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
    space.add_circle((30, 30), 6)


def rules(found: Looked, severity: Severity | None = None) -> list[str]:
    return [f.rule for f in found.findings if severity is None or f.severity is severity]


def labels(found: Looked) -> list[str]:
    return [f.label for f in found.parts.features]


def test_01_decimal_commas_are_never_cut_off():
    commas = as_text_with_commas(plate)
    found = looked(commas)
    assert labels(found) == ["outline 100 x 60", "hole 1 D12.5"]
    assert "decimal-comma" in rules(found, Severity.WARNING)


def as_text_with_commas(draw) -> bytes:
    def odd(document: Document, space: Modelspace) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        space.add_circle((30.25, 30), 6.25)

    lines = document_of(odd).decode().replace("\r\n", "\n").split("\n")
    for k in range(0, len(lines) - 1, 2):
        if lines[k].strip().isdigit() and (10 <= int(lines[k]) <= 59 or 110 <= int(lines[k]) <= 239):
            lines[k + 1] = lines[k + 1].replace(".", ",")
    return "\n".join(lines).encode()


@pytest.mark.parametrize("units", [None, 0, 99])
def test_02_without_a_unit_there_is_a_question_with_both_sizes_and_no_program(units):
    document, space = new(units=4)
    if units is not None:
        document.header["$INSUNITS"] = units
    plate(document, space)
    data = as_bytes(document)
    if units is None:
        data = data.replace(b"$INSUNITS", b"$XNSUNITS")
    with pytest.raises(
        KerfproofError,
        match=r"as mm it is 100.0 x 60.0 mm .*as cm 1000.0 x 600.0 mm .*as inches 2540.0 x 1524.0 mm .*--units",
    ):
        cut(data)
    assert cut(data, drawings=(DrawingUse(name="part.dxf", mm_per_unit=1.0),)).ok
    unknown = next(f for f in looked(data).findings if f.rule == "units-unknown")
    assert unknown.severity is Severity.ERROR and "3.94 x 2.36 in" in unknown.message


def test_02_an_inch_flag_on_a_drawing_in_mm_is_doubted_by_its_size_and_by_its_holes():
    def large(document, space) -> None:
        space.add_lwpolyline([(0, 0), (400, 0), (400, 300), (0, 300)], close=True)
        for x in (50, 100, 150):
            space.add_circle((x, 50), 1.6)

    found = looked(large, units=1)
    assert "units-doubtful" in rules(found, Severity.WARNING)
    small = looked(lambda d, s: [s.add_circle((k, 0), r) for k, r in ((0, 1.65), (9, 2.75), (30, 4))], units=1)
    assert "units-doubtful" in rules(small, Severity.WARNING)


def test_03_units_come_before_joining_so_that_details_of_an_inch_drawing_do_not_melt():
    def rings(document, space) -> None:  # two squares 0.008 in (0.2 mm) apart, joined at 0.01 drawing units they melt
        for inset in (0.0, 0.008):
            low, high = inset, 1 - inset
            corners = [(low, low), (high, low), (high, high), (low, high)]
            for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
                space.add_line(a, b)

    found = looked(rings, units=1)
    assert len(found.contours.closed) == 2 and not found.contours.mends


def test_04_circles_arcs_and_bulges_of_minus_z_lie_mirrored_and_only_they():
    down = {"extrusion": (0, 0, -1)}

    def drawn(document, space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        space.add_circle((-30, 30), 6, dxfattribs=down)
        space.add_circle((70, 30), 6)
        # The right half in world coordinates: its image in object coordinates is the left half.
        space.add_arc((-50, 15), 5, 90, 270, dxfattribs=down)
        space.add_line((50, 10), (50, 20))

    found = looked(drawn)
    holes = sorted(h.contour.path.bounds() for h in found.parts.parts[0].holes)
    assert np.array(holes) == pytest.approx(np.array([(24, 24, 36, 36), (50, 10, 55, 20), (64, 24, 76, 36)]))


@pytest.mark.parametrize("layer", ["BEND", "Bend_Extent", "BIEGELINIE", "0"])
def test_05_bend_lines_never_sever_the_part(layer):
    def bent(document, space) -> None:
        plate(document, space)
        for x in (60, 60.5):
            space.add_line((x, 0), (x, 60), dxfattribs={"layer": layer})

    found = looked(bent)
    assert labels(found) == ["outline 100 x 60", "hole 1 D12"]
    told = rules(found)
    assert ("layer-ignored" in told) if layer != "0" else (told.count("open-chain") == 2)
    outcome = cut(document_of(bent))
    assert outcome.ok and [c.kind for c in outcome.plan.cuts] == ["hole", "outline"]


def test_05_a_bend_line_between_corners_of_the_outline_is_refused_with_both_places():
    def bent(document, space) -> None:
        corners = [(0, 0), (60, 0), (100, 0), (100, 60), (60, 60), (0, 60)]
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            space.add_line(a, b)
        space.add_line((60, 0), (60, 60))

    found = looked(bent)
    assert {(f.x, f.y) for f in found.findings if f.rule == "branch-point"} == {(60, 0), (60, 60)}
    assert not found.parts.parts


def test_06_an_entity_that_no_way_opens_is_named_with_its_line():
    document, space = new(version="R2000")
    space.add_open_spline([(0, 0), (1, 5), (5, 5), (9, 0)])
    with pytest.raises(KerfproofError, match=r"SPLINE at line \d+"):
        looked(as_text(document).replace("100\nAcDbSpline\n", "").encode())


def test_07_the_old_order_of_coordinates_is_read_right():
    corners = [(0.0, 0.0), (40.5, 0.0), (40.5, 30.25), (0.0, 30.25)]
    lines = [
        tags((0, "LINE"), (8, "0"), (10, a[0]), (11, b[0]), (20, a[1]), (21, b[1]))
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)
    ]
    found = looked(bare(*lines), scale=1.0)
    assert labels(found) == ["outline 40.5 x 30.25"]


def test_08_an_insert_with_a_z_scale_of_zero_in_a_block_keeps_all_its_holes():
    def arrayed(document, space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        document.blocks.new("HOLE").add_circle((0, 0), 4)
        row = document.blocks.new("ROW")
        for x in (15, 40, 65, 90):
            row.add_blockref("HOLE", (x, 0), dxfattribs={"zscale": 0})
        space.add_blockref("ROW", (0, 20))
        space.add_blockref("ROW", (0, 40), dxfattribs={"zscale": 0})

    found = looked(arrayed)
    assert len(found.parts.parts[0].holes) == 8
    assert found.drawing.entity_count == 9


def test_09_mirrored_and_uneven_references_keep_inside_and_outside():
    def scaled(document, space) -> None:
        plate(document, document.blocks.new("P"))
        space.add_blockref("P", (0, 0), dxfattribs={"xscale": -1})
        space.add_blockref("P", (50, 0), dxfattribs={"xscale": 2, "yscale": 1})

    found = looked(scaled)
    assert [p.outline.label for p in found.parts.parts] == ["outline 100 x 60", "outline 200 x 60"]
    round_one, oval = (p.holes[0] for p in found.parts.parts)
    assert round_one.diameter == pytest.approx(12) and oval.diameter is None
    x0, y0, x1, y1 = oval.contour.path.bounds()
    assert (x1 - x0, y1 - y0) == pytest.approx((24, 12), abs=0.01)


def test_10_everything_drawn_twice_is_cut_once_whichever_way():
    def twice(document, space) -> None:
        plate(document, space)
        for a, b in (((100, 0), (0, 0)), ((0, 60), (0, 0)), ((0, 60), (100, 60)), ((100, 60), (100, 0))):
            space.add_line(a, b)
        space.add_circle((30, 30), 6)
        space.add_arc((30, 30), 6, 10, 200)

    found = looked(twice)
    assert labels(found) == ["outline 100 x 60", "hole 1 D12"] and not found.contours.open
    assert sum(m.what == "duplicate removed" for m in found.contours.mends) == 6
    outcome = cut(document_of(twice))
    assert outcome.ok and len(outcome.plan.cuts) == 2


def test_11_edges_that_parts_share_are_told_with_coordinates_and_no_random_path_is_taken():
    def shared(document, space) -> None:
        space.add_lwpolyline([(0, 0), (50, 0), (50, 40), (0, 40)], close=True)
        space.add_lwpolyline([(50, 0), (90, 0), (90, 40), (50, 40)], close=True)
        space.add_lwpolyline([(200, 0), (250, 0), (250, 40), (200, 40)], close=True)

    found = looked(shared)
    assert [p.outline.label for p in found.parts.parts] == ["outline 50 x 40"], "the rest stays usable"
    (told,) = [f for f in found.findings if f.rule == "contours-cross"]
    assert "share an edge" in told.message and told.x == pytest.approx(50)
    assert len(found.contours.refused) == 2


def test_12_a_page_frame_does_not_turn_the_parts_inside_out():
    def page(document, space) -> None:
        plate(document, space)
        space.add_lwpolyline([(-60, -60), (237, -60), (237, 150), (-60, 150)], close=True)
        space.add_text("TITLE", dxfattribs={"insert": (150, -50)})

    found = looked(page)
    assert labels(found) == ["outline 100 x 60", "hole 1 D12"]
    assert "page-frame" in rules(found, Severity.NOTE)


def test_12_a_view_of_a_design_board_is_chosen_by_layer_or_window():
    def board(document, space) -> None:
        for k, layer in enumerate(("TOP", "SIDE")):
            space.add_circle((1000 * k, 0), 40, dxfattribs={"layer": layer})

    data = document_of(board)
    by_layer = api.inspect(data, "b.dxf", api.ReadSettings(layers=("side",)))
    by_window = api.inspect(data, "b.dxf", api.ReadSettings(window=(900.0, -50.0, 1100.0, 50.0)))
    for found in (by_layer, by_window):
        assert [p.outline.contour.path.bounds() for p in found.parts.parts] == [(960, -40, 1040, 40)]
        assert found.drawing.entity_count == len(found.drawing.entities) + len(found.drawing.skipped) == 2


def test_13_circles_drawn_as_splines_are_circles_again():
    def ringed(document, space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        angles = np.linspace(0, 2 * math.pi, 7)
        for a, b in pairwise(angles):
            ring = [(50 + 8 * math.cos(t), 30 + 8 * math.sin(t)) for t in np.linspace(a, b, 9)]
            ways = [(-math.sin(t), math.cos(t)) for t in (a, b)]
            space.add_cad_spline_control_frame(ring, tangents=ways)

    found = looked(ringed)
    (hole,) = found.parts.parts[0].holes
    assert hole.diameter == pytest.approx(16, abs=0.02) and hole.contour.path.n_segments == 2


def test_14_arcs_drawn_as_short_lines_are_arcs_again_and_moves_without_length_go():
    def faceted(document, space) -> None:
        angles = np.linspace(0, 2 * math.pi, 181)
        ring = [(50 + 20 * math.cos(t), 30 + 20 * math.sin(t)) for t in angles]
        for a, b in pairwise(ring):
            space.add_line(a, b)
        space.add_line(ring[0], (ring[0][0] + 0.004, ring[0][1]))

    found = looked(faceted)
    (part,) = found.parts.parts
    assert part.outline.diameter == pytest.approx(40, abs=0.01)
    assert not found.contours.open


@pytest.mark.parametrize(("gap", "closes"), [(0.009, True), (0.045, True), (0.06, False), (0.5, False)])
def test_15_small_gaps_close_on_their_own_and_larger_ones_only_when_asked(gap, closes):
    def gappy(document, space) -> None:
        space.add_line((0, 0), (100, 0))
        space.add_line((100, 0), (100, 60))
        space.add_line((100, 60), (0, 60))
        space.add_line((0, 60), (0, gap))

    found = looked(gappy)
    assert bool(found.parts.parts) is closes
    if closes:
        (mend,) = [m for m in found.contours.mends if "closed" in m.what]
        assert mend.size == pytest.approx(gap) and (mend.x, mend.y) == pytest.approx((0, gap / 2))
    else:
        (told,) = [f for f in found.findings if f.rule == "open-chain"]
        assert told.severity is Severity.ERROR
        needed = float(told.advice.split("--join ")[1].removesuffix("mm"))
        assert needed >= gap and looked(gappy, tolerance=needed).parts.parts


@pytest.mark.parametrize(
    ("draw", "why"),
    [
        (lambda d, s: s.add_text("ONLY TEXT"), "text and dimensions only"),
        (lambda d, s: s.add_3dface([(0, 0, 0), (9, 0, 0), (9, 9, 5)]), "bodies in space only"),
        (lambda d, s: d.layout("Layout1").add_circle((0, 0), 5), "paper space"),
        (lambda d, s: s.add_point((0, 0)), "points only"),
        (lambda d, s: None, "is empty"),
        (lambda d, s: s.add_line((0, 0), (50, 0)), "the only chain of lines does not close"),
        (lambda d, s: [s.add_line((k, 0), (k, 50)) for k in (0, 20, 40)], "none of the 3 chains of lines closes"),
    ],
)
def test_16_nothing_to_cut_is_said_with_its_reason(draw, why):
    with pytest.raises(KerfproofError, match=why):
        cut(document_of(draw))


@pytest.mark.parametrize("state", ["off", "freeze"])
def test_17_layers_that_are_off_or_frozen_are_not_cut_and_counted(state):
    def hidden(document, space) -> None:
        plate(document, space)
        layer = document.layers.add("CONSTRUCTION-2")
        getattr(layer, state)()
        space.add_circle((70, 30), 10, dxfattribs={"layer": "CONSTRUCTION-2"})

    found = looked(hidden)
    assert labels(found) == ["outline 100 x 60", "hole 1 D12"]
    assert any("1 CIRCLE" in f.message for f in found.findings if f.rule == "left-out")


def test_18_text_is_listed_and_counts_neither_for_cutting_nor_for_the_size():
    def marked(document, space) -> None:
        plate(document, space)
        space.add_mtext("EDUCATIONAL", dxfattribs={"insert": (99, 500)})
        space.add_text("far", dxfattribs={"insert": (5000, 0)})

    found = looked(marked)
    assert found.drawing.bounds() == (0, 0, 100, 60)
    assert sorted(s.kind for s in found.drawing.skipped) == ["MTEXT", "TEXT"]
    assert len(found.parts.parts) == 1


def test_19_self_crossing_contours_are_refused_with_coordinates_and_the_rest_stays():
    def crossed(document, space) -> None:
        plate(document, space)
        space.add_lwpolyline([(200, 0), (240, 40), (240, 0), (200, 40)], close=True)

    found = looked(crossed)
    (told,) = [f for f in found.findings if f.rule == "self-crossing"]
    assert (told.x, told.y) == pytest.approx((220, 20)) and told.severity is Severity.ERROR
    assert len(found.parts.parts) == 1 and len(found.contours.refused) == 1


def test_20_a_spline_with_a_wrong_knot_count_is_an_error_not_a_skipped_entity():
    document, space = new(version="R2000")
    plate(document, space)
    spline = space.add_open_spline([(0, 0), (1, 5), (5, 5), (9, 0)])
    spline.knots = [0, 0, 0, 1]
    try:
        found = looked(as_bytes(document))
    except KerfproofError as error:
        assert "SPLINE" in str(error)
        return
    assert {"entity-broken", "entity-lost"} & set(rules(found, Severity.ERROR))
    assert "SPLINE" in [s.kind for s in found.drawing.skipped]


@pytest.mark.parametrize("page", ["ansi_1252", "ANSI_932", "ASCII", "UNDEFINED"])
@pytest.mark.parametrize("ends", [b"\n", b"\r\n", b"\r"])
def test_21_encodings_line_ends_and_capitals_make_no_difference_to_layers(page, ends):
    document, space = new(version="R2000")
    plate(document, space)
    space.add_circle((70, 30), 5, dxfattribs={"layer": "Schlitz"})
    data = as_bytes(document).replace(b"ANSI_1252", page.encode()).replace(b"\r\n", b"\n").replace(b"\n", ends)
    found = looked(data, rules=(RolePattern(role=Role.IGNORE, layer="SCHLITZ"),))
    assert labels(found) == ["outline 100 x 60", "hole 1 D12"]


def test_22_islands_are_cut_inner_parts_first_then_their_hole():
    def rings(document, space) -> None:
        for radius in (90, 75, 60, 45, 30, 15):
            space.add_circle((0, 0), radius)

    outcome = cut(document_of(rings))
    assert outcome.ok
    assert [f.depth for f in sorted(outcome.parts.features, key=lambda f: -(f.diameter or 0))] == [0, 1, 2, 3, 4, 5]
    diameters = {f.number: f.diameter for f in outcome.parts.features}
    order = [diameters[c.feature] for c in outcome.plan.cuts]
    assert order == sorted(order)


def test_23_a_thick_header_says_nothing_about_the_drawing():
    document, space = new()
    plate(document, space)
    for k in range(3000):
        document.layers.add(f"UNUSED LAYER {k}")
    data = as_bytes(document)
    assert len(data) > 300_000
    assert labels(looked(data)) == ["outline 100 x 60", "hole 1 D12"]


def test_lines_by_colour_can_be_slits():
    def coloured(document, space) -> None:
        plate(document, space)
        space.add_line((55, 15), (85, 15), dxfattribs={"color": 1})

    outcome = cut(document_of(coloured), roles=(RoleRule(role="slit", color="red"),))
    assert [c.kind for c in outcome.plan.cuts].count("slit") == 1
