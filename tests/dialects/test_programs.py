"""Whole programs typed by hand from the start sequences, one for each kind of torch, touch-off and control.

The plan: a slit from (10, 10) to (20, 10), then a quarter turn from (30, 20) to (20, 30), 6 mm steel. Numbers:
first search 60 parked + 19.05 float + 4 band + 1 = 84.05; later 25 + 19.05 + 4 + 1 = 49.05; the trip is then
expected at 25 + 19.05 = 44.05. The rise from 1 below to 3 above at 900 mm/min takes 0.267 s of the 0.7 s pierce.
Without float: 60 + 4 + 1 = 65, later 30, the rise from 0 to 3 takes 0.2 s.
The fast touch at 1000 mm/min runs on by 16.667 x 0.01 + 16.667^2 / 600 = 0.6296, at 300 by 0.05 + 0.0417.
"""

from __future__ import annotations

import pytest

from kerfproof.gcode.writer.writer import write
from kerfproof.registry import load_folder
from kerfproof.shop.profile import StartKind, TouchOff
from support.shop.cutting import PLATE_6MM, SHEET_2MM, machine, plan, words_of

DIALECTS = load_folder("kerfproof.gcode.dialects", "DIALECT")
CONTACT, PILOT = StartKind.CONTACT, StartKind.PILOT
FLOAT, OHMIC, NONE = TouchOff.FLOAT, TouchOff.OHMIC, TouchOff.NONE

NGC_MODES = "M5|G17 G40 G49 G80|G90 G94|G21|G54|G64|F6000"
COMPACT_MODES = "M5|G17 G40 G49 G80|G90 G94|G21|G54|G61|G91.1|F6000"
SKIP_MODES = NGC_MODES

# What follows the touch-off up to the end of each cut, contact start with a float.
LIGHT_FLOAT = "M3|G4 P0.4|G1 Z3 F900|G4 P0.433|G1 Z1.5 F900"
LIGHT_FIXED = "M3|G4 P0.4|G1 Z3 F900|G4 P0.5|G1 Z1.5 F900"
LIGHT_PILOT = "M3|G4 P0.4|G4 P0.7"
SLIT = "G1 X20 Y10 F1100|M5|G4 P0.3|G0 Z25"
BOW = "G3 X20 Y30 I-10 J0 F1100|M5|G4 P0.3|G0 Z25"
# Over the slag ring for 4 of 10 mm, then down on 5 mm; the bow turns by 0.4 and 0.9 rad:
# 20 + 10 cos 0.4 = 29.2106, 20 + 10 sin 0.4 = 23.8942; from there the center lies at -9.2106, -3.8942;
# 20 + 10 cos 0.9 = 26.2161, 20 + 10 sin 0.9 = 27.8333; from there at -6.2161, -7.8333.
SLIT_HIGH = "G1 X14 Y10 F1100|G1 X19 Y10 Z1.5|G1 X20 Y10|M5|G4 P0.3|G0 Z25"
BOW_HIGH = (
    "G3 X29.2106 Y23.8942 I-10 J0 F1100|G3 X26.2161 Y27.8333 I-9.2106 J-3.8942 Z1.5|G3 X20 Y30 I-6.2161 J-7.8333"
    "|M5|G4 P0.3|G0 Z25"
)
LOOK = "(MSG, tip on plate, switch released, clamp on, face shield down)"
LOOK_PILOT = "(MSG, tip just over the plate, switch released, clamp on, face shield down)"
LOOK_OHMIC = "(MSG, tip on plate, sense circuit off, clamp on, face shield down)"
LOOK_NONE = "(MSG, tip on plate, clamp on, face shield down)"

