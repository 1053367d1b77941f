"""Clipped block references, and the look that blocks and layers hand down."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from ezdxf.document import Drawing as Document
from ezdxf.layouts.layout import Modelspace
from ezdxf.xclip import XClip

from kerfproof.drawing.drawing import Drawing
from kerfproof.errors import Severity
from support.drawings.drawings import drawn, rules


def _clipped(boundary: Sequence[tuple[float, float]], **placed: float) -> Drawing:
    """Return a block with a circle round (0, 0), one round (20, 0) and a point, clipped in block coordinates."""

    def draw(document: Document, space: Modelspace) -> None:
        block = document.blocks.new("B")
        block.add_circle((0, 0), 3)
        block.add_circle((20, 0), 3)
        block.add_point((20, 5))
        insert = space.add_blockref("B", (100, 50), dxfattribs=placed)
        XClip(insert).set_block_clipping_path(boundary)

    return drawn(draw)


@pytest.mark.parametrize("placed", [{}, {"rotation": 90}, {"xscale": -1, "yscale": 1}, {"xscale": 2, "yscale": 2}])
def test_what_a_clipping_boundary_hides_is_left_out_and_listed(placed: dict[str, float]) -> None:
    drawing = _clipped([(-5, -5), (5, 5)], **placed)
    assert [e.kind for e in drawing.entities] == ["CIRCLE"]
    assert drawing.entities[0].path is not None
    x0, y0, x1, y1 = drawing.entities[0].path.bounds()
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((100, 50))
    assert [s.reason for s in drawing.skipped] == ["the clipping boundary of its block hides it"] * 2
    assert drawing.entity_count == 3


def test_a_boundary_that_runs_through_a_curve_is_an_error() -> None:
    drawing = _clipped([(-1, -5), (5, -5), (5, 5), (-1, 5)])
    broken = [f for f in drawing.findings if f.rule == "entity-broken"]
    assert [f.severity for f in broken] == [Severity.ERROR]
    assert "boundary of its block runs through it" in broken[0].message
    assert not drawing.entities


def test_a_boundary_that_is_switched_off_clips_nothing() -> None:
    def draw(document: Document, space: Modelspace) -> None:
        document.blocks.new("B").add_circle((0, 0), 3)
        clip = XClip(space.add_blockref("B", (0, 0)))
        clip.set_block_clipping_path([(10, 10), (20, 20)])
        clip.disable_clipping()

    assert len(drawn(draw).entities) == 1


def test_colour_and_line_type_come_from_layer_or_block_reference_where_they_are_left_to_them() -> None:
    def draw(document: Document, space: Modelspace) -> None:
        document.linetypes.add("DASHED", [0.75, 0.5, -0.25])
        document.layers.add("RED", color=1, linetype="DASHED")
        block = document.blocks.new("B")
        block.add_circle((0, 0), 3, dxfattribs={"color": 0, "linetype": "BYBLOCK"})
        block.add_circle((0, 0), 4, dxfattribs={"layer": "RED"})
        block.add_circle((0, 0), 5)  # on layer 0: takes the layer of the reference
        space.add_blockref("B", (0, 0), dxfattribs={"layer": "RED", "color": 5, "linetype": "CONTINUOUS"})
        space.add_circle((0, 0), 6, dxfattribs={"layer": "RED", "color": 3})
        space.add_circle((0, 0), 7, dxfattribs={"true_color": 0x00FF80})

    drawing = drawn(draw)
    assert [(e.color, e.linetype.upper(), e.rgb) for e in drawing.entities] == [
        (5, "CONTINUOUS", ""),
        (1, "DASHED", ""),
        (1, "DASHED", ""),
        (3, "DASHED", ""),
        (7, "CONTINUOUS", "#00ff80"),
    ]
    assert rules(drawing) == []
