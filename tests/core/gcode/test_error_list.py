"""The error list of the language: each kind with the smallest program that shows it, and where it must be found.

The kinds are those that NISTIR 6556 states in its sections 3.2 to 3.7 and that the interpreter it describes reports.
Left out because no text of a program can bring them about here:

- files and memory of that interpreter (parameter and tool files, names too long, its own bugs), and the probe queue;
- rotary axes: this table has none, so their words are told by themselves (see the last test);
- a spindle that turns the wrong way for a cycle: the torch is no spindle, such cycles are told as not followed;
- cutter compensation that gouges or does not fit a corner: that the path is not compensated here is told instead;
- a probing move that does not trip, and the state in which an earlier program left parameter 5220: these are no text.
"""

from __future__ import annotations

import pytest

from kerfproof.gcode.trace import StartState, Trace, Unread
from support.programs.reading import read

AT = StartState(position=(0.0, 0.0, 5.0), feed_mm_min=100.0)

NUMBERS = [
    # 3.3.2.1 to 3.3.2.4: numbers, parameters, expressions, functions
    ("no number after a letter", "G1 X", 4, "a number is missing"),
    ("no digit in a number", "G1 X-", 5, "a number is missing"),
    ("two points in a number", "G1 X1.2.3", 8, "can't stand here"),
    ("a sign before a bracket", "G1 X-[2]", 5, "a number is missing"),
    ("a sign before a parameter", "G1 X-#1", 5, "a number is missing"),
    ("a sign before a function", "G1 X-SIN[1]", 5, "a number is missing"),
    ("a number by itself", "5", 1, "can't stand here"),
    ("no whole number where one must stand", "T1.5", 1, "whole number"),
    ("parameter 0", "#0=1", 1, "there is no parameter #0"),
    ("parameter beyond the last", "G1 X#5400", 5, "there is no parameter #5400"),
    ("parameter with a fraction", "G1 X#1.5", 5, "there is no parameter #1.5"),
    ("parameter below 0", "#-1=1", 1, "there is no parameter #-1"),
    ("no equal sign in a setting", "#1 5", 4, "needs ="),
    ("nothing set", "#1=", 3, "a number is missing"),
    ("bracket not closed", "G1 X[1+2", 8, "closing ]"),
    ("bracket closed twice", "G1 X[1]]", 8, "can't stand here"),
    ("unknown operation", "G1 X[1 MAX 2]", 8, "closing ]"),
    ("unknown operation beginning with A", "G1 X[1 ADD 2]", 8, "closing ]"),
    ("unknown operation beginning with X", "G1 X[1 XAND 2]", 8, "closing ]"),
    ("unknown function", "G1 XSEC[1]", 5, "a number is missing"),
    ("unknown function beginning with A", "G1 XABC[1]", 5, "a number is missing"),
    ("no bracket after a function", "G1 XSIN 1", 5, "a number is missing"),
    ("no slash in ATAN", "G1 XATAN[1]", 11, "ATAN needs two values"),
    ("no bracket after the slash of ATAN", "G1 XATAN[1]/2", 12, "ATAN needs two values"),
]  # fmt: skip

RUNNING = [
    # 3.3.2.3 and 3.3.2.4: what a control finds out only when it works a value out; it stops there
    ("division by zero", "G1 X[1/0]", 7, "/ has no result"),
    ("root of a negative number", "#1=SQRT[-1]", 4, "SQRT has no result"),
    ("logarithm of zero", "#1=LN[0]", 4, "LN has no result"),
    ("logarithm of a negative number", "#1=LN[-1]", 4, "LN has no result"),
    ("arc sine beyond 1", "#1=ASIN[1.1]", 4, "ASIN has no result"),
    ("arc cosine beyond 1", "#1=ACOS[-1.1]", 4, "ACOS has no result"),
    ("fractional power of a negative number", "#1=[-2**0.5]", 7, "** has no result"),
]  # fmt: skip