PROGRAMS = {
    ("ngc", CONTACT, FLOAT): f"""{NGC_MODES}
        {NGC_MODES}|G0 X10 Y10
        G4 P0.2|G92 Z0|G38.2 Z-84.05 F1000
        #101=#5063|#102=SQRT[0-2-#101]
        G1 Z[#101+2] F600|G4 P0.1|G38.2 Z[#101-1.5] F150|#102=SQRT[0.3-ABS[#5063-#101]]
        G1 Z#5063 F60|G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LOOK}|M0|{LIGHT_FLOAT}|{SLIT}
        {NGC_MODES}|G0 X30 Y20
        G4 P0.2|G92 Z0|G0 Z-19|G38.2 Z-49.05 F1000
        #101=#5063|#102=SQRT[0-2-#101]|#102=SQRT[4-ABS[#101+44.05]]
        G1 Z[#101+2] F600|G4 P0.1|G38.2 Z[#101-1.5] F150|#102=SQRT[0.3-ABS[#5063-#101]]
        G1 Z#5063 F60|G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LIGHT_FLOAT}|{BOW}
        M5|G0 Z25|G92.1|M2""",
    ("compact", CONTACT, FLOAT): f"""{COMPACT_MODES}
        {COMPACT_MODES}|G0 X10 Y10
        G4 P0.2|G92 Z0|G38.2 Z-84.05 F1000
        G4 P0.2|G92 Z0|G1 Z2.6296 F600|G4 P0.1|G38.2 Z-1.5 F150
        G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LOOK}|M0|{LIGHT_FLOAT}|{SLIT}
        {COMPACT_MODES}|G0 X30 Y20
        G4 P0.2|G92 Z0|G0 Z-19|G38.2 Z-49.05 F1000
        G4 P0.2|G92 Z0|G1 Z2.6296 F600|G4 P0.1|G38.2 Z-1.5 F150
        G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LIGHT_FLOAT}|{BOW}
        M5|G0 Z25|G92.1|M2""",
    ("compact_offset", CONTACT, FLOAT): f"""{COMPACT_MODES}
        {COMPACT_MODES}|G0 X10 Y10
        G4 P0.2|G10 L20 P1 Z0|G38.2 Z-84.05 F1000
        G4 P0.2|G10 L20 P1 Z0|G1 Z2.6296 F600|G4 P0.1|G38.2 Z-1.5 F150
        G4 P0.2|G10 L20 P1 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LOOK}|M0|{LIGHT_FLOAT}|{SLIT}
        {COMPACT_MODES}|G0 X30 Y20
        G4 P0.2|G10 L20 P1 Z0|G0 Z-19|G38.2 Z-49.05 F1000
        G4 P0.2|G10 L20 P1 Z0|G1 Z2.6296 F600|G4 P0.1|G38.2 Z-1.5 F150
        G4 P0.2|G10 L20 P1 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LIGHT_FLOAT}|{BOW}
        M5|G0 Z25|M2""",
    ("skip_macro", CONTACT, FLOAT): f"""{SKIP_MODES}
        {SKIP_MODES}|G0 X10 Y10
        G4 P0.2|G92 Z0|G31 Z-84.05 F1000
        G4 P0.2|#101=#5063|IF [#101 GT -2] THEN #3000=1|IF [#101 LT -83.55] THEN #3000=1
        G1 Z[#101+2] F600|G4 P0.1|G31 Z[#101-1.5] F150
        G4 P0.2|IF [ABS[#5063-#101] GT 0.3] THEN #3000=1
        G1 Z#5063 F60|G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LOOK}|M0|{LIGHT_FLOAT}|{SLIT}
        {SKIP_MODES}|G0 X30 Y20
        G4 P0.2|G92 Z0|G0 Z-19|G31 Z-49.05 F1000
        G4 P0.2|#101=#5063|IF [#101 GT -2] THEN #3000=1|IF [ABS[#101+44.05] GT 4] THEN #3000=1
        G1 Z[#101+2] F600|G4 P0.1|G31 Z[#101-1.5] F150
        G4 P0.2|IF [ABS[#5063-#101] GT 0.3] THEN #3000=1
        G1 Z#5063 F60|G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LIGHT_FLOAT}|{BOW}
        M5|G0 Z25|G92.1|M30""",
    ("skip", CONTACT, FLOAT): f"""{SKIP_MODES}
        {SKIP_MODES}|G0 X10 Y10
        G4 P0.2|G92 Z0|G31 Z-84.05 F1000
        G4 P0.2|G92 Z0|G1 Z2.6296 F600|G4 P0.1|G31 Z-1.5 F150
        G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LOOK}|M0|{LIGHT_FLOAT}|{SLIT}
        {SKIP_MODES}|G0 X30 Y20
        G4 P0.2|G92 Z0|G0 Z-19|G31 Z-49.05 F1000
        G4 P0.2|G92 Z0|G1 Z2.6296 F600|G4 P0.1|G31 Z-1.5 F150
        G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z-1 F2000
        {LOOK}|M1|{LIGHT_FLOAT}|{BOW}
        M5|G0 Z25|G92.1|M30""",
    ("ngc", CONTACT, OHMIC): f"""{NGC_MODES}
        {NGC_MODES}|G0 X10 Y10
        G4 P0.2|G92 Z0|M64 P3|G4 P0.2|G38.2 Z-65 F300
        #101=#5063|#102=SQRT[0-2-#101]
        G1 Z[#101+2] F600|G4 P0.1|G38.2 Z[#101-1.5] F120|#102=SQRT[0.3-ABS[#5063-#101]]
        G1 Z#5063 F60|G4 P0.2|G92 Z0|G4 P0.1|M65 P3|G4 P0.2
        {LOOK_OHMIC}|M0|{LIGHT_FIXED}|{SLIT}
        {NGC_MODES}|G0 X30 Y20
        G4 P0.2|G92 Z0|G0 Z-19|M64 P3|G4 P0.2|G38.2 Z-30 F300
        #101=#5063|#102=SQRT[0-2-#101]|#102=SQRT[4-ABS[#101+25]]
        G1 Z[#101+2] F600|G4 P0.1|G38.2 Z[#101-1.5] F120|#102=SQRT[0.3-ABS[#5063-#101]]
        G1 Z#5063 F60|G4 P0.2|G92 Z0|G4 P0.1|M65 P3|G4 P0.2
        {LIGHT_FIXED}|{BOW}
        M5|G0 Z25|G92.1|M2""",
    ("skip", CONTACT, OHMIC): f"""{SKIP_MODES}
        {SKIP_MODES}|G0 X10 Y10
        G4 P0.2|G92 Z0|M64 P3|G4 P0.2|G31 Z-65 F300
        G4 P0.2|G92 Z0|G1 Z2.0917 F600|G4 P0.1|G31 Z-1.5 F120
        G4 P0.2|G92 Z0|G4 P0.1|M65 P3|G4 P0.2
        {LOOK_OHMIC}|M0|{LIGHT_FIXED}|{SLIT}
        {SKIP_MODES}|G0 X30 Y20
        G4 P0.2|G92 Z0|G0 Z-19|M64 P3|G4 P0.2|G31 Z-30 F300
        G4 P0.2|G92 Z0|G1 Z2.0917 F600|G4 P0.1|G31 Z-1.5 F120
        G4 P0.2|G92 Z0|G4 P0.1|M65 P3|G4 P0.2
        {LOOK_OHMIC}|M1|{LIGHT_FIXED}|{BOW}
        M5|G0 Z25|G92.1|M30""",
    ("ngc", CONTACT, NONE): f"""{NGC_MODES}
        (MSG, set Z zero with the tip on the plate at cut 1, then raise it clear)|M0
        {NGC_MODES}|G0 X10 Y10|G0 Z1|G1 Z0 F200
        {LOOK_NONE}|M0|{LIGHT_FIXED}|{SLIT}
        {NGC_MODES}|G0 X30 Y20|G0 Z1|G1 Z0 F200
        {LOOK_NONE}|M1|{LIGHT_FIXED}|{BOW}
        M5|G0 Z25|M2""",
    ("ngc", PILOT, FLOAT): f"""{NGC_MODES}
        {NGC_MODES}|G0 X10 Y10
        G4 P0.2|G92 Z0|G38.2 Z-84.05 F1000
        #101=#5063|#102=SQRT[0-2-#101]
        G1 Z[#101+2] F600|G4 P0.1|G38.2 Z[#101-1.5] F150|#102=SQRT[0.3-ABS[#5063-#101]]
        G1 Z#5063 F60|G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z3 F1000
        {LOOK_PILOT}|M0|{LIGHT_PILOT}|{SLIT_HIGH}
        {NGC_MODES}|G0 X30 Y20
        G4 P0.2|G92 Z0|G0 Z-19|G38.2 Z-49.05 F1000
        #101=#5063|#102=SQRT[0-2-#101]|#102=SQRT[4-ABS[#101+44.05]]
        G1 Z[#101+2] F600|G4 P0.1|G38.2 Z[#101-1.5] F150|#102=SQRT[0.3-ABS[#5063-#101]]
        G1 Z#5063 F60|G4 P0.2|G92 Z-19.05|G4 P0.1|G1 Z3 F1000
        {LIGHT_PILOT}|{BOW_HIGH}
        M5|G0 Z25|G92.1|M2""",
    ("compact", PILOT, OHMIC): f"""{COMPACT_MODES}
        {COMPACT_MODES}|G0 X10 Y10
        G4 P0.2|G92 Z0|M64 P3|G4 P0.2|G38.2 Z-65 F300
        G4 P0.2|G92 Z0|G1 Z2.0917 F600|G4 P0.1|G38.2 Z-1.5 F120
        G4 P0.2|G92 Z0|G4 P0.1|M65 P3|G4 P0.2|G1 Z3 F1000
        (MSG, tip just over the plate, sense circuit off, clamp on, face shield down)|M0
        {LIGHT_PILOT}|{SLIT_HIGH}
        {COMPACT_MODES}|G0 X30 Y20
        G4 P0.2|G92 Z0|G0 Z-19|M64 P3|G4 P0.2|G38.2 Z-30 F300
        G4 P0.2|G92 Z0|G1 Z2.0917 F600|G4 P0.1|G38.2 Z-1.5 F120
        G4 P0.2|G92 Z0|G4 P0.1|M65 P3|G4 P0.2|G1 Z3 F1000
        {LIGHT_PILOT}|{BOW_HIGH}
        M5|G0 Z25|G92.1|M2""",
    ("ngc", PILOT, NONE): f"""{NGC_MODES}
        (MSG, set Z zero with the tip on the plate at cut 1, then raise it clear)|M0
        {NGC_MODES}|G0 X10 Y10|G1 Z3 F1000
        (MSG, tip just over the plate, clamp on, face shield down)|M0|{LIGHT_PILOT}|{SLIT_HIGH}
        {NGC_MODES}|G0 X30 Y20|G1 Z3 F1000
        (MSG, tip just over the plate, clamp on, face shield down)|M1|{LIGHT_PILOT}|{BOW_HIGH}
        M5|G0 Z25|M2""",
}


