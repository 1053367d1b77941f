"""Tolerance classes: printed cells of the tables, and what the geometry of a proof would allow."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from kerfproof.geom.path import Path
from kerfproof.report.data.limits_9013 import LIMITS, SIZES, THICKNESSES, allowed_class, class_line, limit
from support.shop.shop import cut, demo

# Class, thickness, size, plus or minus: single cells of the reprinted tables, read off by hand. A row holds its upper
# thickness, a column its lower size.
CELLS = [
    (1, 0.5, 2.9, 0.075), (1, 1.0, 3.0, 0.10), (1, 1.01, 100.0, 0.25), (1, 3.0, 34.9, 0.20), (1, 3.15, 35.0, 0.25),
    (1, 3.16, 35.0, 0.25), (1, 6.0, 124.9, 0.25), (1, 6.3, 125.0, 0.30), (1, 10.0, 2.9, None), (1, 10.0, 3.0, 0.25),
    (1, 12.0, 999.0, 0.55), (1, 12.0, 1000.0, 0.65), (1, 20.0, 7999.0, 2.80), (1, 32.0, 9.9, None),
    (1, 40.0, 2000.0, 2.5), (1, 150.0, 6000.0, 6.3), (2, 1.5, 2.0, 0.6), (2, 3.0, 100.0, 0.7), (2, 6.0, 200.0, 1.1),
    (2, 8.0, 8000.0 - 1, 2.0), (2, 12.0, 500.0, 2.3), (2, 20.0, 3000.0, 4.2),
]  # fmt: skip
OUTSIDE = [(1, 0.4, 100.0), (1, 151.0, 100.0), (1, 3.0, 8000.0), (2, 0.9, 100.0), (2, 20.1, 100.0)]


@pytest.mark.parametrize(("tolerance_class", "thickness", "size", "most"), CELLS)
def test_a_cell_is_as_printed(tolerance_class: int, thickness: float, size: float, most: float | None) -> None:
    assert limit(tolerance_class, thickness, size) == most


@pytest.mark.parametrize(("tolerance_class", "thickness", "size"), OUTSIDE)
def test_there_is_no_limit_outside_the_tables(tolerance_class: int, thickness: float, size: float) -> None:
    assert limit(tolerance_class, thickness, size) is None


def test_limits_never_shrink_with_size_or_thickness_and_class_1_is_the_narrower() -> None:
    thick = [(a + b) / 2 for a, b in itertools.pairwise(THICKNESSES) if a >= 1]
    for rows in (1, 2):
        by_thickness = [[limit(rows, t, size) for size in SIZES[:-1]] for t in thick]
        for line in [*by_thickness, *map(list, zip(*by_thickness, strict=True))]:
            known = [v for v in line if v is not None]
            assert known == sorted(known)
    for t in thick[: len(LIMITS[1]) - 1]:
        for size in SIZES[:-2]:  # beyond 6 m the reprint has class 2 below class 1 for thin plate
            one, two = limit(1, t, size), limit(2, t, size)
            assert (one is None) == (two is None) and (one is None or two is None or one < two)


def test_the_class_follows_from_twice_the_deviation_of_an_edge() -> None:
    plate = Path.rectangle(0, 0, 120, 100)  # 3 mm, 35 to 125: class 1 within 0.25, class 2 within 0.7
    assert [allowed_class(3.0, [plate], off) for off in (0.0, 0.125, 0.126, 0.35, 0.36)] == [1, 1, 2, 2, None]
    small = Path.circle((50, 50), 5)
    assert allowed_class(3.0, [plate, small], 0.125) == 1, "a hole of 10 mm is too short a cut to be judged"
    assert allowed_class(3.0, [small], 0.0) is None and allowed_class(3.0, [Path.rectangle(0, 0, 500, 100)], 0) is None


def test_the_line_of_a_proof_says_what_it_is_and_what_not() -> None:
    made = cut(demo("gusset"))
    assert made.proof is not None
    contours = [f.contour for f in made.parts.features]
    line = class_line(made.proof, contours, made.process)
    assert line == (
        "by the path alone class 1 for 1 part; what machine and arc add is not in it; "
        "size limits of the 2017 edition from a reprint, no claim of conformity"
    )
    part = replace(made.proof.parts[0], worst_leftover=0.3)
    assert "class 2 for 1 part" in class_line(replace(made.proof, parts=(part,)), contours, made.process)
    lost = replace(part, comes_free=False)
    assert "none or out of scope for 1 part" in class_line(replace(made.proof, parts=(lost,)), contours, made.process)
    assert class_line(replace(made.proof, parts=()), contours, made.process) == ""