LINES = [
    # 3.3, 3.3.1, 3.3.4, 3.3.5 and appendix E: the line
    ("character that is not allowed", "G1 X1 ?", 7, "is not in the language"),
    ("character beyond ASCII", "G1 X1 \u00e4", 7, "is not in the language"),
    ("semicolon", "G1 X1 ; note", 7, "is not in the language"),
    ("line too long", "(" + "a" * 256 + ")", 257, "longer than 256"),
    ("line number too long", "N123456 G1 X1", 1, "1 to 5 digits"),
    ("line number with a fraction", "N1.5 G1 X1", 1, "1 to 5 digits"),
    ("line number below 0", "N-1 G1 X1", 1, "1 to 5 digits"),
    ("line number without a number", "N G1 X1", 1, "1 to 5 digits"),
    ("line number not first", "G1 N1 X1", 4, "must come first"),
    ("slash not first", "G1 / X1", 4, "can't stand here"),
    ("comment inside a comment", "(a (b)", 1, "comment inside a comment"),
    ("comment not closed", "G1 X1 (a", 7, "not closed"),
    ("comment closed but not opened", "G1 X1 a)", 8, "is not in the language"),
    ("per cent sign behind words", "G1 X1 %", 7, "can't stand here"),
    ("more than four M words", "M3 M8 M48 M6 M0", 14, "more than 4 M words"),
    *((f"two {k} words", f"G1 X1 {k}1 {k}2" if k not in "XYZ" else f"G1 {k}1 {k}2", 10 if k not in "XYZ" else 7,
       f"two {k} words") for k in "ABCDFHIJKLPQRSTXYZ"),
]  # fmt: skip

GROUPS = [
    # 3.4: modal groups and axis words
    ("two G words of a group", "G0 G1 X1", 4, "same modal group"),
    ("two M words of a group", "M3 M5", 4, "same modal group"),
    ("two words without a group that both act", "G4 P1 G92 X1", 7, "same modal group"),
    ("two words that both want the axes", "G1 G92 X1", 4, "both want the axis words"),
    ("home and a motion word", "G28 G0 X1", 1, "both want the axis words"),
    ("axis words without a motion word", "G80\nX1", 1, "no motion word"),
    ("axis words with G80", "G80 X1", 1, "without a motion word"),
    ("motion word without axis words", "G1", 1, "at least one axis word"),
    ("unknown G word that moves", "G5 X1", 1, "not known here"),
    ("unknown G word with a fraction that moves", "G1.5 X1", 1, "not known here"),
    ("G word below 0 that moves", "G-1 X1", 1, "not known here"),
    ("D without compensation", "D1", 1, "nothing on this line to use it"),
    ("H without a tool length", "H1", 1, "nothing on this line to use it"),
    ("I without an arc", "G1 X1 I1", 7, "nothing on this line to use it"),
    ("J without an arc", "G1 X1 J1", 7, "nothing on this line to use it"),
    ("K without an arc", "G1 X1 K1", 7, "nothing on this line to use it"),
    ("L without a cycle", "G1 X1 L1", 7, "nothing on this line to use it"),
    ("P without a dwell", "G1 X1 P1", 7, "nothing on this line to use it"),
    ("P with a cycle that does not dwell", "G81 X1 Z1 R2 P1", 14, "nothing on this line to use it"),
    ("Q without pecking", "G81 X1 Z1 R2 Q1", 14, "nothing on this line to use it"),
    ("R without an arc or cycle", "G1 X1 R1", 7, "nothing on this line to use it"),
    ("F below 0", "F-1", 1, "must not be negative"),
    ("S below 0", "S-1", 1, "must not be negative"),
    ("T below 0", "T-1", 1, "whole number"),
    ("H below 0", "G43 H-1", 5, "whole number"),
    ("D below 0", "G41 D-1", 5, "whole number"),
    ("L below 0", "G81 X1 Z1 R2 L-1", 14, "whole number"),
]  # fmt: skip

