"""The plate that is left, against the drawing: the known plate, planted faults, and shapely as the outside referee."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely

from kerfproof.cut_plan import Cut
from kerfproof.errors import Severity
from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from support.drawings.path_shapes import started_at
from support.shop.known_plate import MACHINE, PLATE, PROCESS, X, Y, cut, cuts, drawn, plan, program, rolled

SHEET = (0.0, 0.0, 200.0, 200.0)


def proof_of(text: str, contours: tuple[Contour, ...] | None = None, **kerf: float) -> Proof:
    process = replace(PROCESS, **kerf)
    return prove(
        text,
        Against(
            control=DIALECT,
            machine=MACHINE,
            process=process,
            drawn=drawn() if contours is None else contours,
            plate=SHEET,
        ),
    )


def errors(proof: Proof) -> set[str]:
    return {f.rule for f in proof.findings if f.severity is Severity.ERROR}


def text_of(*items: Cut) -> str:
    return write(plan(MACHINE, items), DIALECT).text


def test_the_known_plate_is_proven_to_a_tenth_of_a_micrometre():
    proof = proof_of(program(DIALECT))
    assert proof.verdict == "PROVEN" and proof.findings == ()
    assert len(proof.runs) == 2
    # Outline path 324.712 and hole path 58.119 without leads, worked out in known_plate.
    leads = 4 * np.pi / 2 + 1.0 + np.hypot(2.0, 0.4), 9.25 + 1.0
    assert proof.runs[1].length - leads[0] == pytest.approx(324.712, abs=2e-3)
    assert proof.runs[0].length - leads[1] == pytest.approx(58.119, abs=2e-3)
    (part,) = proof.parts
    assert part.comes_free and part.holes == part.holes_cut == 1
    assert proof.edge_deviation < 1e-4


def test_a_wider_kerf_is_told_as_the_part_it_makes():
    # Swept with 1.9 instead of 1.5 the part comes out 99.6 x 59.6 with a hole of 20.4: 0.2 mm less on every edge.
    proof = proof_of(program(DIALECT), kerf=1.9)
    assert proof.worst_gouge == pytest.approx(0.2, abs=1e-3)
    assert errors(proof) == {"wrong-kerf"}
    assert any("a kerf of 1.50 mm, the kerf is 1.90 mm" in f.message for f in proof.findings)
    assert proof.edges is not None
    middles = proof.edges.deviation[np.abs(proof.edges.deviation + 0.2) < 1e-3]
    assert len(middles) > 8


def test_a_narrower_kerf_leaves_metal_on_every_edge():
    proof = proof_of(program(DIALECT), kerf=1.3)
    assert proof.worst_leftover == pytest.approx(0.1, abs=1e-3)
    assert errors(proof) == {"wrong-kerf"}
    assert proof.parts[0].comes_free


@pytest.mark.parametrize("um", [50, 30, 10])
def test_a_path_moved_towards_the_metal_is_named_with_its_depth(um: int):
    items = list(cuts())
    narrow = rolled(100.0 - um / 1000, 60.0, 0.75)
    items[1] = cut(narrow, Path.polyline([(X - 4, Y + 26), tuple(narrow.start)]), "outline", 1, 1.0, 2.0)
    proof = proof_of(text_of(*items))
    gouges = [f for f in proof.findings if f.rule == "gouge"]
    assert len(gouges) == 1
    assert gouges[0].severity is (Severity.ERROR if um > 20 else Severity.WARNING)
    assert proof.worst_gouge == pytest.approx(um / 1000, abs=2e-4)
    assert gouges[0].x == pytest.approx(X + 100.75, abs=0.4)
    assert " X120" in text_of(*items).splitlines()[(gouges[0].line or 0) - 1]


@pytest.mark.parametrize("um", [50, 30, 10])
def test_a_path_moved_into_the_scrap_leaves_that_much(um: int):
    items = list(cuts())
    wide = rolled(100.0, 60.0, 0.75 + um / 1000)
    items[1] = cut(wide, Path.polyline([(X - 4, Y + 26), tuple(wide.start)]), "outline", 1, 1.0, 2.0)
    proof = proof_of(text_of(*items))
    left = [f for f in proof.findings if f.rule == "metal-left"]
    assert len(left) == 1 and left[0].severity is (Severity.ERROR if um > 20 else Severity.WARNING)
    assert proof.worst_leftover == pytest.approx(um / 1000, abs=2e-4)


def test_a_hole_that_is_not_cut_is_missed():
    proof = proof_of(text_of(cuts()[1]))
    assert errors(proof) == {"feature-not-cut"}
    assert proof.parts[0].holes_cut == 0 and proof.parts[0].holes == 1


def test_a_hole_too_many_is_told():
    extra = Path.circle((X + 20, Y + 20), 4.0)
    more = cut(extra, Path.polyline([(X + 20, Y + 20), (X + 24, Y + 20)]), "hole", 2, 1.0, 0.0)
    assert "surplus-cut" in errors(proof_of(text_of(*cuts()[:1], more, cuts()[1])))


def in_place_of_the_hole(path: Path) -> Proof:
    """Return the proof of the known plate with another path where its hole D20 is."""
    lead = Path.polyline([(X + 50, Y + 30), tuple(path.start)])
    return proof_of(text_of(cut(path, lead, "hole", 0, 1.0, 0.0), cuts()[1]))


SLOT = Path([(X + 50, Y + 20.75, 0), (X + 62, Y + 20.75, 1), (X + 62, Y + 39.25, 0), (X + 50, Y + 39.25, 1)], True)
OTHERS = [
    ("too large by more than the kerf", Path.circle((X + 50, Y + 30), 11.25), "feature-differs",
     "the hole D20 comes out as hole D24"),
    ("too large by the whole kerf", Path.circle((X + 50, Y + 30), 10.75), "wrong-side",
     "the hole D20 is cut on the side to keep: it comes out a whole kerf wrong"),
    ("a little too large", Path.circle((X + 50, Y + 30), 9.5), "gouge",
     "the kerf reaches 0.25 mm into metal to keep: the hole D20 comes out as hole D20.5"),
    ("a little too small", Path.circle((X + 50, Y + 30), 9.0), "metal-left",
     "0.25 mm of metal is left on the drawn edge: the hole D20 comes out as hole D19.5"),
    ("much too small", Path.circle((X + 50, Y + 30), 7.25), "feature-differs", "the hole D20 comes out as hole D16"),
    ("a slot", SLOT, "feature-differs", "the hole D20 comes out as hole of 32 x 20 mm, 6.00 mm off its place"),
    ("beside its place", Path.circle((X + 52, Y + 30), 9.25), "feature-differs",
     "the hole D20 is cut 2.00 mm off its place"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "rule", "said"), [o[1:] for o in OTHERS], ids=[o[0] for o in OTHERS])
def test_a_feature_that_comes_out_otherwise_is_named_by_its_size_and_place_alone(path: Path, rule: str, said: str):
    found = [f for f in in_place_of_the_hole(path).findings if f.rule in ("surplus-cut", "not-free", "feature-not-cut")]
    assert found == []
    told = [f for f in in_place_of_the_hole(path).findings if f.rule == rule]
    assert [f.message for f in told] == [said] and told[0].severity is Severity.ERROR and told[0].x is not None


def test_a_tiny_hole_beside_the_cut_of_its_outline_is_not_cut_rather_than_cut_wrongly():
    washer = (
        Contour(Path.circle((X + 50, Y + 30), 3.0), ("1",), "0"),
        Contour(Path.circle((X + 50, Y + 30), 0.6), ("2",), "0"),
    )
    around = Path.circle((X + 50, Y + 30), 3.75).reversed()
    lead = Path.polyline([(X + 60, Y + 30), tuple(around.start)])
    found = proof_of(text_of(cut(around, lead, "outline", 0, 1.0, 2.0)), washer).findings
    told = [f.message for f in found if f.rule in ("feature-not-cut", "wrong-side", "not-free", "metal-left")]
    assert told == ["the hole D1.2 is not cut"]


def test_features_too_many_are_named_by_size():
    extra = cut(Path.circle((X + 20, Y + 20), 4.25), Path.polyline([(X + 20, Y + 20), (X + 24.25, Y + 20)]),
                "hole", 2, 1.0, 0.0)  # fmt: skip
    (told,) = [f for f in proof_of(text_of(cuts()[0], extra, cuts()[1])).findings if f.rule == "surplus-cut"]
    assert told.message == "a hole D10 inside metal to keep that is not drawn"
    ring, around = Path.circle((X + 50, Y + 120), 9.25), rolled(100.0, 60.0, 0.75, X, Y + 90)
    hole = cut(ring, Path.polyline([(X + 50, Y + 120), (X + 59.25, Y + 120)]), "hole", 2, 1.0, 0.0)
    outline = cut(around, Path.polyline([(X - 4, Y + 116), tuple(around.start)]), "outline", 3, 1.0, 2.0)
    (told,) = [f for f in proof_of(text_of(*cuts(), hole, outline)).findings if f.rule == "surplus-cut"]
    assert told.message == "an outline of 100 x 60 mm with 1 hole is cut once more than drawn"
    assert told.severity is Severity.WARNING
    again = [f.message for f in proof_of(text_of(*cuts(), cuts()[0])).findings if f.rule == "same-contour-twice"]
    assert len(again) == 1 and "of this cut (path 18.5 x 18.5 mm) was cut before, by that of line" in again[0]


def test_the_wrong_side_is_called_that():
    inner = rolled(98.5, 58.5, 0.0001, X + 0.75, Y + 0.75)
    corner = Path.polyline([(X + 0.75, Y + 0.75), (X + 0.75, Y + 59.25), (X + 99.25, Y + 59.25), (X + 99.25, Y + 0.75)])
    inner = Path(np.vstack([corner.vertices]), True)
    wrong = cut(inner, Path.polyline([(X + 5, Y + 10), (X + 0.75, Y + 0.75)]), "outline", 1, 1.0, 2.0)
    found = errors(proof_of(text_of(cuts()[0], wrong)))
    assert "wrong-side" in found and "pierce-on-kept-metal" in found
    assert "gouge" not in found


def test_a_cut_that_does_not_close_frees_nothing():
    text = program(DIALECT)
    short = text.replace("G1 X19.25 Y50\nG1 X19.25 Y51\nG1 X18.85 Y53\n", "G1 X19.25 Y40\n")
    assert short != text
    proof = proof_of(short)
    assert {"not-free", "metal-left"} <= errors(proof)
    assert not proof.parts[0].comes_free


def test_a_lead_through_the_part_is_told_as_a_lead():
    items = list(cuts())
    path = rolled(100.0, 60.0, 0.75)
    items[1] = cut(path, Path.polyline([(X - 5, Y - 8), (X + 6, Y + 10), tuple(path.start)]), "outline", 1, 1.0, 2.0)
    assert "lead-through-kept-metal" in errors(proof_of(text_of(*items)))


def test_the_outline_before_its_hole_is_refused():
    found = errors(proof_of(text_of(*reversed(cuts()))))
    assert found == {"hole-after-outline", "touch-off-near-void"}, "and the plate is searched on the part that dropped"


def moved(text: str, fx, fy) -> str:
    """Return a program with every X and Y word (and I, J) changed by two functions of point and kind."""

    def line(words: str) -> str:
        if not re.match(r"G[0-3] ", words):
            return words
        values = dict(re.findall(r"([XYIJ])(-?[\d.]+)", words))
        if "X" in values and "Y" in values:
            x, y = float(values["X"]), float(values["Y"])
            words = re.sub(r"X-?[\d.]+", f"X{fx(x, y, 1):.4f}", words)
            words = re.sub(r"Y-?[\d.]+", f"Y{fy(x, y, 1):.4f}", words)
        if "I" in values:
            i, j = float(values["I"]), float(values["J"])
            words = re.sub(r"I-?[\d.]+", f"I{fx(i, j, 0):.4f}", words)
            words = re.sub(r"J-?[\d.]+", f"J{fy(i, j, 0):.4f}", words)
        return words

    return "\n".join(line(words) for words in text.splitlines()) + "\n"


def swapped(text: str) -> str:
    """Return a program with clockwise and counter-clockwise arcs exchanged, as a mirror does."""
    return re.sub(r"^G([23]) ", lambda m: f"G{5 - int(m[1])} ", text, flags=re.MULTILINE)


def f_shape() -> tuple[tuple[Contour, ...], str]:
    """Return an F with one D6 hole, as no turn or mirror brings it onto itself, and its program."""
    corners = [(20, 20), (40, 20), (40, 50), (70, 50), (70, 65), (40, 65), (40, 80), (80, 80), (80, 100), (20, 100)]
    outline = Path.polyline(corners, closed=True)
    h = 0.75
    grown = shapely.Polygon(corners).buffer(h, join_style="mitre", mitre_limit=10.0)
    ring = np.array(grown.exterior.coords)[:-1]
    ring = ring if shapely.LinearRing(ring).is_ccw else ring[::-1]
    path = Path.polyline(np.roll(ring[::-1], 2, axis=0), closed=True)
    middle = started_at(path, int(np.argmax(path.segments().lengths())), 0.5)
    t = middle.segments().tangents(np.array([0]), np.array([0.0]))[0]
    lead = Path.polyline([middle.start + np.array([-t[1], t[0]]) * 5 - t * 2, middle.start])
    hole = Path.circle((30.0, 30.0), 3.0 - h)
    first = cut(hole, Path.polyline([(30.0, 30.0), (32.25, 30.0)]), "hole", 0, 1.0, 0.0)
    text = text_of(first, cut(middle, lead, "outline", 1, 1.0, 2.0))
    return (Contour(outline, ("1",), "0"), Contour(Path.circle((30.0, 30.0), 3.0), ("2",), "0")), text


def test_the_f_is_proven_in_its_true_hand():
    contours, text = f_shape()
    proof = proof_of(text, contours)
    assert errors(proof) == set()
    assert proof.parts[0].corner_radius == pytest.approx(0.75)
    assert proof.worst_leftover < 1e-3  # what the round kerf leaves in the inside corners is fair


WRONG_HANDS = [
    ("mirrored", lambda x, y, p: 140 * p - x, lambda x, y, p: y, True),
    ("mirrored", lambda x, y, p: x, lambda x, y, p: 120 * p - y, True),
    ("turned", lambda x, y, p: 100 * p - y, lambda x, y, p: x, False),
    ("turned", lambda x, y, p: y, lambda x, y, p: 100 * p - x, False),
    ("turned", lambda x, y, p: 100 * p - x, lambda x, y, p: 120 * p - y, False),
    ("mirrored", lambda x, y, p: y, lambda x, y, p: x, True),
    ("shifted", lambda x, y, p: x + 3.5 * p, lambda x, y, p: y - 1.25 * p, False),
    ("shifted", lambda x, y, p: x + 0.3 * p, lambda x, y, p: y, False),
    ("wrong-scale", lambda x, y, p: x / 25.4, lambda x, y, p: y / 25.4, False),
]


@pytest.mark.parametrize(("rule", "fx", "fy", "mirror"), WRONG_HANDS)
def test_a_turned_mirrored_shifted_or_scaled_cut_is_named_once(rule: str, fx, fy, mirror: bool):
    contours, text = f_shape()
    text = moved(text, fx, fy)
    proof = proof_of(swapped(text) if mirror else text, contours, kerf=1.5 / 25.4 if rule == "wrong-scale" else 1.5)
    found = [f for f in proof.findings if f.rule in ("mirrored", "turned", "shifted", "wrong-scale")]
    assert [f.rule for f in found] == [rule]
    assert not {f.rule for f in proof.findings} & {"gouge", "metal-left", "feature-not-cut", "not-free"}
    if rule == "shifted":
        assert re.search(r"by (3\.500, -1\.250|0\.300, 0\.000)", found[0].message)


def random_case(seed: int) -> tuple[np.ndarray, Path]:
    """Return corners of a simple polygon and its grown path with one vertex pushed at random."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(5, 10))
    angles = (np.arange(n) + rng.uniform(0.2, 0.8, n)) * 2 * np.pi / n
    corners = np.column_stack([np.cos(angles), np.sin(angles)]) * rng.uniform(18, 30, n)[:, None] + (60.0, 50.0)
    grown = shapely.Polygon(corners).buffer(0.75, join_style="mitre", mitre_limit=20.0)
    ring = np.array(grown.exterior.coords)[:-1]
    ring = ring[::-1] if shapely.LinearRing(ring).is_ccw else ring
    at = int(rng.integers(0, len(ring)))
    ring[at] += rng.normal(0, 0.08, 2)
    return corners, Path.polyline(ring, closed=True)


