from __future__ import annotations

from kerfproof.gcode.header_lines import heading_lines
from kerfproof.job.job import RoleRule
from kerfproof.job.write_header import rule_words
from kerfproof.programs.read_header import Claims, DrawingClaim, read_claims

PAIRS = [
    ("machine", "shed 0123456789abcdef"),
    ("material", "stainless steel 1.5 mm 30 A"),
    ("kerf", "1.350 mm"),
    ("plate", "-1.000 0.000 222.900 172.900 mm"),
    ("mode", "dry"),
    ("drawing", "left plate.dxf aaaa"),
    ("units", "25.4 mm header"),
    ("shift", "11.4500 -2.5000 mm turn 90 deg mirrored"),
    ("join", "0.1 mm"),
    ("left-out", "hole 2 D3 at 50.000 30.000 mm"),
]


def test_the_heading_is_read_back_whole() -> None:
    text = "%\nG21\n" + "\n".join(heading_lines(PAIRS)) + "\nM2\n"
    drawing = DrawingClaim(
        name="left plate.dxf", digest="aaaa", mm_per_unit=25.4, unit_given=False, shift=(11.45, -2.5), turn_deg=90,
        mirror=True,
    )  # fmt: skip
    assert read_claims(text) == Claims(
        machine="shed",
        machine_digest="0123456789abcdef",
        material="stainless steel",
        thickness=1.5,
        amps=30,
        kerf=1.35,
        plate=(-1, 0, 222.9, 172.9),
        mode="dry",
        join=0.1,
        drawings=(drawing,),
        left_names=("hole 2 D3",),
        left_out=((50, 30),),
    )


def test_several_drawings_and_several_features_left_out_are_all_read() -> None:
    long = "a very long name of a drawing " * 5 + "b.dxf"
    pairs = [
        ("drawing", "a.dxf 1"),
        ("shift", "1 2 mm turn 0 deg"),
        ("drawing", f"{long} 2"),
        ("shift", "3 4 mm turn 0 deg"),
        ("left-out", "hole 1 D3 at 5 6 mm"),
        ("left-out", "hole 2 D3 at 7 -8 mm"),
    ]
    found = read_claims("\n".join(heading_lines(pairs)))
    assert [(d.name, d.shift, d.mirror) for d in found.drawings] == [("a.dxf", (1, 2), False), (long, (3, 4), False)]
    assert found.left_out == ((5, 6), (7, -8))


def test_a_program_without_heading_claims_nothing() -> None:
    assert read_claims("G21\n(cut 1)\nM3\n") == Claims()
    assert read_claims("") == Claims()


def test_a_kerf_or_a_feed_of_nothing_is_no_claim() -> None:
    claims = read_claims("\n".join(heading_lines([("kerf", "0 mm"), ("feed", "0 mm/min")])) + "\n")
    assert (claims.kerf, claims.feed_mm_min) == (None, None)


def test_a_role_is_read_back_as_its_words_were_written() -> None:
    rules = (
        RoleRule(role="cut", layer="SHEET 1"),
        RoleRule(role="slit", color="red", linetype="DASH*"),
        RoleRule(role="mark", kind="TEXT"),
        RoleRule(role="slit", kind="TEXT", layer="NAMES 2"),
    )
    pairs = [("role", f"{rule.role} {rule_words(rule)}") for rule in rules]
    assert read_claims("\n".join(heading_lines(pairs))).roles == rules
