"""Random programs of every kind of line that a control may meet, right and wrong, in any order."""

from __future__ import annotations

import math

import numpy as np

from kerfproof.gcode.dialect import Dialect, Guard

KINDS: dict[str, tuple[str, ...]] = {
    "modes": ("G17 G40 G49 G80", "G90 G94", "G21", "G54", "G61", "G64 P0.05", "G98", "G99", "G91.1", "G55", "G61.1"),
    "odd modes": ("G18", "G20", "G91", "G93", "G90.1", "G41 D1", "G43 H1", "G59.3", "G70", "G19"),
    "back": ("G17", "G21", "G90", "G94", "G91.1", "G40", "G49", "F900", "G54"),
    "expressions": (
        *("#101=#5063", "#102=SQRT[400+#101]", "G1 Z[#101+2] F600", "##5=2", "#5=7", "#9=#8", "#7=[2**3/4-1]"),
        *("G1 X[#7+#9] Y[-#7*2 MOD 3]", "#102=ABS[#101-90]", "G1 X#5061 Y#5062", "#103=[#101*2+#5061] #101=3", "#0=1"),
        *("G1 F[#7*100]", "G4 P[#7/10]", "G3 X[#7] Y5 I[#9+1] J0", "#5221=2", "#1=ATAN[1]/[#7]"),
    ),
    "guards": (
        *("IF [#5063 LT -300] THEN #3000=1", "IF [#101 GT 99] THEN #3000=1", "IF [#5063-#101 LT [-999]] THEN #3000=1"),
        *("#102=SQRT[900+#101]", "#102=SQRT[900-ABS[#5063]]"),
    ),
    "origins": (
        "G92 Z0",
        "G92 Z-19",
        "G92 X3 Y1",
        "G92.1",
        "G92.2",
        "G92.3",
        "G10 L2 P1 Z2",
        "G10 L20 P1 X1",
        "G52 X2",
    ),
    "cycles": ("G81 X1 Y1 Z-1 R2 F300", "X4 Y5", "G82 Z-2 P0.1", "G83 X3 Z-3 R1 Q1", "G91 G81 X1 Z-1 R1 L2", "G80"),
    "probing": ("G38.2 Z-60 F100", "G31 Z-60 F100", "G38.2 Z-70 F900", "G0 Z5", "G38.2 X1 Z-60"),
    "outputs": (
        "M62 P1",
        "M63 P1",
        "M64 P1",
        "M65 P1",
        "M67 E0 Q5",
        "M68 E0 Q0",
        "M66 P0 L3 Q1",
        "M62 P2 G1 X7",
        "M62",
    ),
    "torch": ("M3", "M5", "M3 S1000", "S500", "M4", "M5 M9", "M7", "M48", "T1 M6", "M3 G4 P0.2"),
    "dwells": ("G4 P0.3", "G4", "G4 P-1", "G4 P0.1 (wait)"),
    "heights": ("G0 Z25", "G1 Z1.5 F900", "Z2", "G53 G0 Z20", "G1 Z-1 F1000", "G28", "G30 Z5", "G0 Z[3]"),
    "comments": (
        "(cut 1)",
        "G1 X5 Y4 (to)",
        "(two) (comments)",
        "(open",
        "(a (b))",
        "; not here",
        "G1 X1 ; nor here",
        "()",
    ),
    "spellings": (
        "N10 G01 X5.5 Y6",
        "g1x3y2",
        "G1 X 1 2 Y3",
        "X+.5Y-0",
        "Y7 X3 G1",
        "G1 X1 Z3 Y2",
        "/G1 X3",
        "F700 G1 X1",
    ),
    "nothing": ("", "  ", "\t", "%", "N5", "M0", "M1"),
    "stops": (
        "#7=[1/0]",
        "#102=SQRT[0-2]",
        "G38.2 Z999 F100",
        "IF [0 LT 1] THEN #3000=1",
        "IF [#101 GT -999] THEN #3000=1",
    ),
    "mistakes": (
        "G1 X1 X2",
        "G1 X9999999999",
        "?",
        "G1 X",
        "G3 X5",
        "G2 X5 Y5 I0 J0",
        "G1 X1 Q2",
        "G7.7 X1",
        "M99",
        "G1 F0",
    ),
}
"""Lines by their kind; not every control knows them all, and some are wrong for all."""
MOSTLY = ("modes", "back", "heights", "comments")
"""Kinds that leave a control in a state from which moves can be taken at once."""


def program(seed: int, control: Dialect, count: int) -> tuple[list[str], set[str]]:
    """Return the lines of a program, moves with lines of all kinds between them, and the kinds that are in it."""
    rng = np.random.default_rng(seed)
    kinds = [kind for kind in KINDS if kind != "stops" and (kind != "guards" or control.guard is not Guard.NONE)]
    out, used, odd = ["G90 G17 G21 G94 F900", "G0 X1 Y1"], set[str](), (0.05, 0.2, 0.5)[seed % 3]
    while len(out) < count:
        for _ in range(int(rng.integers(1, 8))):
            out += _moves(rng)
        for _ in range(int(rng.geometric(0.3))):
            kind = str(rng.choice(kinds if rng.random() < 0.7 else MOSTLY))
            kind = "stops" if len(out) > count / 2 and rng.random() < 0.01 else kind
            used.add(kind)
            out.append(str(rng.choice(KINDS[kind])))
        if rng.random() > odd:
            out += ["G90 G17 G94", "G21", "G40 G80", "G1 X0 Y0 F900"]  # or most of a program is one mistake
    return [*out, "M2", "G1 X1"], used


def _moves(rng: np.random.Generator) -> list[str]:
    """Return a move in the plane, and often an arc that begins where it ends, some with radii that don't agree."""
    x, y = np.round(rng.uniform(-60, 60, 2), 4).tolist()
    feed = str(rng.choice(["", "", "", " F700", " F0.5"]))
    short = str(rng.choice([f"X{x} Y{y}", f"X{x}", f"Y{y}", f"X{x}Y{y}"]))
    out = [f"{rng.choice(['G1 ', 'G0 ', 'G01 ', 'G1', 'G1 ', 'G00 ', ''])}{short}{feed}"]
    if rng.random() < 0.4:
        radius, first, last = rng.uniform(1, 30), *rng.uniform(0, math.tau, 2)
        off = float(rng.choice([0.0, 0.0, 0.0, 1e-3, 1e-1]))
        i, j = round(-radius * math.cos(first), 4), round(-radius * math.sin(first), 4)
        to_x, to_y = x + i + (radius + off) * math.cos(last), y + j + (radius + off) * math.sin(last)
        center = str(rng.choice([f"I{i} J{j}", f"I{i} J{j}", f"R{radius:.4f}", f"J{j}"]))
        out += [f"G1 X{x} Y{y}", f"G{rng.integers(2, 4)} X{to_x:.4f} Y{to_y:.4f} {center}{feed}"]
    return out
