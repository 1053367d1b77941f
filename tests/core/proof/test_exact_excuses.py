"""What is excused, is excused for its own length and place only: slits, slag rings, ends, corners, copies, raises.

Each harm is planted in a program that was right before, at a place that is not the one played first.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kerfproof.cut_plan import Cut
from kerfproof.errors import Severity
from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from support.programs.examples import FIND, HEAD, LIGHT
from support.shop.known_plate import MACHINE, MACHINES, PROCESS, X, Y, cut, cuts, drawn, plan, rolled

SHEET = (0.0, 0.0, 400.0, 400.0)
SLITS = tuple(
    Contour(Path.polyline([(X + 10 + 20 * k, Y + 15), (X + 10 + 20 * k, Y + 45)]), (f"s{k}",), "0") for k in range(5)
)
OUTLINE = (Contour(Path.rectangle(X, Y, X + 100, Y + 60), ("1",), "0"),)


def slit_cut(k: int, feature: int) -> Cut:
    """Return the cut of slit `k`, from end to end."""
    x = X + 10 + 20 * k
    return Cut(
        feature=feature, kind="slit", part="plate", label=f"slit {k}", pierce=(x, Y + 15.0),
        contour=Path.polyline([(x, Y + 15), (x, Y + 45)]), feed_mm_min=2200.0, kerf=1.5,
    )  # fmt: skip


def text_of(*items: Cut, machine=MACHINE, process=PROCESS) -> str:
    return write(replace(plan(machine, items), plate=SHEET, process=process), DIALECT).text


def proof_of(text: str, parts=None, slits=(), machine=MACHINE, process=PROCESS) -> Proof:
    return prove(
        text,
        Against(
            control=DIALECT,
            machine=machine,
            process=process,
            drawn=drawn() if parts is None else parts,
            slits=slits,
            plate=SHEET,
            mode="cut",
        ),
    )


def told(proof: Proof, rule: str) -> list[Severity]:
    return [f.severity for f in proof.findings if f.rule == rule]


def errors(proof: Proof) -> set[str]:
    return {f.rule for f in proof.findings if f.severity is Severity.ERROR}


# --- slits ----------------------------------------------------------------------------------------------


def slits_and_outline(*more: Cut) -> str:
    return text_of(*(slit_cut(k, k) for k in range(5)), *more, cuts()[1])


def test_slits_are_no_gouges():
    assert proof_of(slits_and_outline(), OUTLINE, SLITS).findings == ()


@pytest.mark.parametrize("y", [Y + 20.0, Y + 33.3])
def test_a_cut_across_five_slits_is_a_gouge_though_five_places_of_it_lie_on_slits(y: float):
    across = Cut(
        feature=9, kind="slit", part="plate", label="across", pierce=(X + 10.0, y),
        contour=Path.polyline([(X + 10, y), (X + 90, y)]), feed_mm_min=2200.0, kerf=1.5,
    )  # fmt: skip
    proof = proof_of(slits_and_outline(across), OUTLINE, SLITS)
    assert proof.verdict == "NOT PROVEN" and "gouge" in errors(proof)
    assert proof.worst_gouge > 10


def test_a_cut_that_overshoots_its_slit_is_a_gouge_there():
    items = [slit_cut(k, k) for k in range(5)]
    long = Path.polyline([(X + 50, Y + 15), (X + 50, Y + 47)])
    items[2] = replace(items[2], contour=long)
    proof = proof_of(text_of(*items, cuts()[1]), OUTLINE, SLITS)
    (gouge,) = [f for f in proof.findings if f.rule == "gouge"]
    assert gouge.severity is Severity.ERROR and gouge.x == pytest.approx(X + 50) and Y + 45 < (gouge.y or 0) <= Y + 47


def test_a_short_gap_in_the_cut_of_a_slit_is_found_wherever_it_lies():
    for at in (Y + 20.07, Y + 30.31):
        first = Path.polyline([(X + 50, Y + 15), (X + 50, at)])
        rest = Path.polyline([(X + 50, Y + 45), (X + 50, at + 0.3)])
        items = [slit_cut(k, k) for k in range(5) if k != 2]
        halves = [
            replace(slit_cut(2, 10 + k), contour=p, pierce=tuple(map(float, p.start)))
            for k, p in enumerate((first, rest))
        ]
        proof = proof_of(text_of(*items, *halves, cuts()[1]), OUTLINE, SLITS)
        (gap,) = [f for f in proof.findings if f.rule == "slit-not-cut"]
        assert gap.y == pytest.approx(at + 0.05, abs=0.01)


# --- cut height -----------------------------------------------------------------------------------------


def at_pierce_height(text: str, block: int) -> str:
    """Return a program in which one cut stays at pierce height: its way down to cut height is left out."""
    lines = text.splitlines()
    down = [k for k, line in enumerate(lines) if line.startswith("G1 Z1.5")]
    lines.pop(down[block])
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("block", [2, 4])
def test_a_slit_cut_at_pierce_height_is_told_though_its_one_move_begins_at_the_slag_ring(block: int):
    assert told(proof_of(at_pierce_height(slits_and_outline(), block), OUTLINE, SLITS), "cut-height-out-of-band") == [
        Severity.WARNING
    ]


def on_the_right_table(text: str) -> list[Severity]:
    findings = prove(text, Against(control=DIALECT, machine=MACHINE, process=PROCESS)).findings
    return [f.severity for f in findings if f.message.startswith("the cut runs")]


def test_a_lead_within_the_slag_ring_may_still_be_high():
    body = "G1 X19.25 Y50 F2200\nG1 Z1.5\nG1 Y80.75\n"
    text = HEAD + "G0 X10 Y50\n" + FIND + LIGHT.replace("G1 Z1.5 F900\n", "") + body + "M5\nG4 P0.3\nG0 Z25\nM2\n"
    assert on_the_right_table(text) == []


def test_a_dive_is_an_error_behind_a_warning_in_the_same_cut():
    text = (
        HEAD
        + "G0 X10 Y50\n"
        + FIND
        + LIGHT
        + "G1 Z2 F900\nG1 X60 F2200\nG1 X90 Z-2\nG1 Z1.5\nM5\nG4 P0.3\nG0 Z25\nM2\n"
    )
    assert on_the_right_table(text) == [Severity.ERROR]


# --- raises, dives, pierce height -----------------------------------------------------------------------


def test_a_torch_left_down_is_told_at_the_end_and_at_a_stop_and_nowhere_else():
    text = slits_and_outline()
    lines = text.splitlines()
    ups = [k for k, line in enumerate(lines) if line.startswith("G0 Z25")]
    off = [k for k, line in enumerate(lines) if line == "M5"][-2]
    last = [line for k, line in enumerate(lines) if k < off or not line.startswith(("G0 Z", "G53"))]
    assert told(proof_of("\n".join(last) + "\n", OUTLINE, SLITS), "left-down-after-cut") == [Severity.ERROR]
    third = [k for k, line in enumerate(lines) if line == "M5" and k > 30][3]
    up = min(k for k in ups if k > third)
    for word in ("M0", "M1"):
        stopped = [*lines[:up], word, *lines[up:]]
        proof = proof_of("\n".join(stopped) + "\n", OUTLINE, SLITS)
        assert told(proof, "left-down-after-cut") == [Severity.ERROR]
        raised = [*lines[: up + 1], word, *lines[up + 1 :]]
        assert told(proof_of("\n".join(raised) + "\n", OUTLINE, SLITS), "left-down-after-cut") == []


def test_a_stop_with_the_tip_seated_before_it_lights_is_by_design():
    lines = slits_and_outline().splitlines()
    light = [k for k, line in enumerate(lines) if line == "M3"][3]
    text = "\n".join([*lines[:light], "M0", *lines[light:]]) + "\n"
    assert told(proof_of(text, OUTLINE, SLITS), "left-down-after-cut") == []


@pytest.mark.parametrize("word", ["G1 Z-3 F900", "G1 Z0 F900"])
def test_a_burning_torch_driven_down_is_told_in_any_cut(word: str):
    lines = slits_and_outline().splitlines()
    down = [k for k, line in enumerate(lines) if line.startswith("G1 Z1.5")][3]
    text = "\n".join([*lines[:down], word, *lines[down:]]) + "\n"
    assert told(proof_of(text, OUTLINE, SLITS), "lit-torch-driven-down") == [Severity.ERROR]


@pytest.mark.parametrize(("thickness", "severity"), [(3.0, Severity.WARNING), (5.0, Severity.ERROR)])
def test_piercing_below_the_pierce_height_is_told(thickness: float, severity: Severity):
    process = replace(PROCESS, thickness=thickness)
    text = text_of(*(slit_cut(k, k) for k in range(5)), cuts()[1], process=process)
    right = proof_of(text, OUTLINE, SLITS, process=process)
    assert told(right, "never-at-pierce-height") == []
    lines = text.splitlines()
    up = [k for k, line in enumerate(lines) if line.startswith("G1 Z3")][3]
    lines[up] = lines[up].replace("Z3", "Z1.5")
    assert told(proof_of("\n".join(lines) + "\n", OUTLINE, SLITS, process=process), "never-at-pierce-height") == [
        severity
    ]


# --- notches --------------------------------------------------------------------------------------------


def slotted(w: float, d: float, x: float = X + 50) -> tuple[Contour, ...]:
    """Return the outline of the known plate with a slot from its upper edge."""
    top = Y + 60
    points = [(X, Y), (X + 100, Y), (X + 100, top), (x + w / 2, top), (x + w / 2, top - d), (x - w / 2, top - d),
              (x - w / 2, top), (X, top)]  # fmt: skip
    return (Contour(Path.polyline(points, closed=True), ("1",), "0"),)


def dipping(w: float, x: float = X + 50, r: float = 0.75) -> Path:
    """Return the path round the plate that dips into a slot narrower than the kerf as far as it goes."""
    top = Y + 60
    sink = math.sqrt(r * r - w * w / 4)
    around = rolled(100.0, 60.0, r).vertices
    into = -math.tan((math.asin(w / 2 / r)) / 4)
    return Path(
        np.vstack([around[:2], [(X, top + r, 0.0), (x - w / 2, top + r, into), (x, top + sink, into),
                   (x + w / 2, top + r, 0.0)], around[3:]]), True
    )  # fmt: skip


@pytest.mark.parametrize(("w", "d"), [(0.4, 0.5), (0.8, 2.0), (1.2, 1.6), (1.45, 2.5)])
def test_a_notch_narrower_than_the_kerf_is_told_with_its_place_and_depth(w: float, d: float):
    path = dipping(w)
    outline = cut(path, Path.polyline([(X - 5, Y + 26), tuple(path.start)]), "outline", 1, 1.0, 2.0)
    proof = proof_of(text_of(outline), slotted(w, d))
    (notch,) = [f for f in proof.findings if f.rule == "corner-not-reached"]
    sunk = 0.75 - math.sqrt(0.75**2 - w * w / 4)
    assert notch.message.startswith("a notch of the outline of 100 x 60 mm is too narrow for the kerf: ")
    deep = float(notch.message.split(": ")[1].split(" mm")[0])
    assert d - sunk - 0.01 <= deep <= d  # at its corners a little more than in its middle
    assert notch.severity is (Severity.ERROR if deep > 1.5 else Severity.WARNING), "the kerf is 1.5 mm"
    assert ("--leave-out cuts the rest" in notch.advice) == (deep > 1.5)
    assert (notch.x, notch.y) == (pytest.approx(X + 50, abs=w), pytest.approx(Y + 60 - d, abs=0.01))


def around_slotted(path: Path, w: float, d: float) -> list[tuple[str, str]]:
    outline = cut(path, Path.polyline([(X - 5, Y + 26), tuple(path.start)]), "outline", 1, 1.0, 2.0)
    found = proof_of(text_of(outline), slotted(w, d)).findings
    return [(f.rule, f.message.rpartition(": ")[2]) for f in found]


def test_a_deep_notch_as_wide_as_nearly_the_kerf_is_told_whether_the_torch_dips_into_it_or_not():
    assert around_slotted(dipping(1.4), 1.4, 5.0) == [("corner-not-reached", "4.57 mm of its depth stays uncut")]
    ((rule, message),) = around_slotted(rolled(100.0, 60.0, 0.75), 1.4, 5.0)
    assert rule == "metal-left" and message.startswith("5.00 mm of metal is left")


@pytest.mark.parametrize(("d", "told"), [(0.11, False), (0.2, False), (0.3, False), (0.34, True), (0.5, True)])
def test_what_air_plasma_can_not_hold_anyway_is_no_notch(d: float, told: bool):
    # Of a slot 0.4 mm wide a round kerf of 1.5 mm reaches 0.027 mm; what it leaves is its depth less that, or nearly.
    assert [rule for rule, _ in around_slotted(dipping(0.4), 0.4, d)] == ["corner-not-reached"] * told
    # Where the torch does not even go as far as it can, the bound is that of any edge.
    assert [rule for rule, _ in around_slotted(rolled(100.0, 60.0, 0.75), 0.4, d)] == ["metal-left"]


@pytest.mark.parametrize("h", [0.11, 0.2, 0.3, 0.6])
def test_a_step_in_an_edge_is_no_notch(h: float):
    top, x, r, t = Y + 60, X + 50, 0.75, -math.tan(math.pi / 8)
    drawn = [(X, Y), (X + 100, Y), (X + 100, top), (x, top), (x, top - h), (X, top - h)]
    away = math.sqrt(r * r - (r - h) ** 2)  # the torch touches the lower edge and the corner of the step
    round_it = -math.tan((math.pi / 2 - math.asin((r - h) / r)) / 4)
    path = Path(
        [(X - r, Y + 30, 0), (X - r, top - h, t), (X, top - h + r, 0), (x - away, top - h + r, round_it),
         (x, top + r, 0), (X + 100, top + r, t), (X + 100 + r, top, 0), (X + 100 + r, Y, t), (X + 100, Y - r, 0),
         (X, Y - r, t), (X - r, Y, 0)], True,
    )  # fmt: skip
    outline = cut(path, Path.polyline([(X - 5, Y + 26), tuple(path.start)]), "outline", 1, 1.0, 2.0)
    assert proof_of(text_of(outline), (Contour(Path.polyline(drawn, closed=True), ("1",), "0"),)).findings == ()


def test_plain_inside_corners_stay_silent():
    el = [(X, Y), (X + 100, Y), (X + 100, Y + 30), (X + 50, Y + 30), (X + 50, Y + 60), (X, Y + 60)]
    b = -math.tan(math.pi / 8)
    path = Path(
        [(X - 0.75, Y + 30, 0), (X - 0.75, Y + 60, b), (X, Y + 60.75, 0), (X + 50, Y + 60.75, b),
         (X + 50.75, Y + 60, 0), (X + 50.75, Y + 30.75, 0), (X + 100, Y + 30.75, b), (X + 100.75, Y + 30, 0),
         (X + 100.75, Y, b), (X + 100, Y - 0.75, 0), (X, Y - 0.75, b), (X - 0.75, Y, 0)], True,
    )  # fmt: skip
    outline = cut(path, Path.polyline([(X - 5, Y + 26), tuple(path.start)]), "outline", 1, 1.0, 2.0)
    part = (Contour(Path.polyline(el, closed=True), ("1",), "0"),)
    assert proof_of(text_of(outline), part).findings == ()


def test_a_slot_as_wide_as_the_kerf_that_is_cut_in_part_is_left_metal_and_no_corner():
    b, top, x = -math.tan(math.pi / 8), Y + 60, X + 50
    around = rolled(100.0, 60.0, 0.75).vertices

    def part_way(into: float) -> Proof:
        middle = [(X, top + 0.75, 0.0), (x - 0.75, top + 0.75, b), (x, top, 0.0), (x, top - into, 0.0),
                  (x + 1e-6, top, b), (x + 0.75, top + 0.75, 0.0)]  # fmt: skip
        path = Path(np.vstack([around[:2], middle, around[3:]]), True)
        outline = cut(path, Path.polyline([(X - 5, Y + 26), tuple(path.start)]), "outline", 1, 1.0, 2.0)
        return proof_of(
            text_of(outline, machine=MACHINES["pilot-float"]), slotted(1.5, 20.0), (), MACHINES["pilot-float"]
        )

    assert errors(part_way(19.25)) == set()
    half = part_way(10.0)
    assert errors(half) == {"metal-left"} and half.worst_leftover == pytest.approx(9.28, abs=0.02)


# --- pieces in scrap ------------------------------------------------------------------------------------


def beside(w: float, h: float, holes: list[tuple[float, float, float]], angle: float = 0.0) -> list[Cut]:
    """Return the cuts of a plate of w x h with holes (x, y, d) above the known one, turned about its middle."""
    x, y = X + 100, Y + 150
    middle = np.array([x + 50, y + 30])
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])

    def laid(path: Path) -> Path:
        return path.transformed(turn, middle - turn @ middle)

    out = []
    for number, (hx, hy, d) in enumerate(holes):
        around = Path.circle((x + hx, y + hy), d / 2 - 0.75)
        lead = Path.polyline([(x + hx, y + hy), tuple(around.start)])
        out.append(cut(laid(around), laid(lead), "hole", 10 + number, 1.0, 0.0))
    around = rolled(w, h, 0.75, x, y)
    lead = Path.polyline([(x - 5, y + h / 2 - 4), tuple(around.start)])
    return [*out, cut(laid(around), laid(lead), "outline", 30, 1.0, 2.0)]


HOLE = [(50.0, 30.0, 20.0)]
PIECES = [
    ("as drawn", (100, 60, HOLE), Severity.WARNING, "is cut once more than drawn"),
    ("a hair too large", (100.2, 60.2, HOLE), Severity.ERROR, "and its edge is 0.10 mm off"),
    ("1 mm too large", (101, 61, HOLE), Severity.ERROR, "is cut beside the drawn outline of 100 x 60 mm, and its edge"),
    ("too narrow", (100, 59, HOLE), Severity.ERROR, "is cut beside the drawn outline of 100 x 60 mm"),
    ("without its hole", (100, 60, []), Severity.ERROR, "but what is cut in it is not as drawn"),
    ("its hole elsewhere", (100, 60, [(51.0, 30.0, 20.0)]), Severity.ERROR, "but what is cut in it is not as drawn"),
    ("its hole larger", (100, 60, [(50.0, 30.0, 20.2)]), Severity.ERROR, "but what is cut in it is not as drawn"),
    ("something else", (50, 40, []), Severity.WARNING, "lies in scrap and is not drawn"),
]


@pytest.mark.parametrize("angle", [0.0, 0.6, 2.9])
@pytest.mark.parametrize(("what", "severity", "said"), [p[1:] for p in PIECES], ids=[p[0] for p in PIECES])
def test_a_piece_in_scrap_is_compared_with_what_is_drawn_however_it_lies(what, severity, said, angle: float):
    (found,) = [f for f in proof_of(text_of(*cuts(), *beside(*what, angle))).findings if f.rule == "surplus-cut"]
    assert found.severity is severity and said in found.message, found.message


# --- low travel, the same path again, ends of a cut -----------------------------------------------------


def test_low_travel_over_a_small_loose_piece_is_told_however_long_the_way():
    lines = text_of(*cuts()).splitlines()
    end = max(k for k, line in enumerate(lines) if line == "G92.1")
    for y, over in ((Y + 30.0, True), (Y + 30.0 + 9.0, True), (Y + 70.0, False)):
        way = [f"G0 X380 Y{y}", "G1 Z3 F900", "G1 X5 F6000", "G0 Z25"]
        proof = proof_of("\n".join([*lines[:end], *way, *lines[end:]]) + "\n")
        assert bool(told(proof, "travel-low-over-freed")) is over
    # A piece of 7 mm on a way of 600: not one of 33 places on it needs to lie on the piece.
    small = Path.circle((X + 30, Y + 100), 3.5)
    items = (*cuts(), cut(small, Path.polyline([(X + 30, Y + 100), tuple(small.start)]), "hole", 5, 1.0, 0.0))
    lines = text_of(*items).splitlines()
    end = max(k for k, line in enumerate(lines) if line == "G92.1")
    for x in (371.0, 377.0, 383.0, 389.0):
        way = [f"G0 X{x} Y{Y + 100}", "G1 Z3 F900", "G1 X5 F6000", "G0 Z25"]
        assert told(proof_of("\n".join([*lines[:end], *way, *lines[end:]]) + "\n"), "travel-low-over-freed")


def test_the_same_cut_in_other_pieces_is_the_same_cut():
    text = HEAD
    for number, xs in enumerate(((12, 19, 27, 34, 41, 48, 55, 60), (60,))):
        moves = "".join(f"G1 X{x} F2200\n" for x in xs)
        text += f"G0 X10 Y50\n{FIND if not number else FIND.replace('-84', '-49')}{LIGHT}{moves}M5\nG4 P0.3\nG0 Z25\n"
    assert told(
        prove(text + "M2\n", Against(control=DIALECT, machine=MACHINE, process=PROCESS)), "same-contour-twice"
    ) == [Severity.WARNING]


def test_a_closed_cut_must_not_cross_another_kerf_before_it_closes_though_its_end_is_near():
    # The other kerf crosses the path 6 mm before the outline closes: in its last 8 mm, but on its edge.
    other = Cut(
        feature=7, kind="slit", part="plate", label="strip", pierce=(X - 9.0, Y + 24.0),
        contour=Path.polyline([(X - 9, Y + 24), (X + 6, Y + 24)]), feed_mm_min=2200.0, kerf=1.5,
    )  # fmt: skip
    around = rolled(100.0, 60.0, 0.75)
    outline = cut(around, Path.polyline([(X - 5, Y + 34), tuple(around.start)]), "outline", 1, 1.0, 0.0)
    assert "arc-crosses-gap" in errors(proof_of(text_of(cuts()[0], other, outline)))
    assert "arc-crosses-gap" not in errors(proof_of(text_of(cuts()[0], outline)))


# --- several runs together ------------------------------------------------------------------------------


def open_cut(path: Path, lead: Path, feature: int, kind: str) -> Cut:
    x, y = lead.start.tolist()
    return Cut(
        feature=feature, kind=kind, part="plate", label=f"{kind} {feature}", pierce=(x, y), contour=path, lead_in=lead,
        feed_mm_min=2200.0, kerf=1.5,
    )  # fmt: skip


def ngon(n: int, r: float, turn: float) -> Path:
    at = turn + 2 * np.pi * np.arange(n) / n
    return Path.polyline(np.column_stack([X + 50 + r * np.cos(at), Y + 30 + r * np.sin(at)]), closed=True)


def in_two(path: Path, at: float, over: float) -> tuple[Path, Path]:
    """Return a closed path in two open runs, the second from `over` before the end of the first."""
    total = path.length()
    return path.part(0.0, at * total), path.part(at * total - over, total + 1.0)


@pytest.mark.parametrize("n", [3, 4, 5, 6])
@pytest.mark.parametrize(("turn", "at"), [(0.0, 0.4), (0.35, 0.63)])
def test_a_hole_of_any_shape_cut_in_two_runs_is_free(n: int, turn: float, at: float):
    hole, inset = ngon(n, 22.0, turn), ngon(n, 22.0 - 0.75 / math.cos(math.pi / n), turn)
    parts = (*OUTLINE, Contour(hole, ("2",), "0"))
    a, b = in_two(inset, at, 1.0)
    center = np.array([X + 50, Y + 30])

    def lead(run: Path, pull: float) -> Path:
        return Path.polyline([tuple(run.start + (center - run.start) * pull), tuple(run.start)])

    right = (open_cut(a, lead(a, 0.4), 0, "hole"), open_cut(b, lead(b, 0.4), 1, "hole"))
    proof = proof_of(text_of(*right, cuts()[1]), parts)
    assert errors(proof) == set() and proof.parts[0].holes_cut == 1
    # Two kerfs of metal left between the runs hold the slug.
    total = inset.length()
    short = open_cut(
        inset.part(at * total + 3.0, total + 1.0), lead(inset.part(at * total + 3.0, total), 0.4), 1, "hole"
    )
    assert {"not-free", "metal-left"} <= errors(proof_of(text_of(right[0], short, cuts()[1]), parts))


@pytest.mark.parametrize("backwards", [False, True])
def test_an_outline_cut_in_two_runs_that_meet_is_free_and_its_edge_exact(backwards: bool):
    path = rolled(100.0, 60.0, 0.75)
    a, b = in_two(path, 0.5, 1.0)
    lead_a = Path([(X - 4.75, Y + 26, -math.tan(math.pi / 8)), (*a.start.tolist(), 0.0)], False)
    side = 6.0
    if backwards:
        b, side = b.reversed(), -6.0
    lead_b = Path.polyline([(b.start[0] + side, b.start[1] + (6.0 if backwards else 3.0)), tuple(b.start)])
    items = (cuts()[0], open_cut(a, lead_a, 1, "outline"), open_cut(b, lead_b, 2, "outline"))
    proof = proof_of(text_of(*items))
    assert errors(proof) == set() and proof.parts[0].comes_free and proof.edge_deviation < 1e-4
    # 0.03 mm left on one of the two is seen.
    wide = rolled(100.0, 60.0, 0.78)
    off = open_cut(wide.part(0.0, wide.length() / 2), lead_a.moved(-0.03, 0.0), 1, "outline")
    assert "metal-left" in errors(proof_of(text_of(cuts()[0], off, items[2])))


def test_halves_on_two_plates_do_not_free_together():
    path = rolled(100.0, 60.0, 0.75)
    a, b = in_two(path, 0.5, 1.0)
    lead_a = Path([(X - 4.75, Y + 26, -math.tan(math.pi / 8)), (*a.start.tolist(), 0.0)], False)
    lead_b = Path.polyline([(b.start[0] + 6.0, b.start[1] + 3.0), tuple(b.start)])
    lines = text_of(open_cut(a, lead_a, 1, "outline"), open_cut(b, lead_b, 2, "outline")).splitlines()
    second = next(k for k, line in enumerate(lines) if line.startswith("(cut 2 of"))
    text = "\n".join([*lines[:second], "(next sheet)", "M0", *lines[second:]]) + "\n"
    assert "new-plate-unproven" in errors(proof_of(text, OUTLINE))
