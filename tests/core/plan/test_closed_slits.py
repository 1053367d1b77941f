from __future__ import annotations

from kerfproof.geom.path import Path
from kerfproof.job.job import RoleRule
from kerfproof.parts.build_parts import build_parts
from kerfproof.parts.model.contour import Contour, Role
from kerfproof.plan.order.closed_slits import within_rings
from support.shop.shop import cut, dxf

PLATE = Contour(Path.rectangle(0, 0, 200, 120), (), "0")


def slit(path: Path) -> Contour:
    return Contour(path, (), "0", Role.SLIT)


def test_what_lies_in_a_closed_slit_comes_before_it_and_open_or_crossing_slits_ask_for_nothing() -> None:
    hole = Contour(Path.circle((60, 60), 5), (), "0")
    rings = [slit(Path.circle((60, 60), radius)) for radius in (30, 20)]
    line = slit(Path.polyline([(50, 70), (70, 70)]))
    (part,) = build_parts([PLATE, hole, *rings], [line], "p").parts
    large, small, straight = (f.number for f in part.slits)
    (bore,) = (f.number for f in part.holes)
    assert set(within_rings(part)) == {
        (bore, large),
        (bore, small),
        (small, large),
        (straight, small),
        (straight, large),
    }
    (plain,) = build_parts([PLATE], [line], "p").parts
    assert not list(within_rings(plain))
    (crossing,) = build_parts([PLATE, *(slit(Path.circle((x, 60), 20)) for x in (60, 70))], [], "p").parts
    assert not list(within_rings(crossing)), "of the same size neither comes first"


def test_nested_closed_slits_are_cut_from_the_inside_out() -> None:
    def drawn(space) -> None:
        space.add_lwpolyline([(0, 0), (200, 0), (200, 120), (0, 120)], close=True)
        for radius in (45, 15, 30):
            space.add_circle((100, 60), radius, dxfattribs={"layer": "RINGS"})

    outcome = cut(dxf(drawn), roles=(RoleRule(role="slit", layer="RINGS"),))
    assert outcome.ok, [f.sentence() for f in outcome.findings]
    lengths = [c.contour.length() for c in outcome.plan.cuts if c.kind == "slit"]
    assert lengths == sorted(lengths) and len(lengths) == 3
