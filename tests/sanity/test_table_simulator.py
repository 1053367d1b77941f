"""The table simulator, which shares nothing with the reader, tried by itself.

It must see nothing wrong with right programs on tables drawn by lot, must see gross faults, and must come to numbers
that are worked out by hand here.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest
from shapely import LineString

from support.programs.edit_subjects import POOL, SPECIAL, STARTS, subject
from support.referees.simulated_harm import run_on
from support.referees.simulated_language import Refused, take, worked_out
from support.shop.shop import DIALECTS

RIGHT = [f"cut plate {start}/{DIALECTS[k]}/{'mm' if k % 2 else 'in'}" for k, start in enumerate(STARTS)]
RIGHT += [f"cut wedge special/{name}" for name in SPECIAL]
RIGHT += ["cut gusset contact float/skip/mm", "rest0 plate contact float/ngc/mm", "tour plate special/output torch"]


@pytest.mark.parametrize("name", RIGHT)
def test_a_right_program_does_no_harm_on_any_table(name: str):
    one = subject(name)
    harm = one.simulated(one.text, tuple(range(POOL)))
    assert (harm.word, harm.harms, harm.doubts) == ("none", (), ())


def _swap(old: str, new: str, count: int = 0) -> Callable[[str], str]:
    def change(text: str) -> str:
        assert re.search(old, text, re.MULTILINE)
        return re.sub(old, new, text, count=count, flags=re.MULTILINE)

    return change


GROSS = {
    "travel too low": _swap(r"^G0 Z[\d.]+$", "G0 Z1"),
    "head driven onto the plate": _swap(r"^G38.2 Z-84 F1000$", "G0 Z-84"),
    "control stops by an error": _swap(r"^G4 P0.4$", "G4 Q0.4", 1),
    "arc start not in contact": _swap(r"^G1 Z-1 F1500$", "G1 Z2 F1500", 1),
    "lit torch driven into the plate": _swap(r"^G1 Z1.5 F900$", "G1 Z-5 F900", 1),
    "cut height off": _swap(r"^G1 Z1.5 F900$", "G1 Z4 F900", 1),
    "no pierce delay": _swap(r"^G1 Z3 F900\nG4 P0.033\n", "", 1),
    "moves before the arc is lit": _swap(r"^G4 P0.4\n", "", 1),
    "feed off": _swap(r" F2200$", " F1000"),
    "rapid with the torch on": _swap(r"^G1 X11.45 Y10.725$", "G0 X11.45 Y10.725", 1),
    "kept metal gouged": _swap(r"I-5.275 J0$", "I-5.275 J0\nG1 X33.45 Y40.0", 1),
    "left uncut": _swap(r"^G2 X10.725 Y11.45 I0 J0.725$", "G1 X10.5 Y11.45", 1),
    "search over a void": _swap(r"^G0 X96.45 Y60.725$", "G0 X33.45 Y31.45", 1),
    "torch on at the end": _swap(r"^M5\nG4 P0.3\nG0 Z25\nM5\nG0 Z25\n", ""),
    "torch on at a stop": _swap(r"^G1 X11.45 Y10.725$", "M0\nG1 X11.45 Y10.725", 1),
    "tip down at a stop": _swap(r"^M5\nG4 P0.3\n", "M5\nM0\nG4 P0.3\n", 1),
    "way home with the torch on": _swap(r"^G1 X11.45 Y10.725$", "G28\nG1 X11.45 Y10.725", 1),
    "raised with the torch on": _swap(r"^M5\nG4 P0.3\n", "", 1),
    "a search drags the tip sideways": _swap(r"^G38.2 Z-(?!84)[\d.]+ F1000$", "G38.2 X300 Z-49 F1000", 1),
    "moves with kerf compensation on": _swap(r"^G17 G40", "G17 G41"),
}


@pytest.mark.parametrize("kind", GROSS)
def test_a_gross_fault_is_seen_by_the_simulator(kind: str):
    one = subject("cut plate contact float/ngc/mm")
    changed = GROSS[kind](one.text)
    assert changed != one.text
    harm = one.simulated(changed, tuple(range(POOL)))
    assert kind in {what for what, _, _ in harm.harms}


def test_a_cut_that_nobody_drew_is_seen():
    one = subject("cut plate contact float/ngc/mm")
    first = one.text[one.text.index("(cut 1 of") : one.text.index("(cut 2 of")]
    aside = re.sub(r"([XY])(\d[\d.]*)", lambda m: f"{m[1]}{float(m[2]) + 31:g}", first).replace("Z-84", "Z-49")
    harm = one.simulated(one.text.replace("(cut 2 of", aside + "(cut 2 of", 1), tuple(range(POOL)))
    assert {"a cut where nothing is drawn", "kept metal gouged"} <= {what for what, _, _ in harm.harms}


@pytest.mark.parametrize("line", ["G92 X0 Y0", "G92.0 X0 Y0", "G10 L2 P1 X0 Y0", "G91 G0 X5\nG90"])
def test_a_start_that_leans_on_where_the_torch_was_parked_is_seen(line: str):
    one = subject("cut plate contact float/ngc/mm")
    at = one.text.index("G0 X33.45 Y31.45")
    bare = line if line.startswith("G91") else line + "\nG0 X33.45 Y31.45"
    harm = one.simulated(one.text[:at] + bare + one.text[at + len("G0 X33.45 Y31.45") :], tuple(range(POOL)))
    assert harm.word == "harm"


def test_burned_lengths_are_those_worked_out_by_hand():
    one = subject("cut plate contact float/ngc/mm")
    burns = run_on(one.text, one.rig, one.dialect, one.tables[0], one.sheet).burns
    r = 6 - 1.45 / 2  # half circle to the rim, the rim, 1 mm of over-burn
    length = LineString(burns[0].points).length
    assert length == pytest.approx(math.pi * r / 2 + 2 * math.pi * r + 1.0, abs=0.02)
    assert burns[0].height == pytest.approx(-1.0, abs=0.02)
    assert burns[0].still == pytest.approx(0.4)
    assert burns[0].before_cut == pytest.approx(0.4 + 4 / 900 * 60 + 0.033 + 1.5 / 900 * 60, abs=1e-3)
    assert burns[0].heights[1:] == pytest.approx([1.5] * len(burns[0].heights[1:]), abs=0.02)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("X1.5", 1.5), ("x-.5", -0.5), ("X [2 + 3 * 4]", 14.0), ("X[[2+3]*4]", 20.0), ("X[2**3**1]", 8.0),
        ("X#1", 7.0), ("X-#1", -7.0), ("XSQRT[16]", 4.0), ("XABS[#1-10]", 3.0), ("XATAN[1]/[1]", 45.0),
        ("X[1 GT 2]", 0.0), ("X[7 MOD 4]", 3.0), ("N20 X(a comment)3", 3.0), ("XROUND[2.5]", 3.0), ("XFIX[-2.5]", -3.0),
    ],
)  # fmt: skip
def test_numbers_are_read_as_the_standard_says(text: str, value: float):
    words = take(text, False, True, False, 256).words
    assert [letter for letter, _ in words] == ["X"]
    assert worked_out(words[0][1], lambda number: 7.0) == pytest.approx(value)


def test_the_root_of_a_negative_number_stops_the_control():
    ((_, value),) = take("XSQRT[-1]", False, True, False, 256).words
    with pytest.raises(Refused):
        worked_out(value, lambda number: 0.0)
