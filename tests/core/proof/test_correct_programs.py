"""Correct programs that a careless rule would cry wolf on, rule by rule: each must be left alone, or merely noted."""

from __future__ import annotations

import pytest

from kerfproof.proof.rule import all_rules
from support.programs.examples import FIND, LIGHT, evidence_of
from support.programs.rule_pages import Example

RULES = all_rules()
FIND_AGAIN = FIND.replace("-84", "-49")
OFF = "M5\nG4 P0.3\nG0 Z25\n"
RECTANGLE = "G1 X20 F2200\nG1 Y80\nG1 X120\nG1 Y20\nG1 X20\nG1 Y51\n"
"""The outline of a piece of 100 x 60, begun at 10 50."""


def ring(x: float, y: float, r: float, start: str = "") -> str:
    """Return travel, light-up and a counter-clockwise circle from its middle."""
    go = start or f"G0 X{x} Y{y}\n{FIND_AGAIN}{LIGHT}"
    circle = f"G1 X{x + r} F2200\nG3 X{x - r} Y{y} I{-r} J0\nG3 X{x + r} Y{y} I{r} J0\n"
    return go + circle + f"G3 X{x + r - 0.05} Y{y + 1} I{-r} J0\n" + OFF


OUTLINE = f"G0 X10 Y50\n{FIND_AGAIN}{LIGHT}{RECTANGLE}{OFF}"

