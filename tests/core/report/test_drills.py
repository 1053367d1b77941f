from __future__ import annotations

from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import pytest

from kerfproof.job.job import SmallHoles
from kerfproof.outcome import Outcome
from kerfproof.report.picture.picture import compose
from kerfproof.report.picture.svg import draw
from support.shop import shop

SVG = "{http://www.w3.org/2000/svg}"
Box = tuple[float, float, float, float]


def drawn(outcome: Outcome, *, dark: bool = False) -> str:
    return draw(compose(outcome), dark=dark)


def labels(holes: list[tuple[float, float, float]]) -> tuple[dict[str, list[Box]], str]:
    """Return the boxes of the drill labels of a plate of 200 x 80 by their words, and all words of the picture."""

    def draw(space: Any) -> None:
        space.add_lwpolyline([(0, 0), (200, 0), (200, 80), (0, 80)], close=True)
        for x, y, diameter in holes:
            space.add_circle((x, y), diameter / 2)

    root = ElementTree.fromstring(drawn(shop.cut(shop.dxf(draw), small_holes=SmallHoles.DRILL)))
    found: dict[str, list[Box]] = {}
    words = [e for e in root.iter(f"{SVG}text") if e.text]
    for e in words:
        if "drill " in (e.text or "") and e.get("text-anchor") == "middle":
            size, x, y = (float(e.get(key, "0")) for key in ("font-size", "x", "y"))
            half = 0.32 * size * len(e.text or "")
            found.setdefault(e.text or "", []).append((x - half, y - 0.8 * size, x + half, y + 0.2 * size))
    return found, " ".join(e.text or "" for e in words)


def test_a_few_holes_are_labelled_one_by_one_beside_them() -> None:
    found, words = labels([(50.0, 40.0, 3.0), (100.0, 40.0, 3.0), (150.0, 40.0, 4.0)])
    assert {text: len(boxes) for text, boxes in found.items()} == {"drill 3 mm": 2, "drill 4 mm": 1}
    assert "2 × 3 mm, 1 × 4 mm" in words


@pytest.mark.parametrize("apart", [5.0, 8.0, 20.0])
def test_of_many_alike_one_label_tells_the_number_and_no_two_overlap(apart: float) -> None:
    rows = [(20.0 + apart * i, 20.0 + apart * j, 2.5 if (i + j) % 3 else 3.5) for i in range(8) for j in range(3)]
    pair = [(178.0, 30.0, 4.0), (182.5, 30.0, 4.5)]
    found, words = labels([*rows, *pair])
    thin = sum(d == 2.5 for _, _, d in rows)
    assert f"{thin} × 2.5 mm" in words
    assert {text: len(boxes) for text, boxes in found.items()} == {
        f"{thin} × drill 2.5 mm": 1, f"{len(rows) - thin} × drill 3.5 mm": 1, "drill 4 mm": 1, "drill 4.5 mm": 1,
    }  # fmt: skip
    for a, b in combinations([box for boxes in found.values() for box in boxes], 2):
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1], (a, b)


def test_a_label_that_has_no_room_anywhere_is_left_to_the_margin() -> None:
    grid = [(6.0 + 4.0 * i, 6.0 + 4.0 * j, 2.5) for i in range(48) for j in range(18)]
    found, words = labels(grid)
    assert found == {}
    assert f"{len(grid)} × 2.5 mm" in words
