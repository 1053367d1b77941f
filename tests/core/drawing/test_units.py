from __future__ import annotations

import pytest

from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.drawing.settings import ReadSettings
from kerfproof.drawing.units import INSUNITS, header_units, in_both
from support.drawings.drawings import as_bytes, drawn, new, rules


# Millimetres per unit by the value of $INSUNITS, from the DXF reference's list of names and the SI brochure.
@pytest.mark.parametrize(
    ("code", "mm"),
    [
        (1, 25.4), (2, 304.8), (3, 1_609_344), (4, 1), (5, 10), (6, 1_000), (7, 1e6), (8, 2.54e-5), (9, 0.0254),
        (10, 914.4), (11, 1e-7), (12, 1e-6), (13, 1e-3), (14, 100), (15, 1e4), (16, 1e5), (17, 1e12),
        (18, 1.495978707e14), (19, 9.4607304725808e18), (20, 3.0856775814913673e19), (21, 304.800609601219),
        (22, 25.4000508001016), (23, 914.401828803658), (24, 1_609_347.21869444),
    ],
)  # fmt: skip
def test_each_unit_of_the_header_has_its_millimetres(code: int, mm: float) -> None:
    assert header_units(code).mm_per_unit == pytest.approx(mm, rel=1e-12)
    assert header_units(code).source == "header"
    assert len(INSUNITS) == 24


@pytest.mark.parametrize("code", [None, 0, 25, -1])
def test_no_unit_and_numbers_that_are_none_stay_unknown(code: int | None) -> None:
    assert header_units(code).mm_per_unit is None


def _square(units: int, side: float, *holes: float, measurement: int | None = None, **settings: float) -> Drawing:
    document, space = new(units)
    document.header["$MEASUREMENT"] = measurement if measurement is not None else int(units not in (1, 2, 3))
    space.add_lwpolyline([(0, 0), (side, 0), (side, side), (0, side)], close=True)
    for k, diameter in enumerate(holes):
        space.add_circle((side / 2 + k, side / 2), diameter / 2)
    return read_dxf(as_bytes(document), "square.dxf", ReadSettings(**settings))  # type: ignore[arg-type]


def test_a_drawing_in_inches_comes_out_in_mm() -> None:
    drawing = _square(1, 4, 0.25)
    assert drawing.bounds() == pytest.approx((0, 0, 101.6, 101.6))
    assert drawing.units.mm_per_unit == 25.4
    assert rules(drawing) == []


def test_a_drawing_without_unit_stays_as_drawn_and_asks_with_both_sizes() -> None:
    drawing = _square(0, 100)
    assert drawing.units.mm_per_unit is None
    assert drawing.bounds() == (0, 0, 100, 100)
    (finding,) = [f for f in drawing.findings if f.rule == "units-unknown"]
    assert finding.severity == "error"
    assert "100.0 x 100.0 mm (3.94 x 3.94 in) in mm" in finding.message
    assert "2540.0 x 2540.0 mm (100.00 x 100.00 in) in inches" in finding.message


def test_a_drawing_without_header_has_no_unit() -> None:
    document, space = new(4)
    space.add_line((0, 0), (5, 0))
    text = as_bytes(document)
    assert read_dxf(text.replace(b"$INSUNITS", b"$XNSUNITS"), "x.dxf").units.source == "unknown"


@pytest.mark.parametrize(
    ("holes", "guess"),
    [((3.2, 5.5), "mm"), ((0.125, 0.25), "inch"), ((0.201, 0.265, 0.325), "inch"), ((0.22, 0.33), "cm"), ((1.0,), "")],
)
def test_without_a_unit_the_hole_sizes_give_a_hint(holes: tuple[float, ...], guess: str) -> None:
    (unknown,) = [f for f in _square(0, 12, *holes).findings if f.rule == "units-unknown"]
    assert unknown.message.endswith(f"; the hole sizes look like {guess}." if guess else "in inches.")


def test_a_given_unit_overrules_the_file_and_the_note_says_so() -> None:
    drawing = _square(1, 100, mm_per_unit=1.0)
    assert drawing.bounds() == (0, 0, 100, 100)
    assert (drawing.units.name, drawing.units.source) == ("mm", "given")
    assert rules(drawing) == ["units-given"]
    (given,) = drawing.findings
    assert given.message == (
        "The file says inch, which makes it 2540.0 x 2540.0 mm (100.00 x 100.00 in). "
        "It was read in mm as asked: 100.0 x 100.0 mm (3.94 x 3.94 in)."
    )
    assert rules(_square(0, 100, mm_per_unit=10.0)) == []


@pytest.mark.parametrize(("units", "measurement", "said"), [(4, 0, True), (1, 1, True), (4, 1, False), (1, 0, False)])
def test_a_contradiction_between_the_two_header_variables_is_told(units: int, measurement: int, said: bool) -> None:
    assert ("units-contradict" in rules(_square(units, 20, measurement=measurement))) == said


@pytest.mark.parametrize(
    ("units", "side", "holes", "said"),
    [
        (1, 70, (), True),  # 1.78 m
        (1, 41, (3.5, 5.0, 10.5), True),  # hole sizes of a metric drawing
        (1, 24, (0.22,), False),
        (1, 14, (0.125, 0.1495, 0.257), False),
        (4, 120, (3.2, 5.5), False),
        (4, 14, (0.125, 0.25), True),
        (4, 12, (0.32, 0.55), True),  # hole sizes of a drawing in cm
        (4, 3, (), True),
        (6, 245, (), True),
        (5, 30, (0.5, 1.2), False),
    ],
)
def test_a_size_that_cries_for_another_unit_is_a_warning(
    units: int, side: float, holes: tuple[float, ...], said: bool
) -> None:
    drawing = _square(units, side, *holes)
    assert ("units-doubtful" in rules(drawing)) == said
    for finding in drawing.findings:
        if finding.rule == "units-doubtful":
            mm = side * INSUNITS[units][1]
            assert in_both(mm, mm) in finding.message


def test_a_size_is_told_in_both_units() -> None:
    assert in_both(254, 50.8) == "254.0 x 50.8 mm (10.00 x 2.00 in)"


def test_points_and_arcs_count_for_the_bounds_of_a_drawing() -> None:
    drawing = drawn(lambda _, space: (space.add_point((-5, 2)), space.add_circle((10, 0), 3)))
    assert drawing.bounds() == (-5, -3, 13, 3)
    assert drawn(lambda _, space: space.add_text("only")).bounds() is None