@pytest.mark.parametrize("seed", range(12))
def test_gouge_and_leftover_agree_with_shapely(seed: int):
    """The referee: distances between the drawn ring and the path by shapely, sampled every 5 um along the edge."""
    corners, path = random_case(seed)
    path = started_at(path, int(np.argmax(path.segments().lengths())), 0.5)
    t = path.segments().tangents(np.array([0]), np.array([0.0]))[0]
    lead = Path.polyline([path.start + np.array([-t[1], t[0]]) * 5 - t * 2, path.start])
    text = text_of(cut(path, lead, "outline", 0, 1.0, 2.0))
    proof = proof_of(text, (Contour(Path.polyline(corners, closed=True), ("1",), "0"),))
    ring = shapely.LinearRing(corners)
    torch = shapely.LineString(np.round(path.opened().vertices[:, :2], 4))
    inside = torch.intersection(shapely.Polygon(corners))
    gouge = 0.75 - torch.distance(ring) if inside.is_empty else None
    if gouge is not None:
        assert proof.worst_gouge == pytest.approx(max(gouge, 0.0), abs=2e-4)
    samples = shapely.line_interpolate_point(ring, np.arange(0, ring.length, 0.005))
    left = shapely.distance(samples, torch) - 0.75
    # Where the ring is convex nothing is fair: what is left there must be told.
    hull = shapely.distance(samples, shapely.Polygon(corners).convex_hull.boundary) < 1e-9
    assert proof.worst_leftover >= left[hull].max() - 1e-4
    assert proof.worst_leftover <= max(left.max(), 0.0) + 1e-4