MOTION = [
    # 3.5.1 to 3.5.3: straight moves and arcs
    ("feed move without feed", "F0\nG1 X1", 1, "F is missing or zero"),
    ("arc without feed", "F0\nG2 X2 I1", 1, "F is missing or zero"),
    ("arc without end in XY", "G2 I1", 1, "at least one axis word"),
    ("arc with the third axis alone in XY", "G2 Z1 I1", 1, "an arc needs X or Y"),
    ("arc without end in ZX", "G18 G2 Y1 I1", 5, "an arc needs Z or X"),
    ("arc without end in YZ", "G19 G2 X1 J1", 5, "an arc needs Y or Z"),
    ("arc without centre and radius", "G2 X1", 1, "its centre or its radius"),
    ("arc by centre and radius", "G2 X1 I1 R1", 10, "by radius and by centre"),
    ("K of an arc in XY", "G2 X2 I1 K1", 10, "K does not belong"),
    ("J of an arc in ZX", "G18 G2 X2 I1 J1", 14, "J does not belong"),
    ("I of an arc in YZ", "G19 G2 Y2 J1 I1", 14, "I does not belong"),
    ("radii that differ by 0.0021 mm", "G2 X20.0021 I10", 1, "differ by"),
    ("arc by radius to where it starts", "G2 X0 R1", 7, "can't end where it starts"),
    ("radius too small", "G2 X10 R4", 8, "too small"),
    ("arc of no radius by its radius", "G2 X1 R0", 7, "no radius"),
    ("arc of no radius by its centre", "G2 X0 I0", 1, "no radius"),
    # 3.5.4 to 3.5.9
    ("dwell without time", "G4", 1, "G4 needs P"),
    ("dwell of negative time", "G4 P-1", 4, "must not be negative"),
    ("G10 without L2", "G10 P1 X1", 1, "G10 needs L2"),
    ("G10 with another L", "G10 L3 P1 X1", 1, "G10 needs L2"),
    ("G10 without P", "G10 L2 X1", 1, "G10 needs P1 to P9"),
    ("G10 with a fraction as P", "G10 L2 P1.5 X1", 1, "G10 needs P1 to P9"),
    ("G10 with P beyond 9", "G10 L2 P10 X1", 1, "G10 needs P1 to P9"),
    ("probing without axis words", "G38.2", 1, "at least one axis word"),
    ("probing without feed", "F0\nG38.2 Z-5", 1, "F is missing or zero"),
    ("probing from too near", "G38.2 Z4.8", 1, "0.254 mm"),
    ("probing in inverse time", "G93\nG38.2 Z-5 F1", 1, "inverse time"),
    ("probing with compensation", "G41 D1\nG38.2 Z-5", 1, "cutter compensation"),
    # 3.5.10 and 3.5.11
    ("compensation in ZX", "G18\nG41 D1", 1, "XY plane only"),
    ("compensation in YZ", "G19\nG42 D1", 1, "XY plane only"),
    ("compensation on while on", "G41 D1\nG42 D1", 1, "while it is on"),
    ("ZX plane with compensation", "G41 D1\nG18", 1, "cutter compensation"),
    ("YZ plane with compensation", "G41 D1\nG19", 1, "cutter compensation"),
    ("other units with compensation", "G41 D1\nG20", 1, "cutter compensation"),
    ("other system with compensation", "G41 D1\nG55", 1, "cutter compensation"),
    ("offsets with compensation", "G41 D1\nG92 X1", 1, "cutter compensation"),
    ("home with compensation", "G41 D1\nG28", 1, "cutter compensation"),
    ("second home with compensation", "G41 D1\nG30", 1, "cutter compensation"),
    ("G53 with compensation", "G41 D1\nG53 G0 X1", 5, "cutter compensation"),
    ("tool length without H", "G43", 1, "G43 needs H"),
    # 3.5.12, 3.5.18, 3.5.19
    ("G53 with an arc", "G53 G2 X2 I1", 5, "G0 and G1 only"),
    ("G53 with no motion word in force", "G80\nG53 X1", 5, "no motion word"),
    ("G53 in incremental mode", "G91\nG53 G0 X1", 5, "incremental mode"),
    ("G92 without axis words", "G92", 1, "at least one axis word"),
    ("inverse time without F in a straight move", "G93\nG1 X1", 1, "needs F in inverse time"),
    ("inverse time without F in an arc", "G93\nG2 X2 I1", 1, "needs F in inverse time"),
]  # fmt: skip

