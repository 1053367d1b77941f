"""Programs that many pages of rules show: a page names one and states only what it changes."""

from __future__ import annotations

PROGRAMS = {
    "outline": """\
Drawing: rect 20 20 120 80
Given: burning at 10 50
G1 X19.25 F2200
G1 Y80.75
G1 X120.75
G1 Y19.25
G1 X19.25
G1 Y51
M5
""",
    "hole and outline": """\
Drawing: rect 20 20 120 80; hole 40 40 20
Given: burning at 40 40
G1 X49.25 F1320
G3 X30.75 Y40 I-9.25 J0
G3 X49.25 Y40 I9.25 J0
G3 X49.19 Y41 I-9.25 J0
Then: burning at 10 50
G1 X19.25 F2200
G1 Y80.75
G1 X120.75
G1 Y19.25
G1 X19.25
G1 Y51
M5
""",
    "search": """\
Given: head
G0 X10 Y50
G4 P0.2
G92 Z0
G38.2 Z-84 F150
""",
    "light-up": """\
Given: touched
M3
G4 P0.4
G1 Z3 F900
G4 P0.3
G1 Z1.5 F900
G1 X30 F2200
""",
    "line": """\
Given: burning
G1 X30 F2200
M5
G4 P0.3
G0 Z25
""",
    "long line": """\
Given: burning at 10 50
G1 X60 F2200
M5
G4 P0.3
G0 Z25
""",
    "loose outline": """\
Given: burning at 10 50
G1 X20 F2200
G1 Y80
G1 X120
G1 Y20
G1 X20
G1 Y50
M5
G4 P0.3
G0 Z25
""",
    "loose hole": """\
Given: burning at 70 50
G1 X75 F2200
G3 X65 Y50 I-5 J0
G3 X75 Y50 I5 J0
M5
G4 P0.3
G0 Z25
""",
}
"""By name: header lines, then the program."""

RAISE = "M5\nG4 P0.3\nG0 Z25\nG0 X{0} Y{1}\n"
TOUCH = "G4 P0.2\nG92 Z0\nG38.2 Z-49 F150\nG4 P0.2\nG92 Z-19.05\nG4 P0.1\nG1 Z-1 F1000\n"
LIGHT = "M3\nG4 P0.4\nG1 Z3 F900\nG4 P0.3\nG1 Z1.5 F900\n"
THEN = {"raised": RAISE, "touched": RAISE + TOUCH, "burning": RAISE + TOUCH + LIGHT}
"""What ``Then: burning at X Y`` stands for in a program: the way from one cut to the next."""