ALONE: list[tuple[str, str, dict[str, str], str]] = [
    # torch on without a touch-off
    ("torch-on-without-touch-off", "a head set by hand", {"Machine": "contact-none", "Given": "head"},
     "G0 X10 Y50\nG1 Z0 F200\nM3\nG4 P0.4\nG1 Z1.5 F900\nG1 X30 F2200\nM5\n"),
    ("torch-on-without-touch-off", "a pilot arc within its skip distance",
     {"Machine": "pilot-float retouch_distance=50", "Given": "touched"},
     "G1 Z3 F900\nM3\nG4 P0.7\nG1 Z1.5\nG1 X12 F2200\n" + OFF
     + "G0 X40\nG1 Z3 F900\nM3\nG4 P0.7\nG1 Z1.5\nG1 X42 F2200\nM5\n"),
    ("torch-on-without-touch-off", "touched beside the spot and stepped over", {"Given": "touched"},
     "G1 Z5 F1000\nG0 X18\nG1 Z-1 F1000\nM3\nG4 P0.4\n"),
    ("torch-on-without-touch-off", "several touches, then one step over", {"Given": "touched"},
     FIND_AGAIN + "G1 Z5 F1000\nG0 X18\nG1 Z-1 F1000\nM3\nG4 P0.4\n"),
    # started off the plate, or touching
    ("contact-start-off-plate", "a head set by hand, tip on the plate", {"Machine": "contact-none", "Given": "head"},
     "G0 X10 Y50\nG1 Z-0.2 F200\nM3\nG4 P0.4\n"),
    ("contact-start-off-plate", "seated by the preload", {"Given": "touched"}, "M3\nG4 P0.4\n"),
    ("contact-start-off-plate", "a pilot torch in the air", {"Machine": "pilot-none", "Given": "head"},
     "G0 X10 Y50\nG1 Z3 F200\nM3\n"),
    ("pilot-start-touching", "a contact torch on the plate", {"Given": "touched"}, "M3\nG4 P0.4\n"),
    ("pilot-start-touching", "a pilot torch at its height", {"Machine": "pilot-none", "Given": "head"},
     "G0 X10 Y50\nG1 Z3 F200\nM3\n"),
    # no pierce delay
    ("no-pierce-delay", "a delay that the control adds to its on word",
     {"Machine": "contact-float torch_on_delay_s=1.0", "Given": "touched"}, "M3\nG1 Z1.5 F900\nG1 X30 F2200\nM5\n"),
    ("no-pierce-delay", "an edge start", {"Plate": "0 0 140 100", "Given": "touched at 0 50"},
     "M3\nG4 P0.4\nG1 Z1.5 F900\nG1 X30 F2200\nM5\n"),
    # rapid with the torch on: a short one in Z is a warning, see below
    # standing still with the torch on
    ("dwell-in-cut", "the pierce delay, and a wink of the control at a corner", {"Given": "touched"},
     "M3\nG4 P0.4\nG1 Z3 F900\nG4 P0.6\nG1 Z1.5 F900\nG1 X30 F2200\nG4 P0.05\nG1 Y60\nM5\nG4 P0.5\n"),
    # low travel
    ("travel-too-low", "a short run on in its own kerf after the torch went out", {"Given": "burning"},
     "G1 X30 F2200\nM5\nG1 X34\nG4 P0.3\nG0 Z25\nG0 X80\n"),
    ("travel-too-low", "a step over at 5 mm after the touch-off", {"Given": "touched"}, "G1 Z5 F1000\nG0 X22\n"),
    # heights
    ("cut-height-out-of-band", "kept high over the slag ring at first", {"Given": "touched"},
     "M3\nG4 P0.4\nG1 Z3 F900\nG4 P0.3\nG1 X14 F2200\nG1 Z1.5 F900\nG1 X60 F2200\nM5\n"),
    ("cut-height-out-of-band", "height control that follows the plate", {"Machine": "pilot-height", "Given": "touched"},
     "G1 Z3 F1000\nM3\nG4 P0.7\nG1 Z1.5 F900\nM64 P2\nG1 X60 Z2.1 F2200\nM65 P2\nM5\n"),
    # the off word of a line comes first
    ("touch-off-with-torch-on", "M5 on the line of the search", {"Given": "burning"},
     "G1 X30 F2200\nG0 Z25\nG4 P0.2\nG92 Z0\nG38.2 Z-49 F150 M5\n"),
    # datum left behind
    ("datum-left-behind", "the end word clears the shift (NISTIR 6556, 3.6.1)", {"Given": "touched"}, "G0 Z25\nM2\n"),
    # order
    ("hole-after-outline", "an island before the hole round it", {"Given": "touched at 70 50"},
     LIGHT + ring(70, 50, 8, " ") + ring(70, 50, 20, f"G0 X84 Y50\n{FIND_AGAIN}{LIGHT}") + OUTLINE),
    ("hole-after-outline", "an outline left on a tab", {"Given": "burning at 10 50"},
     RECTANGLE.replace("G1 Y51\n", "G1 Y46\n") + OFF + ring(70, 50, 8)),
    ("hole-after-outline", "a second plate after a stop", {"Given": "burning at 10 50"},
     RECTANGLE + OFF + "(next plate)\nM0\n" + ring(70, 50, 8) + OUTLINE),
    ("new-plate-unproven", "a second sheet with a hole more", {"Given": "burning at 10 50"},
     RECTANGLE + OFF + "(next plate)\nM0\n" + ring(70, 50, 8) + OUTLINE),
    ("new-plate-unproven", "a word of sheets at a stop that changes none", {"Given": "burning at 10 50"},
     RECTANGLE + OFF + "(look at the sheet)\nM0\n" + "G0 X140 Y60\n"),
    ("hole-after-outline", "the skeleton cut apart at the end", {"Given": "burning at 10 50"},
     RECTANGLE + OFF + f"G0 X10 Y90\n{FIND_AGAIN}{LIGHT}G1 X135 F2200\nM5\n"),
    # starts in air
    ("off-plate", "an edge start", {"Plate": "0 0 140 100", "Given": "burning at 0 50"}, "G1 X30 F2200\nM5\n"),
    ("pierce-over-void", "an edge start in an old slot at the plate's edge",
     {"Plate": "0 0 140 100", "Given": "burning at 0 50"},
     "G1 X30 F2200\n" + OFF + f"G0 X0 Y50.2\n{FIND_AGAIN}{LIGHT}G1 X30 Y60 F2200\nM5\n"),
    # the same cut twice
    ("same-contour-twice", "an over-burn", {"Given": "burning at 10 50"}, RECTANGLE + OFF),
    ("same-contour-twice", "a resumed cut that overlaps by 5 mm", {"Given": "burning at 10 50"},
     "G1 X60 F2200\n" + OFF + f"G0 X55\n{FIND_AGAIN}{LIGHT}G1 X120 F2200\nM5\n"),
    ("same-contour-twice", "a second plate after a stop", {"Given": "burning at 10 50"},
     "G1 X60 F2200\n" + OFF + "(change plate)\nM0\n" + f"G0 X10\n{FIND_AGAIN}{LIGHT}G1 X60 F2200\nM5\n"),
    # feeds
    ("feed-in-wrong-unit", "thick plate at a slow feed of its own", {"Process": "steel 10", "Given": "burning"},
     "G1 X30 F480\n"),
    ("feed-beyond-machine", "a move to where the torch is already", {"Given": "burning"}, "G1 X30 F2200\nG1 X30\n"),
    ("feed-off-chart", "a hole slowed to six tenths", {"Given": "burning"}, "G1 X30 F1320\n"),
    ("feed-off-chart", "a tiny hole slowed as far as the table asks", {"Given": "burning at 10 50"},
     "G3 X6 Y50 I-2 J0 F700\nG3 X10 Y50 I2 J0\nM5\n"),
    # leads
    ("lead-through-kept-metal", "no drawing: nothing is known to be kept", {"Given": "burning at 10 50"},
     RECTANGLE + OFF),
    # arcs
    ("collapsed-arc", "an honest full circle by its centre", {"Given": "burning at 30 50"},
     "G2 X30 Y50 I10 J0 F2200\n"),
    # planner
    ("moves-too-short", "rolled corners between long sides", {"Given": "burning at 10 50"},
     "G1 X60 F2200\nG2 X60.75 Y49.25 I0 J-0.75\nG1 Y20\nG2 X60 Y19.25 I-0.75 J0\nG1 X10\nM5\n"),
    ("moves-too-short", "a curve in many short arcs that are long together", {"Given": "burning at 10 50"},
     "F2200\n" + "".join(f"G2 X{10 + 0.4 * k:.1f} Y50 I0.2 J-3\n" for k in range(1, 60)) + "M5\n"),
    # touch-off near a void
    ("touch-off-near-void", "half the tip's face on sound plate in a crowded pattern", {"Given": "burning at 10 50"},
     "G1 X60 F2200\n" + OFF + f"G0 X40 Y53.8\n{FIND_AGAIN}{LIGHT}M5\n"),
    ("touch-off-near-void", "an edge start on plate too thick to pierce",
     {"Plate": "0 0 140 100", "Given": "burning at 0 50", "Process": "steel 10"},
     "G1 X30 F2200\n" + OFF + f"G0 X0 Y52\n{FIND_AGAIN}{LIGHT}M5\n"),
    ("tip-change-inside-part", "a stop that tells to look at the tip", {"Given": "burning at 70 50"},
     "G1 X75 F2200\nG3 X65 Y50 I-5 J0\nG3 X75 Y50 I5 J0\n" + OFF + "(MSG, tip on plate, clamp on)\nM0\n" + OUTLINE),
    ("duty-over", "a rest that the program waits for", {"Given": "burning at 10 50"},
     "G1 X60 F20\n" + OFF + "(rest)\nG4 P600\n" + f"G0 X10 Y70\n{FIND_AGAIN}{LIGHT}G1 X60 F15\nM5\nG0 Z25\nM2\n"),
    ("travel-over-tipping", "a stop to look before it", {"Given": "burning at 10 50"},
     RECTANGLE + OFF + "(freed pieces may stand up: look)\nM0\nG0 X140 Y60\n"),
    ("work-offset-changed", "the same offset stated again and again", {"Given": "head"}, "G54\nG0 X1 Y1\nG54\n"),
    ("float-feed-differs", "a head set by hand", {"Machine": "contact-none", "Given": "head"}, "G0 X1\nM3\n"),
    ("float-feed-differs", "touched fast, then slowly, and back to the slow trip",
     {"Control": "published", "Given": "none"},
     "G21\nG0 X10 Y50\nG4 P0.2\nG92 Z0\nG38.2 Z-84 F1000\n#101=#5063\nG1 Z[#101+2] F600\n"
     "G38.2 Z[#101-1.5] F150\nG1 Z#5063 F60\nG4 P0.2\nG92 Z-19.05\nG1 Z-1 F1000\nM3\n"),
    ("pierce-on-slat", "slats that are not known", {"Given": "burning at 100 50"}, "M5\n"),
    ("pierce-too-long", "a pierce twice as long as the chart's", {"Given": "touched"},
     "M3\nG4 P0.4\nG1 Z3 F900\nG4 P0.6\nG1 Z1.5 F900\nG1 X30 F2200\nM5\n"),
    ("pierce-too-high", "a pilot arc lit at 4 mm", {"Machine": "pilot-none", "Given": "head"},
     "G0 X10 Y50\nG1 Z4 F200\nM3\nG4 P0.7\nG1 Z1.5 F900\nG1 X60 F2200\nM5\n"),
    ("pierce-too-high", "a raise behind the cut", {"Given": "burning"}, "G1 X60 F2200\nG0 Z25\nM5\n"),
    ("search-without-sense", "a floating head has a switch", {"Given": "touched"}, "M5\n"),
    ("search-from-closed-switch", "a second touch after the switch has let go", {"Given": "touched"},
     "G1 Z-17 F600\nG38.2 Z-21 F150\n"),
    ("arc-crosses-gap", "a sharp corner is no turn in the own kerf", {"Given": "burning at 10 50"},
     "G1 X60 F2200\nG1 X12 Y59\nM5\n"),
    ("arc-crosses-gap", "a lead-out back into the kerf", {"Given": "burning at 10 50"},
     "G1 X60 F2200\nG1 X53\nM5\n"),
    ("travel-too-low", "a first travel at the height of an operator's choice", {"Given": "head"}, "G0 X10 Y50\n"),
    ("touch-off-miss-unguarded", "an optional stop to look before the first start", {"Given": "touched"},
     "M1\nM3\nG4 P0.4\n"),
    ("contact-too-long", "a light delay as long as the machine's and a little", {"Given": "touched"},
     "M3\nG4 P0.6\nG1 Z3 F900\n"),
    ("flat-plate-needed", "a head that finds the plate itself", {"Given": "burning at 10 50"},
     OFF + f"G0 X450\n{FIND_AGAIN}{LIGHT}M5\n"),
]  # fmt: skip


