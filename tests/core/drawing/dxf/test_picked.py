from __future__ import annotations

import pytest

from kerfproof.drawing.drawing import Drawing
from kerfproof.errors import Finding, Severity
from support.drawings.drawings import drawn


def board(document, space) -> None:
    """Draw a plate of 100 x 60 mm with a hole on layer TOP and a disc far right on layer SIDE."""
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True, dxfattribs={"layer": "TOP"})
    space.add_circle((30, 30), 6, dxfattribs={"layer": "TOP"})
    space.add_circle((1000, 30), 20, dxfattribs={"layer": "SIDE"})


def told(drawing: Drawing, rule: str) -> Finding:
    (finding,) = [f for f in drawing.findings if f.rule == rule]
    return finding


def test_layers_of_which_none_is_there_are_answered_with_those_that_are():
    found = told(drawn(board, layers=("CUT",)), "nothing-to-cut")
    assert "no curve lies on the chosen layers; its layers are SIDE, TOP" in found.message
    assert "choose layers" in found.advice


def test_one_layer_of_several_that_is_not_there_is_a_warning():
    drawing = drawn(board, layers=("top", "holse"))
    missing = told(drawing, "layer-missing")
    assert missing.severity is Severity.WARNING and "holse" in missing.message and "SIDE, TOP" in missing.message
    assert len(drawing.entities) == 2


def test_a_window_beside_the_drawing_is_answered_with_where_the_drawing_lies():
    found = told(drawn(board, window=(2000, 2000, 3000, 3000)), "nothing-to-cut")
    assert "reaches from 0.00, 0.00 to 1020.00, 60.00 mm" in found.message
    assert "choose the window" in found.advice


@pytest.mark.parametrize(
    ("window", "severity"),
    [
        ((-10.0, -10.0, 90.0, 70.0), Severity.ERROR),  # cuts the plate off, whose hole would become a part
        ((960.0, 0.0, 1010.0, 60.0), Severity.WARNING),  # cuts the disc off, in which nothing lies
        ((-10.0, -10.0, 110.0, 70.0), None),
        ((20.0, 20.0, 40.0, 40.0), None),  # the hole alone, on purpose
    ],
)
def test_a_window_that_cuts_an_outline_off_does_not_make_parts_of_its_holes(window, severity):
    drawing = drawn(board, window=window)
    crossed = [f.severity for f in drawing.findings if f.rule == "window-crossed"]
    assert crossed == ([] if severity is None else [severity])
    assert drawing.entity_count == len(drawing.entities) + len(drawing.skipped) == 3
