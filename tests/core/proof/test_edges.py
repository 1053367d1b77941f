"""Inside corners, arcs and slots: what a round kerf can reach, against numbers worked out by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.index import Index
from kerfproof.geom.path import Bundle, Path
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.compare.edges import finished_edges
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.evidence.kept_metal import kept_of
from kerfproof.proof.evidence.runs import TorchPath, find_rings
from kerfproof.proof.evidence.sweep import sweep
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from support.shop.known_plate import MACHINE, PROCESS, cut, plan

SHEET = (0.0, 0.0, 200.0, 200.0)
H = 0.75


def hole_proof(drawn: Path, torch: Path) -> Proof:
    """Prove one hole cut from a pierce near its middle; no outline is drawn, so it counts as an outline inside out."""
    frame = Path.rectangle(10, 10, 190, 190)
    grown = Path.polyline([(9.25, 100), (9.25, 190.75), (190.75, 190.75), (190.75, 9.25), (9.25, 9.25)], closed=True)
    hole = cut(torch, Path.polyline([(100.0, 100.0), tuple(torch.start)]), "hole", 0, 1.0, 0.0)
    outline = cut(grown, Path.polyline([(4.0, 96.0), (9.25, 100.0)]), "outline", 1, 1.0, 2.0)
    text = write(plan(MACHINE, (hole, outline)), DIALECT).text
    contours = (Contour(frame, ("1",), "0"), Contour(drawn, ("2",), "0"))
    return prove(text, Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=contours, plate=SHEET))


def found(proof: Proof) -> list[tuple[str, str]]:
    """Return the findings without the loose slug that the torch travels over here."""
    return [(f.rule, f.severity.value) for f in proof.findings if f.rule != "travel-over-tipping"]


def shrunk(w: float) -> Path:
    """Return the counter-clockwise path inside a square hole of side w round (100, 100), from the right side."""
    a = w / 2 - H
    c = 100.0
    return Path.polyline([(c + a, c), (c + a, c + a), (c - a, c + a), (c - a, c - a), (c + a, c - a)], closed=True)


def test_the_corners_of_a_square_hole_are_fair_and_their_rounding_is_told():
    proof = hole_proof(Path.rectangle(80, 80, 120, 120), shrunk(40.0))
    assert found(proof) == []
    assert proof.parts[0].corner_radius == pytest.approx(H)
    assert proof.worst_leftover < 1e-3
    # The picture shows nothing left at the corner, though the arc of the kerf leaves (sqrt 2 - 1) h there.
    assert proof.edges is not None and np.abs(proof.edges.deviation).max() < 1e-3


@pytest.mark.parametrize("radius", [0.2, 0.5, 0.74])
def test_a_fillet_smaller_than_half_the_kerf_is_fair(radius: float):
    b = math.tan(math.pi / 8)
    r = radius
    corners = [(120, 80 + r, 0), (120, 120 - r, b), (120 - r, 120, 0), (80 + r, 120, b)]
    corners += [(80, 120 - r, 0), (80, 80 + r, b), (80 + r, 80, 0), (120 - r, 80, b)]
    assert found(hole_proof(Path(corners, True), shrunk(40.0))) == []


def test_a_fillet_larger_than_half_the_kerf_must_be_followed():
    b, r = math.tan(math.pi / 8), 3.0
    corners = [(120, 80 + r, 0), (120, 120 - r, b), (120 - r, 120, 0), (80 + r, 120, b)]
    corners += [(80, 120 - r, 0), (80, 80 + r, b), (80 + r, 80, 0), (120 - r, 80, b)]
    drawn = Path(corners, True)
    # The corner of the sharp path lies hypot(2.25, 2.25) from the fillet's centre: 0.182 inside the metal.
    proof = hole_proof(drawn, shrunk(40.0))
    depth = math.hypot(2.25, 2.25) - 3.0 + 0.75
    assert ("gouge", "error") in found(proof)
    assert proof.worst_gouge == pytest.approx(depth, abs=1e-3)


def test_an_arc_cut_with_too_large_a_radius_leaves_a_sickle():
    drawn = Path.circle((100.0, 100.0), 20.0)
    torch = Path.circle((100.0, 100.0), 20.0 - H - 0.03)
    proof = hole_proof(drawn, torch)
    assert found(proof) == [("metal-left", "error")]
    assert proof.worst_leftover == pytest.approx(0.03, abs=2e-4)


def test_a_circle_off_its_centre_gouges_one_side_and_leaves_the_other():
    proof = hole_proof(Path.circle((100.0, 100.0), 20.0), Path.circle((100.04, 100.0), 20.0 - H))
    assert proof.worst_gouge == pytest.approx(0.04, abs=2e-4)
    assert proof.worst_leftover == pytest.approx(0.04, abs=1e-3)
    assert {rule for rule, _ in found(proof)} == {"gouge", "metal-left"}


def test_a_bulge_between_two_good_places_is_seen():
    """The path leaves the edge by an arc of 0.1 mm height over 4 mm and comes back: both ends of it are right."""
    a = 20.0 - H
    bulge = 2 * 0.1 / 4.0  # height over half the chord
    c = 100.0
    points = [(c + a, c, 0), (c + a, c + a, 0), (c + 2, c + a, -bulge), (c - 2, c + a, 0), (c - a, c + a, 0)]
    points += [(c - a, c - a, 0), (c + a, c - a, 0)]
    proof = hole_proof(Path.rectangle(80, 80, 120, 120), Path(points, True))
    assert found(proof) == [("metal-left", "error")]
    assert proof.worst_leftover == pytest.approx(0.1, abs=1e-3)
    (finding,) = [f for f in proof.findings if f.rule == "metal-left"]
    assert finding.x == pytest.approx(100.0, abs=0.1) and finding.y == pytest.approx(120.0)


def test_a_notch_too_narrow_for_the_kerf_is_told():
    drawn = Path.polyline(
        [(120, 80), (120, 99.5), (126, 99.5), (126, 100.5), (120, 100.5), (120, 120), (80, 120), (80, 80)], closed=True
    )
    # Between the corners of the notch the kerf dips in as far as both let it: to 120 - sqrt(0.75^2 - 0.5^2).
    dip, bulge = 120 - math.sqrt(H * H - 0.25), -math.tan(math.asin(0.5 / H) / 4)
    corners = [(119.25, 90, 0), (119.25, 99.5, bulge), (dip, 100, bulge), (119.25, 100.5, 0), (119.25, 119.25, 0)]
    corners += [(80.75, 119.25, 0), (80.75, 80.75, 0), (119.25, 80.75, 0)]
    proof = hole_proof(drawn, Path(corners, True))
    assert found(proof) == [("corner-not-reached", "error")], "6 mm deep, four kerfs"


def test_a_kerf_that_passes_a_notch_without_dipping_in_leaves_metal():
    drawn = Path.polyline(
        [(120, 80), (120, 99.5), (126, 99.5), (126, 100.5), (120, 100.5), (120, 120), (80, 120), (80, 80)], closed=True
    )
    assert found(hole_proof(drawn, shrunk(40.0))) == [("metal-left", "error")]


@pytest.mark.parametrize("by", [0.0, 1e6])
def test_far_from_the_origin_nothing_is_lost(by: float):
    drawn, torch = Path.rectangle(80 + by, 80, 120 + by, 120), shrunk(40.0).moved(by, 0.0)
    s = torch.segments()
    first = np.array([0, len(s)])
    ring_first, ring_stop = find_rings(s, first, 3.0)
    zero = np.zeros(len(s))
    path = TorchPath(s, zero + H, zero, zero, first, ring_first, ring_stop, Bundle.of([torch]), Index(s.boxes()))
    kept = kept_of((Contour(drawn, ("1",), "0"),))
    edges = finished_edges(kept, path, sweep(kept, path, None))
    assert edges.left[~edges.fair].max() < 1e-6
    assert edges.fair.sum() >= 4
