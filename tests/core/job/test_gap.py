from __future__ import annotations

from kerfproof.job.job import DrawingUse
from support.shop.shop import cut, dxf


def square(space) -> None:
    space.add_lwpolyline([(0, 0), (40, 0), (40, 40), (0, 40)], close=True)


def test_a_plate_of_6_mm_takes_nineteen_by_nine_squares_of_40_mm_and_all_are_proven():
    # Worked out by hand with a gap of 11.35 mm and a margin of 14.7 mm: 19 fit in 1000 mm, 9 in 500 mm.
    uses = (DrawingUse(name="part.dxf", count=171),)
    whole = cut(dxf(square), thickness=6.0, drawings=uses, plate=(1000.0, 500.0))
    assert whole.ok and len(whole.parts.parts) == 171