def findings(rule: str, header: dict[str, str], text: str):
    return RULES[rule].findings(evidence_of(Example(header, text)))


@pytest.mark.parametrize(("rule", "what", "header", "text"), ALONE, ids=[f"{r}: {w}" for r, w, _, _ in ALONE])
def test_a_correct_program_is_left_alone(rule: str, what: str, header: dict[str, str], text: str):
    assert findings(rule, header, text) == ()


MERELY: list[tuple[str, str, str, dict[str, str], str]] = [
    ("warning", "rapid-with-torch-on", "a rapid rise to cut height", {"Given": "touched"},
     "M3\nG4 P0.4\nG0 Z1.5\nG4 P0.3\nG1 X30 F2200\nM5\n"),
    ("warning", "float-feed-differs", "touched fast, then slowly, and back to the fast trip",
     {"Control": "published", "Given": "none"},
     "G21\nG0 X10 Y50\nG4 P0.2\nG92 Z0\nG38.2 Z-84 F1000\n#101=#5063\nG1 Z[#101+2] F600\n"
     "G38.2 Z[#101-1.5] F150\nG1 Z#101 F60\nG4 P0.2\nG92 Z-19.05\nG1 Z-1 F1000\nM3\n"),
    ("warning", "sense-left-connected", "a light-up at once after the sense circuit was disconnected",
     {"Machine": "contact-ohmic", "Given": "touched"}, "M64 P1\nM65 P1\nM3\nG4 P0.4\n"),
    ("warning", "pierce-too-high", "a pierce half as high again", {"Given": "touched"},
     "M3\nG4 P0.4\nG1 Z5 F900\nG4 P0.3\nG1 Z1.5 F900\nG1 X30 F2200\nM5\n"),
    ("warning", "travel-too-low", "a few mm of travel when the arc is out", {"Given": "burning"},
     "G1 X30 F2200\nM5\nG4 P0.3\nG1 X32\nG0 Z25\nG0 X80\n"),
    ("warning", "touch-off-near-void", "a start on the edge of plate that can be pierced",
     {"Plate": "0 0 140 100", "Given": "burning at 0 50"}, "G1 X30 F2200\nM5\n"),
    ("error", "touch-off-near-void", "a touch-off beside the plate",
     {"Plate": "0 0 140 100", "Given": "burning at 146 50", "Process": "steel 10"}, "G1 X130 F480\nM5\n"),
    ("warning", "outside-travel", "travel far beyond the plate", {"Plate": "0 0 140 100", "Given": "burning"},
     "G1 X30 F2200\n" + OFF + "G0 X500\n"),
    ("warning", "outside-travel", "a job that lies beyond the table's end, seen from zero", {"Given": "head"},
     "G0 X1150 Y50\nG0 X1250\n"),
    ("error", "work-offset-changed", "travel before the work offset is named", {},
     "G21\nG90\nG0 X10 Y50\nG54\nG0 X30\n"),
    ("error", "cut-height-out-of-band", "height control on, and Z written far over the plate within a move",
     {"Machine": "pilot-height", "Given": "touched"},
     "G1 Z3 F1000\nM3\nG4 P0.7\nG1 Z1.5 F900\nM64 P2\nG1 X60 Z20 F2200\nM65 P2\nM5\n"),
    ("error", "cut-height-out-of-band", "height control on, and Z written far over the plate by itself",
     {"Machine": "pilot-height", "Given": "touched"},
     "G1 Z3 F1000\nM3\nG4 P0.7\nG1 Z1.5 F900\nM64 P2\nG1 X30 F2200\nG1 Z20 F900\nG1 X60 F2200\nM65 P2\nM5\n"),
    ("error", "cut-height-out-of-band", "height control on, and Z written in the plate within a move",
     {"Machine": "pilot-height", "Given": "touched"},
     "G1 Z3 F1000\nM3\nG4 P0.7\nG1 Z1.5 F900\nM64 P2\nG1 X60 Z-0.4 F2200\nM65 P2\nM5\n"),
    ("error", "cut-height-out-of-band", "height control on, and Z written in the plate by itself",
     {"Machine": "pilot-height", "Given": "touched"},
     "G1 Z3 F1000\nM3\nG4 P0.7\nG1 Z1.5 F900\nM64 P2\nG1 X30 F2200\nG1 Z-0.4 F900\nG1 X60 F2200\nM65 P2\nM5\n"),
    ("error", "travel-too-low", "travel that clears the plate found last, but not one a band higher",
     {"Given": "burning"}, "G1 X30 F2200\nM5\nG4 P0.3\nG0 Z3\nG0 X80\nG0 Z25\n" + FIND_AGAIN),
    ("warning", "arc-crosses-gap", "a turn in the own kerf by 2 mm", {"Given": "burning at 10 50"},
     "G1 X32 F2200\nG1 X30\nG1 Y90\nM5\n"),
    ("error", "arc-crosses-gap", "a turn in the own kerf by 10 mm", {"Given": "burning at 10 50"},
     "G1 X40 F2200\nG1 X30\nG1 Y90\nM5\n"),
    ("warning", "travel-too-low", "a first travel on a homed machine from wherever the head is",
     {"Machine": "contact-float-homed", "Given": "head"}, "G0 X10 Y50\n"),
    ("warning", "touch-off-miss-unguarded", "no stop to look before the first start", {"Given": "touched"},
     "M3\nG4 P0.4\n"),
    ("note", "datum-left-behind", "a work offset that nothing clears",
     {"Control": "offset", "Given": "head"},
     "G0 X10 Y50\nG4 P0.2\nG10 L20 P1 Z0\nG38.2 Z-84 F150\nG4 P0.2\nG10 L20 P1 Z-19.05\nG0 Z25\nM2\n"),
    ("warning", "units-missing-or-changed", "a program for a control with one fixed unit", {},
     "M5\nG17 G40 G49 G80\nG90 G94\nG0 X10 Y10\nG1 X50 F2200\nM2\n"),
    ("note", "text-not-plain", "an accent in a comment", {"Given": "head"}, "(pi\u00e8ce 1)\nG0 X1\nM2\n"),
    ("note", "text-after-end", "a tail behind the end", {"Given": "head"}, "M2\nend of tape\n"),
    ("note", "tip-life-over", "an honest long job", {"Process": "short tips", "Given": "burning"},
     OFF + "".join(f"G0 X{20 * k}\n{FIND_AGAIN}{LIGHT}{OFF}" for k in range(2, 6))),
    ("warning", "duty-over", "a rest at a stop, which the operator must wait for", {"Given": "burning at 10 50"},
     "G1 X60 F20\n" + OFF + "(rest 10 min)\nM0\n" + f"G0 X10 Y70\n{FIND_AGAIN}{LIGHT}G1 X60 F15\nM5\nG0 Z25\nM2\n"),
    ("warning", "duty-over", "the bare word rest at a stop", {"Given": "burning at 10 50"},
     "G1 X60 F20\n" + OFF + "(rest)\nM0\n" + f"G0 X10 Y70\n{FIND_AGAIN}{LIGHT}G1 X60 F15\nM5\nG0 Z25\nM2\n"),
    ("warning", "new-plate-unproven", "another sheet with other cuts elsewhere", {"Given": "burning at 10 50"},
     "G1 X30 F2200\n" + OFF + "(next sheet)\nM0\n" + f"G0 X10 Y70\n{FIND_AGAIN}{LIGHT}G1 X30 F2200\nM5\n"),
    ("error", "new-plate-unproven", "holes on one sheet, their outline on the next", {"Given": "burning at 65 50"},
     "G3 X65 Y50 I5 J0 F2200\n" + OFF + "(change sheet)\nM0\n" + OUTLINE),
    ("note", "arc-crosses-gap", "a pilot arc over an open kerf", {"Machine": "pilot-none", "Given": "head"},
     "G0 X10 Y50\nM3\nG4 P0.7\nG1 X60 F2200\nM5\nG0 Z25\nG0 X30 Y20\nM3\nG4 P0.7\nG1 Y80 F2200\nM5\n"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("severity", "rule", "what", "header", "text"), MERELY, ids=[f"{r}: {w}" for _, r, w, _, _ in MERELY]
)
def test_a_doubtful_program_is_told_once_with_its_weight(severity, rule, what, header, text):
    assert [f.severity.value for f in findings(rule, header, text)] == [severity]