CYCLES = [
    # 3.5.16
    ("no axis word at all", "G81 R2", 1, "at least one axis word"),
    ("no R", "G81 X1 Z1", 1, "needs R"),
    ("no depth in XY", "G81 X1 R2", 1, "needs Z"),
    ("no depth in ZX", "G18 G81 X1 R2", 5, "needs Y"),
    ("no depth in YZ", "G19 G81 Y1 R2", 5, "needs X"),
    ("R below Z", "G81 X1 Z3 R2", 11, "R lies below Z"),
    ("R below Y", "G18 G81 X1 Y3 R2", 15, "R lies below Y"),
    ("R below X", "G19 G81 Y1 X3 R2", 15, "R lies below X"),
    ("no repeats", "G81 X1 Z1 R2 L0", 14, "L must be at least 1"),
    ("inverse time", "G93\nG81 X1 Z1 R2 F1", 1, "inverse time feed mode"),
    ("compensation", "G41 D1\nG81 X1 Z1 R2", 1, "cutter compensation"),
    ("without feed", "F0\nG81 X1 Z1 R2", 1, "F is missing or zero"),
    *((f"G{n} without P", f"G{n} X1 Z1 R2", 1, "needs P") for n in (82, 86, 88, 89)),
    ("a negative P", "G82 X1 Z1 R2 P-1", 1, "needs P, 0 or more"),
    ("pecking without Q", "G83 X1 Z1 R2", 1, "needs Q"),
    ("pecking by nothing", "G83 X1 Z1 R2 Q0", 1, "needs Q above 0"),
    ("pecking upwards", "G83 X1 Z1 R2 Q-1", 1, "needs Q above 0"),
    ("back boring without I", "G87 X1 Z1 R2 J1 K2", 1, "needs I, J and K"),
    ("back boring without J", "G87 X1 Z1 R2 I1 K2", 1, "needs I, J and K"),
    ("back boring without K", "G87 X1 Z1 R2 I1 J1", 1, "needs I, J and K"),
]  # fmt: skip

TABLE = [*NUMBERS, *LINES, *GROUPS, *MOTION, *(("cycle: " + name, *rest) for name, *rest in CYCLES)]


def refused(trace: Trace) -> list[Unread]:
    return [unread for unread in trace.unread if unread.error]


def test_the_list_is_as_long_as_it_claims() -> None:
    names = [kind[0] for kind in (*TABLE, *RUNNING)]
    assert len(set(names)) == len(names) > 150


@pytest.mark.parametrize(("name", "text", "column", "reason"), TABLE, ids=[kind[0] for kind in TABLE])
def test_a_kind_of_error_is_found_at_its_place_and_does_nothing(name: str, text: str, column: int, reason: str) -> None:
    lines = text.split("\n")
    trace = read(*lines, "G1 X9", start=AT)
    (error,) = [u for u in refused(trace) if u.line == len(lines)]
    assert reason in error.reason and error.column == column, name
    assert not (trace.line == len(lines)).any(), "the line must do nothing at all"


@pytest.mark.parametrize(("name", "text", "column", "reason"), RUNNING, ids=[kind[0] for kind in RUNNING])
def test_what_has_no_result_stops_the_program(name: str, text: str, column: int, reason: str) -> None:
    trace = read(text, "G1 X9", start=AT)
    assert trace.stopped is not None and len(trace) == 0, name
    assert trace.stopped.column == column and reason in trace.stopped.reason


def test_the_frame_of_a_program_must_be_whole() -> None:
    # 3.1: a per cent sign at the top asks for another one; without both there must be M2 or M30.
    assert read("%", "G1 X1", "%", start=AT).modes["end"] == "%"
    assert read("%", "G1 X1", start=AT).modes["end"] == ""
    assert read("G1 X1", start=AT).modes["end"] == ""
    assert "alone on the first line" in refused(read("G1 X1", "%", "M2", start=AT))[0].reason


def test_words_that_this_table_does_not_have_are_told_and_the_rest_is_done() -> None:
    trace = read("G1 A5 X1", "M50", "G1 X2 U3", "G5", start=AT)
    assert [(u.line, u.column, u.error) for u in trace.unread] == [
        (1, 4, False), (2, 1, False), (3, 7, False), (4, 1, False),
    ]  # fmt: skip
    assert trace.end[-1, 0] == 2.0