def typed(program: str) -> list[str]:
    return [line.strip() for row in program.splitlines() for line in row.strip().split("|")]


@pytest.mark.parametrize(("name", "start", "touch_off"), PROGRAMS)
def test_the_program_is_the_one_typed_by_hand(name: str, start: StartKind, touch_off: TouchOff) -> None:
    text = write(plan(machine(start, touch_off), PLATE_6MM), DIALECTS[name]).text
    assert words_of(text) == typed(PROGRAMS[name, start, touch_off])


def test_the_inch_program_is_the_one_typed_by_hand() -> None:
    # 84.05 mm = 3.30906 in, 49.05 = 1.9311, 2 = 0.07874, 1.5 = 0.05906, 0.3 = 0.01181, 4 = 0.15748,
    # 44.05 = 1.73425, 1 = 0.03937, 3 = 0.11811,
    # 25 = 0.98425, 25 - 4 - 2 = 19 = 0.74803; feeds 6000 = 236.22, 1000 = 39.37, 900 = 35.433,
    # 600 = 23.622, 150 = 5.906, 60 = 2.362, 1100 = 43.307; 10 mm = 0.3937, 20 = 0.7874, 30 = 1.1811.
    modes = "M5|G17 G40 G49 G80|G90 G94|G20|G54|G64|F236.22"
    light = "M3|G4 P0.4|G1 Z0.11811 F35.433|G4 P0.433|G1 Z0.05906 F35.433"
    second = (
        "G1 Z[#101+0.07874] F23.622|G4 P0.1|G38.2 Z[#101-0.05906] F5.906|#102=SQRT[0.01181-ABS[#5063-#101]]"
        "|G1 Z#5063 F2.362|G4 P0.2|G92 Z-0.75|G4 P0.1|G1 Z-0.03937 F78.74"
    )
    program = f"""{modes}
        {modes}|G0 X0.3937 Y0.3937|G4 P0.2|G92 Z0|G38.2 Z-3.30906 F39.37
        #101=#5063|#102=SQRT[0-0.07874-#101]|{second}|{LOOK}|M0|{light}
        G1 X0.7874 Y0.3937 F43.307|M5|G4 P0.3|G0 Z0.98425
        {modes}|G0 X1.1811 Y0.7874|G4 P0.2|G92 Z0|G0 Z-0.74803|G38.2 Z-1.9311 F39.37
        #101=#5063|#102=SQRT[0-0.07874-#101]|#102=SQRT[0.15748-ABS[#101+1.73425]]|{second}|{light}
        G3 X0.7874 Y1.1811 I-0.3937 J0 F43.307|M5|G4 P0.3|G0 Z0.98425
        M5|G0 Z0.98425|G92.1|M2"""
    assert words_of(write(plan(machine(inches=True)), DIALECTS["ngc"]).text) == typed(program)


def test_thin_sheet_is_pierced_at_cut_height() -> None:
    # From 1 below to 1.5 above at 900 mm/min is 0.167 s of the 0.4 s pierce.
    lines = words_of(write(plan(machine(), SHEET_2MM), DIALECTS["ngc"]).text)
    lit = lines.index("M3")
    assert lines[lit : lit + 5] == ["M3", "G4 P0.4", "G1 Z1.5 F900", "G4 P0.233", "G1 X20 Y10 F1100"]


def test_a_pilot_torch_goes_down_at_once_in_thin_plate() -> None:
    lines = words_of(write(plan(machine(PILOT), SHEET_2MM), DIALECTS["ngc"]).text)
    lit = lines.index("M3")
    assert lines[lit - 3 : lit] == ["G1 Z3 F1000", LOOK_PILOT, "M0"]  # twice the cut height
    assert lines[lit : lit + 5] == ["M3", "G4 P0.4", "G4 P0.4", "G1 Z1.5 F900", "G1 X20 Y10 F1100"]