def test_an_inside_corner_cut_short_is_not_fair():
    contours, text = f_shape()
    # The inside corner at (40, 50) is passed at 0.75 from both sides; here the path cuts it off by 1 mm.
    assert "G1 X40.75 Y49.25" in text
    proof = proof_of(text.replace("G1 X40.75 Y49.25\n", "G1 X41.75 Y49.25\nG1 X40.75 Y48.25\n"), contours)
    assert errors(proof) == {"metal-left"}
    assert proof.worst_leftover == pytest.approx(1.75 * 2**0.5 - 0.5 * 2**0.5 - 0.75, abs=0.02)


def test_a_curve_is_proven_against_points_of_its_original():
    path = Path.circle((X + 50, Y + 30), 10.0)
    angles = np.linspace(0, 2 * np.pi, 50)
    off = np.column_stack([np.cos(angles), np.sin(angles)]) * 10.004 + (X + 50, Y + 30)
    fitted = Contour(path, ("2",), "0", fit_error=0.003, samples=off)
    proof = proof_of(program(DIALECT), (drawn()[0], fitted))
    assert proof.edge_deviation == pytest.approx(0.004, abs=2e-4)


def test_a_slit_is_no_gouge_and_must_be_cut():
    slit = Contour(Path.polyline([(X + 10, Y + 10), (X + 30, Y + 10)]), ("3",), "0")
    item = Cut(
        feature=2,
        kind="slit",
        part="p",
        label="slit",
        pierce=(X + 10, Y + 10),
        contour=slit.path,
        feed_mm_min=2200.0,
        kerf=1.5,
    )
    text = text_of(*cuts()[:1], item, cuts()[1])
    proof = prove(
        text, Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=drawn(), slits=(slit,), plate=PLATE)
    )
    assert errors(proof) == set()
    proof = prove(
        program(DIALECT),
        Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=drawn(), slits=(slit,), plate=PLATE),
    )
    assert errors(proof) == {"slit-not-cut"}
    assert {"gouge", "pierce-on-kept-metal"} <= errors(proof_of(text))


def test_a_slowed_hole_is_judged_by_its_own_kerf():
    items = cuts(0.75)
    hole = Path.circle((X + 50, Y + 30), 10.0 - 0.85)
    wider = cut(hole, Path.polyline([(X + 50, Y + 30), (X + 59.15, Y + 30)]), "hole", 0, 1.0, 0.0, kerf=1.7)
    text = text_of(wider, items[1])
    measured = replace(PROCESS, hole_kerf=1.7)
    assert (
        prove(text, Against(control=DIALECT, machine=MACHINE, process=measured, drawn=drawn(), plate=PLATE)).verdict
        == "PROVEN"
    )
    assert "metal-left" in errors(proof_of(text))
