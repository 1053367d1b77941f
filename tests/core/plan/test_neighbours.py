from __future__ import annotations

import pytest

from kerfproof.errors import Severity
from kerfproof.geom.path import Path
from kerfproof.parts.build_parts import build_parts
from kerfproof.parts.model.contour import Contour
from kerfproof.plan.neighbors import closeness_findings
from support.shop.shop import cut, dxf

KERF = 1.2


def too_close(*paths: Path) -> list[tuple[float, float]]:
    parts = build_parts([Contour(path, (), "0") for path in paths], (), "made")
    found = closeness_findings(parts.features, KERF)
    assert all(f.rule == "too-close" and f.severity is Severity.ERROR for f in found)
    return [(f.x, f.y) for f in found]


@pytest.mark.parametrize(("gap", "said"), [(0.5, True), (1.19, True), (1.2, False), (3.0, False)])
def test_two_parts_less_than_a_kerf_apart_are_told_at_the_place_between_them(gap: float, said: bool) -> None:
    parts = Path.rectangle(0, 0, 100, 60), Path.rectangle(100 + gap, 0, 200, 60)
    assert too_close(*parts) == ([pytest.approx((100, 30))] if said else [])


def test_a_part_in_a_hole_hardly_smaller_is_told_and_webs_of_metal_are_not() -> None:
    plate = Path.rectangle(0, 0, 100, 60)
    assert len(too_close(plate, Path.circle((50, 30), 20), Path.circle((50, 30), 19.5))) == 1
    assert not too_close(plate, Path.circle((50, 30), 20), Path.circle((50, 30), 18))
    webs = [Path.circle((20, 30), 10), Path.circle((40.5, 30), 10), Path.circle((89.5, 30), 10)]
    assert not too_close(plate, *webs), "between holes, and between a hole and the outline, there is metal"


def test_the_cause_stands_before_what_the_proof_makes_of_it() -> None:
    def drawn(space) -> None:
        space.add_lwpolyline([(0, 0), (50, 0), (50, 60), (0, 60)], close=True)
        space.add_lwpolyline([(50.5, 0), (90, 0), (90, 60), (50.5, 60)], close=True)

    outcome = cut(dxf(drawn))
    errors = [f for f in outcome.findings if f.severity is Severity.ERROR]
    assert errors[0].rule == "too-close" and "0.50 mm apart" in errors[0].message
    assert not outcome.ok
