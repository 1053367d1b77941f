from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.layouts.layout import Modelspace

from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.drawing.dxf.walk import readable
from kerfproof.errors import KerfproofError
from support.drawings.drawings import as_bytes, drawn, new, rules


def _placed(block_base: tuple[float, float] = (0, 0), at: tuple[float, ...] = (0, 0), **attribs: Any) -> Drawing:
    """Return a block with a line, an arc and a circle, inserted once."""

    def draw(document: Document, space: Modelspace) -> None:
        block = document.blocks.new("B", base_point=block_base)
        block.add_line((1, 0), (5, 0))
        block.add_arc((0, 0), 2, 0, 90)
        block.add_circle((3, 1), 1)
        space.add_blockref("B", at, dxfattribs=attribs)

    return drawn(draw)


def _ends(drawing: Drawing) -> list[list[float]]:
    return [
        [round(float(x), 6) + 0.0 for x in (*e.path.start, *e.path.end)]
        for e in drawing.entities
        if e.path is not None and e.kind != "CIRCLE"
    ]


def test_a_reference_subtracts_the_base_point_then_scales_turns_and_moves() -> None:
    drawing = _placed((1, 1), (10, 20), xscale=2, yscale=2, rotation=90)
    # (1, 0) - (1, 1) = (0, -1), times 2 = (0, -2), turned by 90 degrees = (2, 0), moved = (12, 20).
    assert _ends(drawing) == [[12, 20, 12, 28], [12, 22, 8, 18]]
    assert drawing.entities[2].path is not None
    assert drawing.entities[2].path.bounds() == pytest.approx((8, 22, 12, 26))


def test_a_mirrored_reference_flips_the_arc() -> None:
    drawing = _placed(xscale=-1)
    assert _ends(drawing) == [[-1, 0, -5, 0], [-2, 0, 0, 2]]
    arc = drawing.entities[1].path
    assert arc is not None
    assert arc.vertices[0, 2] == pytest.approx(-math.tan(math.pi / 8))


def test_a_reference_of_minus_z_mirrors_its_place_and_its_content() -> None:
    assert _ends(_placed(at=(10, 5), extrusion=(0, 0, -1))) == [[-11, 5, -15, 5], [-12, 5, -10, 7]]


def test_a_z_scale_of_zero_changes_nothing() -> None:
    assert _ends(_placed(zscale=0, xscale=3, yscale=3)) == _ends(_placed(xscale=3, yscale=3))


def test_unequal_scale_makes_ellipses_of_circles_and_arcs() -> None:
    drawing = _placed(xscale=4, yscale=2)
    circle = drawing.entities[2]
    assert circle.path is not None
    assert circle.path.bounds() == pytest.approx((8, 0, 16, 4), abs=0.005)
    assert circle.path.area() == pytest.approx(math.pi * 4 * 2, abs=0.1)
    assert circle.samples is not None
    x, y = (circle.samples - [12, 2]).T
    assert np.hypot(x / 4, y / 2) == pytest.approx(1, abs=1e-9)
    assert 0 < circle.fit_error <= 0.005
    assert _ends(drawing)[1] == [8, 0, 0, 4]


def test_unequal_scale_bends_the_bulges_of_a_polyline_and_keeps_its_lines() -> None:
    def draw(document: Document, space: Modelspace) -> None:
        block = document.blocks.new("B")
        block.add_lwpolyline([(0, 0, 0), (10, 0, 1), (10, 10, 0), (0, 10, 1)], format="xyb", close=True)
        space.add_blockref("B", (0, 0), dxfattribs={"xscale": 2, "yscale": -1})

    path = drawn(draw).entities[0].path
    assert path is not None
    assert path.closed
    # A rectangle of 10 x 10 and two half circles of radius 5, stretched by 2 and mirrored.
    assert path.area() == pytest.approx(-2 * (100 + 25 * math.pi), abs=0.5)
    assert path.bounds() == pytest.approx((-10, -10, 30, 0), abs=0.005)


def test_the_spacing_of_an_array_turns_with_it_and_is_not_scaled() -> None:
    drawing = _placed(
        at=(100, 0), column_count=2, row_count=3, column_spacing=10, row_spacing=20, rotation=90, xscale=0.5, yscale=0.5
    )
    assert drawing.entity_count == len(drawing.entities) == 18
    lines = [tuple(np.round(e.path.start, 6)) for e in drawing.entities if e.kind == "LINE" and e.path is not None]
    # Columns go up by 10, rows to the left by 20; the line starts half a unit up.
    assert sorted(lines) == sorted((100 - 20 * r, 10 * c + 0.5) for r in range(3) for c in range(2))


