"""Page frames and title blocks: left out when certain, asked about when not, never cut in silence."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.drawing.drawing import Drawing, Skipped
from kerfproof.errors import Severity
from kerfproof.geom.path import Path
from kerfproof.parts.build_parts import build_parts
from kerfproof.parts.classify.choices import PageFrames
from kerfproof.parts.join_contours import JoinSettings, join_contours
from kerfproof.parts.model.contour import Role
from support.referees.strategies import drawing_of

Line = Path.polyline
A4 = Path.rectangle(0, 0, 297, 210)
BRACKET = (Path.rectangle(60, 60, 180, 140), Path.circle((120, 100), 15))


def looked(drawing: Drawing, **settings: object):
    got = join_contours(drawing, JoinSettings(**settings))
    return got, build_parts(got.closed, got.open, "p").parts


def told(contours) -> list[tuple[str, Severity]]:
    return [(f.rule, f.severity) for f in contours.findings if f.rule.startswith("page")]


def texted(drawing: Drawing) -> Drawing:
    return replace(drawing, skipped=(Skipped("TEXT", "0", "F0", "text is not cut"),))


def test_a_sheet_of_paper_round_a_part_with_a_hole_is_left_out_with_a_note():
    got, parts = looked(drawing_of(A4, *BRACKET))
    assert told(got) == [("page-frame", Severity.NOTE)]
    assert [p.outline.label for p in parts] == ["outline 120 x 80"]
    assert [h.label for h in parts[0].holes] == ["hole 1 D30"]
    note = next(f for f in got.findings if f.rule == "page-frame")
    assert "A4" in note.message and "297.0 x 210.0 mm" in note.message and "--page cut" in note.advice


@pytest.mark.parametrize("scale", [1.0, 25.4])
def test_frames_of_lines_with_a_border_and_a_title_block_go_with_all_that_hangs_on_them(scale):
    letter = (279.4, 215.9)
    w, h = letter
    page = [Line([(0, 0), (w, 0)]), Line([(w, 0), (w, h)]), Line([(w, h), (0, h)]), Line([(0, h), (0, 0)])]
    border = Path.rectangle(10, 10, w - 10, h - 10)
    title = [
        Line([(w - 110, 10), (w - 110, 40)]), Line([(w - 110, 40), (w - 10, 40)]), Line([(w - 110, 25), (w - 10, 25)]),
        Line([(w - 60, 25), (w - 60, 40)]), Path.rectangle(w - 60, 10, w - 10, 25),
    ]  # fmt: skip
    got, parts = looked(texted(drawing_of(*page, border, *title, *BRACKET)))
    assert told(got) == [("page-frame", Severity.NOTE)]
    assert len(parts) == 1 and len(parts[0].holes) == 1
    assert not got.open and not got.refused


def test_a_plate_of_the_size_of_a_sheet_with_plain_holes_is_cut_and_the_doubt_is_told():
    got, parts = looked(drawing_of(A4, Path.circle((50, 50), 5), Path.circle((90, 50), 5)))
    assert told(got) == [("page-frame-doubt", Severity.WARNING)]
    assert len(parts) == 1 and len(parts[0].holes) == 2


def test_with_text_beside_it_nobody_can_tell_so_it_is_an_error_that_names_both_ways_out():
    drawing = texted(drawing_of(A4, Path.rectangle(50, 50, 90, 90), Path.rectangle(120, 50, 160, 90)))
    got, _ = looked(drawing)
    assert told(got) == [("page-frame-doubt", Severity.ERROR)]
    doubt = next(f for f in got.findings if f.rule.startswith("page"))
    assert "--page ignore" in doubt.advice and "--page cut" in doubt.advice
    _, parts = looked(drawing, page=PageFrames.IGNORE)
    assert len(parts) == 2
    got, parts = looked(drawing, page=PageFrames.CUT)
    assert len(parts) == 1 and len(parts[0].holes) == 2 and not told(got)


def test_a_frame_of_any_size_on_its_own_layer_is_asked_about_and_a_usual_name_is_enough_to_ignore_it():
    frame = replace(drawing_of(Path.rectangle(0, 0, 333, 222)).entities[0], layer="SHEET 1")
    own, _ = looked(drawing_of(frame, *BRACKET))
    assert told(own) == [("page-frame-doubt", Severity.ERROR)]
    outline, parts = looked(drawing_of(replace(frame, layer="OUTLINE"), *BRACKET))
    assert told(outline) == [("page-frame-doubt", Severity.WARNING)] and len(parts) == 2
    named, parts = looked(drawing_of(replace(frame, layer="Rahmen"), *BRACKET))
    assert not told(named) and [p.outline.label for p in parts] == ["outline 120 x 80"]


def test_a_plate_on_its_own_layer_round_parts_without_holes_is_asked_about_but_windows_and_frames_are_not():
    plate = replace(drawing_of(Path.rectangle(0, 0, 333, 222)).entities[0], layer="STOCK")
    blanks = [Path.rectangle(x, 20, x + 130, 200) for x in (20, 180)]
    asked, _ = looked(drawing_of(plate, *blanks))
    assert told(asked) == [("page-frame-doubt", Severity.ERROR)]
    _, parts = looked(drawing_of(plate, *blanks), page=PageFrames.IGNORE)
    assert [p.outline.label for p in parts] == ["outline 130 x 180"] * 2
    small = [Path.rectangle(x, 20, x + 40, 60) for x in (20, 180)]
    assert told(looked(drawing_of(plate, *small))[0]) == [("page-frame-doubt", Severity.WARNING)]
    windows = [replace(e, layer="CUTOUTS") for e in drawing_of(*blanks).entities]
    bores = [Path.circle((x, 100), 60) for x in (80, 250)]
    one_layer = Path.rectangle(0, 0, 333, 222)
    for shapes in ([plate, *windows], [plate, blanks[0]], [plate, *bores], [one_layer, *blanks]):
        assert not told(looked(drawing_of(*shapes))[0])
    assert not told(looked(drawing_of(replace(plate, layer="OUTLINE"), *blanks))[0])


def test_a_rule_of_the_person_for_the_layer_of_the_frame_wins():
    frame = replace(drawing_of(A4).entities[0], layer="PLATE")
    _, parts = looked(drawing_of(frame, *BRACKET), rules=(("PLATE", Role.CUT),))
    assert len(parts) == 2


@pytest.mark.parametrize("outline", [Path.rectangle(0, 0, 300, 210), Path.circle((150, 100), 160)])
def test_an_ordinary_plate_with_a_hole_is_no_page(outline):
    got, parts = looked(drawing_of(outline, Path.circle((120, 100), 15)))
    assert not told(got) and len(parts) == 1


def test_a_rounded_plate_of_the_size_of_a_sheet_is_no_page_frame():
    b = 0.41421356
    corners = [(5, 0, 0), (292, 0, b), (297, 5, 0), (297, 205, b), (292, 210, 0), (5, 210, b), (0, 205, 0), (0, 5, b)]
    got, parts = looked(drawing_of(Path(corners, True), *BRACKET))
    assert not told(got) and len(parts) == 2


def test_a_part_that_nearly_fills_the_page_is_not_taken_for_its_border():
    filling = Path.rectangle(15, 15, 282, 195)
    got, _ = looked(drawing_of(A4, filling, Path.circle((120, 100), 15)))
    assert told(got) == [("page-frame-doubt", Severity.ERROR)]
    got, parts = looked(drawing_of(A4, filling, Path.circle((120, 100), 15)), page=PageFrames.IGNORE)
    assert [p.outline.label for p in parts] == ["outline 267 x 180"] and len(parts[0].holes) == 1


def test_parts_with_holes_in_a_large_rectangle_are_not_turned_inside_out_unasked():
    stock = Path.rectangle(0, 0, 600, 400)
    parts = [p.moved(x, y) for x in (0, 200, 400) for y in (0, 200) for p in BRACKET]
    got, _ = looked(drawing_of(stock, *parts))
    (doubt,) = [f for f in got.findings if f.rule == "page-frame-doubt"]
    assert doubt.severity is Severity.ERROR and "--page ignore or --page cut" in doubt.advice
    got, left = looked(drawing_of(stock, *parts), page=PageFrames.IGNORE)
    assert len(left) == 6 and all(len(part.holes) == 1 for part in left)
    one, _ = looked(drawing_of(stock, *BRACKET, Path.circle((80, 80), 5)))
    assert told(one) == [("page-frame-doubt", Severity.WARNING)], "one part may be a window with two discs in it"
    ring, _ = looked(drawing_of(stock, Path.circle((300, 200), 90), Path.circle((300, 200), 70)))
    assert not told(ring), "a disc that lies in the hole of a plate is nothing unusual"
    bores = [Path.circle((x, 200), r) for x in (100, 300, 500) for r in (5, 9)]
    assert not told(looked(drawing_of(stock, *bores))[0]), "countersinks are no parts with holes"
