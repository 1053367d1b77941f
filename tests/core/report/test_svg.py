from __future__ import annotations

import re
import struct
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Path
from kerfproof.job.placing import CopyAt
from kerfproof.outcome import Outcome
from kerfproof.report.picture.colors import DARK, LIGHT
from kerfproof.report.picture.flags import MOST_FLAGS, letters, letters_of
from kerfproof.report.picture.picture import ROLES, compose
from kerfproof.report.picture.png import png
from kerfproof.report.picture.rulers import step_for, ticks
from kerfproof.report.picture.svg import draw, path_data
from support.shop import outcomes

SVG = "{http://www.w3.org/2000/svg}"


def drawn(outcome: Outcome, *, dark: bool = False) -> str:
    return draw(compose(outcome), dark=dark)


def parsed(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)


def groups(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [e for e in root.iter() if name in e.get("class", "").split() or e.get("id") == name]


def words(root: ElementTree.Element) -> str:
    return " ".join(e.text or "" for e in root.iter(f"{SVG}text"))


def test_the_picture_is_well_formed_and_has_all_that_an_eye_needs() -> None:
    root = parsed(drawn(outcomes.outcome(outcomes.WARNING, outcomes.ERROR)))
    for name in ("verdict", "plate", "sheet", "rulers", "zero", "direction", "pierces", "facts", "legend", "findings"):
        assert len(groups(root, name)) == 1, name
    for role in ("part", "kerf", "lead_in", "lead_out", "travel", "drill"):
        assert groups(root, role), role
    assert len(groups(root, "pierce")) == 2
    assert len(groups(root, "callout")) == 2
    text = words(root)
    for part in ("NOT PROVEN", "plate.dxf", "140 × 90 mm", "5.512 × 3.543 in", "Bench table", "drill 10 mm", "inch"):
        assert part in text, part


def test_without_a_plan_the_parts_are_shown_and_no_pierce() -> None:
    root = parsed(drawn(outcomes.outcome(planned=False)))
    assert groups(root, "part")
    assert not groups(root, "pierce")
    assert not groups(root, "kerf")


def test_the_kerf_is_drawn_at_its_true_width_in_plate_millimetres() -> None:
    root = parsed(drawn(outcomes.outcome()))
    (sheet,) = groups(root, "sheet")
    (kerf,) = groups(root, "kerf")
    assert float(kerf.get("stroke-width", "0")) == 1.5
    found = re.search(r"scale\(([\d.]+) (-[\d.]+)\)", sheet.get("transform", ""))
    assert found is not None
    assert float(found[1]) == -float(found[2])
    assert kerf in list(sheet)


def test_the_arcs_of_a_path_bow_to_the_side_that_its_bulge_says() -> None:
    assert (
        path_data(Path.circle((5, 5), 2))
        == "M7.0000 5.0000A2.0000 2.0000 0 0 1 3.0000 5.0000A2.0000 2.0000 0 0 1 7.0000 5.0000Z"
    )
    assert "0 0 0" in path_data(Path.circle((5, 5), 2).reversed())
    assert path_data(Path.polyline([(0, 0), (1, 2)])) == "M0.0000 0.0000L1.0000 2.0000"


def test_findings_without_a_place_are_told_and_those_with_one_get_a_flag() -> None:
    homeless = Finding("unit-unknown", Severity.NOTE, "Nobody knows <the> unit & size", "ask")
    root = parsed(drawn(outcomes.outcome(homeless, outcomes.ERROR)))
    assert len(groups(root, "callout")) == 1
    assert "Nobody knows <the> unit & size" in words(root)


def test_findings_of_the_drawing_are_moved_with_it_onto_the_plate() -> None:
    of_plate = Finding("gap", Severity.WARNING, "A gap", x=1.0, y=2.0)
    of_drawing = Finding("gap", Severity.WARNING, "A gap", x=1.0, y=2.0, drawing="part.dxf")
    assert compose(outcomes.outcome(of_plate)).callouts[0].at == (1.0, 2.0)
    assert compose(outcomes.outcome(of_drawing)).callouts[0].at == (11.0, 12.0)


def kinds(number: int, each: int) -> list[Finding]:
    return [
        Finding(f"rule-{kind}", Severity.WARNING, f"place {k}", x=10.0 + k, y=5.0 + 9 * kind, line=k + 1)
        for kind in range(number)
        for k in range(each)
    ]


def test_a_few_findings_are_told_one_by_one_and_of_many_the_alike_ones_share_a_flag() -> None:
    few = compose(outcomes.outcome(*kinds(2, 4)))
    assert [(c.letter, c.alike) for c in few.callouts] == [(letter, 0) for letter in "ABCDEFGH"]
    many = outcomes.outcome(*kinds(2, 50), outcomes.ERROR)
    shown = compose(many)
    assert [(c.letter, c.severity, c.alike, len(c.more)) for c in shown.callouts] == [
        ("A", "error", 0, 0), ("B", "warning", 49, 49), ("C", "warning", 49, 49),
    ]  # fmt: skip
    root = parsed(drawn(many))
    assert "50 warnings alike, the first: place 0 (line 1)" in words(root)
    assert len(groups(root, "callout")) == 3
    assert len(groups(root, "alike")) == 98


def test_a_finding_that_lies_nowhere_has_no_letter_that_would_be_looked_for_on_the_plate() -> None:
    nowhere = Finding("a-nowhere", Severity.ERROR, "of the whole program")
    made = outcomes.outcome(nowhere, *kinds(1, 2))
    assert [(c.letter, c.at is None) for c in compose(made).callouts] == [("", True), ("A", False), ("B", False)]
    assert [letters_of(made.findings)[id(f)] for f in made.findings] == ["", "A", "B"]
    assert "error: of the whole program" in words(parsed(drawn(made)))


def test_what_is_wrong_with_a_part_is_flagged_on_each_of_its_copies() -> None:
    name = outcomes.outcome().job.drawings[0].name
    of_drawing = Finding("open-chain", Severity.ERROR, "a chain does not close", x=1.0, y=2.0, drawing=name)
    copies = tuple(CopyAt(0, k + 1, shift, 3 * k, 3) for k, shift in enumerate([(10.0, 10.0), (200.0, 10.0)]))
    twice = replace(outcomes.outcome(of_drawing), copies=copies)
    assert compose(twice, brief=True).callouts[0].at == twice.place_of(of_drawing) == (11.0, 12.0)
    assert compose(twice, brief=True).callouts[0].more == ((201.0, 12.0),)
    assert compose(twice, brief=True).callouts[0].alike == 0, "it is one finding all the same"


def test_no_more_than_eight_flags_bury_the_part_and_the_rest_is_counted() -> None:
    shown = compose(outcomes.outcome(*kinds(11, 2)))
    assert len(shown.callouts) == MOST_FLAGS == 8
    assert shown.more_findings == 3 * 2
    assert "and 6 more in the report" in words(parsed(drawn(outcomes.outcome(*kinds(11, 2)))))


def test_every_text_lies_inside_the_picture() -> None:
    root = parsed(drawn(outcomes.outcome(outcomes.WARNING, outcomes.ERROR)))
    width, height = float(root.get("width", "0")), float(root.get("height", "0"))
    for e in root.iter(f"{SVG}text"):
        size, x, y = float(e.get("font-size", "0")), float(e.get("x", "0")), float(e.get("y", "0"))
        long = 0.62 * size * len(e.text or "")
        left = {"start": x, "middle": x - long / 2, "end": x - long}[e.get("text-anchor", "start")]
        assert left >= -4, e.text
        assert left + long <= width + 8, e.text
        assert size <= y <= height, e.text


def test_both_colour_tables_know_the_same_names_and_every_role() -> None:
    assert LIGHT.keys() == DARK.keys()
    assert set(ROLES) - {"hole"} <= set(LIGHT)
    assert drawn(outcomes.outcome()) != drawn(outcomes.outcome(), dark=True)


def test_letters_count_on_after_z() -> None:
    assert [letters(k) for k in (0, 25, 26, 27, 51, 52)] == ["A", "Z", "AA", "AB", "AZ", "BA"]


def test_ruler_marks_are_multiples_and_far_enough_apart() -> None:
    assert step_for((1, 2, 5, 10), 6.0) == 10
    assert step_for((1, 2, 5, 10), 100.0) == 1
    assert ticks(-3.0, 21.0, 10) == [0, 10, 20]


def test_the_png_has_the_size_of_the_svg_times_the_zoom() -> None:
    svg = drawn(outcomes.outcome())
    data = png(svg, zoom=0.5)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", data[16:24])
    root = parsed(svg)
    assert width == pytest.approx(float(root.get("width", "0")) / 2, abs=1)
    assert height == pytest.approx(float(root.get("height", "0")) / 2, abs=1)


def test_the_same_outcome_gives_the_same_bytes() -> None:
    assert drawn(outcomes.outcome(outcomes.ERROR)) == drawn(outcomes.outcome(outcomes.ERROR))