def test_nested_references_multiply_and_show_all_handles() -> None:
    def draw(document: Document, space: Modelspace) -> None:
        document.blocks.new("INNER").add_line((1, 0), (2, 0))
        outer = document.blocks.new("OUTER")
        outer.add_blockref("INNER", (5, 0), dxfattribs={"rotation": 90, "zscale": 0})
        outer.add_blockref("INNER", (0, 0), dxfattribs={"yscale": -1})
        space.add_blockref("OUTER", (100, 0), dxfattribs={"xscale": -2, "yscale": 2, "zscale": 2})

    drawing = drawn(draw)
    # (1, 0) turned = (0, 1), + (5, 0) = (5, 1), times (-2, 2) = (-10, 2), + (100, 0) = (90, 2).
    assert _ends(drawing) == [[90, 2, 90, 4], [98, 0, 96, 0]]
    assert [len(e.handle.split("/")) for e in drawing.entities] == [3, 3]
    assert len({e.handle for e in drawing.entities}) == 2


def test_a_reference_to_nothing_to_itself_or_of_no_place_is_an_error_and_listed() -> None:
    document, space = new()
    space.add_blockref("GONE", (0, 0))
    loop = document.blocks.new("LOOP")
    loop.add_line((0, 0), (1, 0))
    loop.add_blockref("LOOP", (1, 1))
    space.add_blockref("LOOP", (0, 0))
    document.blocks.new("FLAT").add_line((0, 0), (1, 0))
    space.add_blockref("FLAT", (float("nan"), 0))
    drawing = read_dxf(as_bytes(document), "refs.dxf")
    reasons = sorted(s.reason for s in drawing.skipped)
    assert reasons == [
        "a number of its block reference is not finite, or its extrusion has no direction",
        "its block 'GONE' is missing",
        "its block 'LOOP' holds itself",
    ]
    assert rules(drawing).count("entity-broken") == 3
    assert (drawing.entity_count, len(drawing.entities)) == (4, 1)


def test_arrays_of_arrays_beyond_all_measure_are_refused() -> None:
    document, space = new()
    document.blocks.new("B0").add_line((0, 0), (1, 0))
    for k in range(6):
        document.blocks.new(f"B{k + 1}").add_blockref(
            f"B{k}", (0, 0), dxfattribs={"column_count": 100, "column_spacing": 1}
        )
    space.add_blockref("B6", (0, 0))
    with pytest.raises(KerfproofError, match="unfold to 1000000000000 entities"):
        read_dxf(as_bytes(document), "bomb.dxf")


def test_layers_off_and_frozen_and_invisible_entities_are_left_out() -> None:
    document, space = new()
    document.layers.add("OFF").off()
    document.layers.add("ICE").freeze()
    block = document.blocks.new("B")
    block.add_circle((0, 0), 1, dxfattribs={"layer": "0"})
    block.add_circle((0, 0), 2, dxfattribs={"layer": "CUT"})
    space.add_line((0, 0), (1, 0), dxfattribs={"layer": "off"})
    space.add_line((0, 0), (2, 0), dxfattribs={"layer": "ICE"})
    space.add_line((0, 0), (3, 0), dxfattribs={"invisible": 1})
    space.add_blockref("B", (10, 0), dxfattribs={"layer": "OFF"})
    space.add_blockref("B", (20, 0), dxfattribs={"layer": "ICE"})
    space.add_blockref("B", (30, 0), dxfattribs={"layer": "SHOWN"})
    drawing = read_dxf(as_bytes(document), "layers.dxf")
    # A reference on a layer that is off hides only what is drawn on layer 0; on a frozen one it hides all.
    assert [(e.layer, e.path.bounds()[2]) for e in drawing.entities if e.path is not None] == [
        ("CUT", 12), ("SHOWN", 31), ("CUT", 32),
    ]  # fmt: skip
    assert drawing.entity_count == 9
    assert sum("is off" in s.reason for s in drawing.skipped) == 2
    assert sum("is frozen" in s.reason for s in drawing.skipped) == 3
    assert sum("invisible" in s.reason for s in drawing.skipped) == 1


def test_names_can_be_written_in_any_encoding() -> None:
    assert readable("Löcher") == "Löcher"
    assert readable("bad\udc80") == "bad?"
