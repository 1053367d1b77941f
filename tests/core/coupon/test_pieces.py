"""Every test piece for every start kind, dialect and unit: proven from its text, and the piece it was meant to be."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from kerfproof.coupon.digits import digit, least_height
from kerfproof.coupon.facts import read_facts
from kerfproof.coupon.make_program import made_again
from kerfproof.coupon.piece import Coupon, CouponRequest, kind_of, kinds
from kerfproof.errors import KerfproofError, Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.trace import Step
from kerfproof.shop.profile import Machine, TouchOff
from kerfproof.shop.select_process import select_process
from support.shop import shop

KINDS = ("feed", "float", "hole", "joints", "kerf", "pierce", "square", "start")
TORCH_WORDS = re.compile(r"\bM0?[34]\b")


def bench(machine: Machine | None = None, thickness: float = 3.0, **changes: object) -> CouponRequest:
    machine = machine or shop.built_in()
    process = select_process(shop.chart(), "mild steel", thickness, None, machine)
    return CouponRequest(machine=machine, process=process, control=control_of(machine), **changes)  # type: ignore[arg-type]


def made(kind: str, machine: Machine | None = None, thickness: float = 3.0, **changes: object) -> Coupon:
    return kind_of(kind).make(bench(machine, thickness, **changes))


def bare(text: str) -> str:
    return re.sub(r"\([^)]*\)", "", text)


def test_the_kinds_are_the_files_of_the_folder() -> None:
    assert tuple(kinds()) == KINDS
    with pytest.raises(KerfproofError, match="there are feed, float"):
        kind_of("anvil")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("start", ["contact float", "contact ohmic", "contact none", "pilot float", "pilot ohmic"])
def test_every_piece_is_proven_for_every_way_to_start(kind: str, start: str) -> None:
    machine = shop.starts()[start]
    if kind == "float" and machine.touch_off is TouchOff.NONE:
        with pytest.raises(KerfproofError, match="no touch-off to measure"):
            made(kind, machine)
        return
    piece = made(kind, machine)
    assert [f.sentence() for f in piece.findings if f.severity is Severity.ERROR] == []
    assert piece.ok and piece.program.text.isascii()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("dialect", shop.DIALECTS)
def test_every_piece_is_proven_in_every_dialect_and_unit(kind: str, dialect: str) -> None:
    inches = (KINDS.index(kind) + shop.DIALECTS.index(dialect)) % 2 == 0  # each kind and each dialect in both units
    piece = made(kind, replace(shop.built_in(), dialect=dialect, inches=inches))
    assert [f.sentence() for f in piece.findings if f.severity is Severity.ERROR] == []


@pytest.mark.parametrize("thickness", [1.0, 1.5, 5.0, 8.0])
def test_every_piece_is_proven_on_thin_and_thick_plate(thickness: float) -> None:
    for kind in KINDS:
        piece = made(kind, thickness=thickness)
        assert [f.sentence() for f in piece.findings if f.severity is Severity.ERROR] == [], kind


def test_plate_that_cannot_be_pierced_gets_no_piece_that_pierces() -> None:
    for kind in ("feed", "hole", "kerf", "pierce", "square", "start"):
        with pytest.raises(KerfproofError, match="can't be pierced"):
            made(kind, thickness=10.0)


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_piece_is_the_same_bytes_and_says_in_its_head_what_it_is(kind: str) -> None:
    piece = made(kind)
    assert piece.program.text == made(kind).program.text
    facts = read_facts(piece.program.text)
    assert facts is not None and facts["kind"] == kind
    assert facts == read_facts(piece.program.text.replace("\n", "\r\n"))


def test_a_program_that_is_no_piece_has_no_facts() -> None:
    assert read_facts("(proof: coupon = {broken)\nM2\n") is None
    assert read_facts("G21\nM2\n") is None


def test_the_float_piece_never_lights_the_torch_and_never_moves_in_the_plane() -> None:
    for machine in (shop.built_in(), shop.built_in("contact-skip-mm"), shop.built_in("contact-float-inch")):
        piece = made("float", machine)
        text = bare(piece.program.text)
        assert not TORCH_WORDS.search(text)
        assert not re.search(r"[XY][-\d]", text)
        trace = piece.proof.trace
        assert not trace.torch.any()
        assert int((trace.kind == Step.STOP).sum()) == 3 + 8


def test_the_float_piece_stops_at_the_trip_at_zero_and_at_the_gap() -> None:
    machine = shop.built_in()
    trace = made("float", machine).proof.trace
    stops = np.flatnonzero(trace.kind == Step.STOP)
    believed = trace.frame_z[stops, 1]
    f = machine.float_travel
    assert believed[:3] == pytest.approx([-f, 0.0, 1.0], abs=1e-3)
    assert believed[3:] == pytest.approx([-f] * 8, abs=1e-3)
    # Up to zero and to the gap: the move before each of those stops rises, so that slack lies as it does in a cut.
    for stop in stops[1:3]:
        moves = np.flatnonzero(trace.kind[:stop] == Step.FEED)
        assert trace.end[moves[-1], 2] > trace.start[moves[-1], 2]


def test_a_torch_word_in_a_float_piece_is_an_error() -> None:
    from kerfproof.proof.evidence.evidence import Against
    from kerfproof.proof.prove import prove

    b = bench()
    text = made("float").program.text.replace("(MSG, gap", "M3\n(MSG, gap")
    proof = prove(text, Against(control=b.control, machine=b.machine, process=b.process, mode="touch"))
    assert "dry-run-not-dry" in {f.rule for f in proof.findings if f.severity is Severity.ERROR}


def test_the_rungs_run_at_their_own_feeds_and_the_marks_at_the_charts() -> None:
    piece = made("feed")
    trace, runs = piece.proof.trace, piece.proof.runs
    feeds = piece.facts["feeds"]
    assert feeds[0] == pytest.approx(0.7 * 2200) and feeds[-1] == pytest.approx(1.3 * 2200)
    for k, feed in enumerate(feeds):
        rung = runs[2 * k + 1]
        rows = slice(rung.first_row, rung.last_row + 1)
        moved = np.abs(trace.end[rows, :2] - trace.start[rows, :2]).max(axis=1) > 1e-9
        assert set(trace.feed[rows][moved].round(1).tolist()) == {feed}


def test_a_rung_is_long_enough_to_reach_its_feed() -> None:
    piece = made("feed")
    slowest = shop.built_in().acceleration_mm_s2
    fastest = piece.facts["feeds"][-1] / 60
    rung = piece.proof.runs[-1]
    assert rung.length - fastest**2 / slowest >= 40 - 1e-6  # v2/2a to get up to speed, as much to stop


def test_delays_rise_from_what_the_rise_alone_takes() -> None:
    machine = shop.built_in()
    delays = made("pierce", machine).facts["delays"]
    # From the preload 1 mm below zero to 3 mm at 900 mm/min: 4 / 15 s.
    assert delays[0] == pytest.approx((3.0 + machine.preload) / (machine.rise_feed_mm_min / 60), abs=2e-3)
    assert np.diff(delays) == pytest.approx(np.full(6, delays[1] - delays[0]), abs=2e-3)


def test_start_rows_try_one_thing_each() -> None:
    piece = made("start")
    trace = piece.proof.trace
    rows = piece.facts["rows"]
    assert len(piece.proof.runs) == 10 * len(rows)
    waits = {}
    for r, row in enumerate(rows):
        first = piece.proof.runs[10 * r].first_row
        dwell = next(k for k in range(first, len(trace)) if trace.kind[k] == Step.DWELL)
        waits[row["label"]] = float(trace.value[dwell])
    assert waits["as it is"] == pytest.approx(0.4)
    assert waits["light-delay 0.2 s"] == pytest.approx(0.2)
    assert waits["light-delay 0.6 s"] == pytest.approx(0.6)


def test_only_what_a_piece_tries_on_purpose_is_excused() -> None:
    piece = made("start")
    excused = {f.rule for f in piece.findings if f.message.startswith("meant")}
    assert excused <= set(piece.facts["meant"])
    assert piece.facts["meant"] == list(kind_of("start").meant)
    assert "torch-left-on" not in piece.facts["meant"]


@pytest.mark.parametrize(
    ("kind", "changes"),
    [
        ("feed", {"count": 5}), ("hole", {"sizes": (8.0, 10.0)}), ("pierce", {}), ("square", {"sizes": (120.0, 150.0)}),
        ("start", {"count": 5, "vary": ("preload",)}), ("kerf", {}),
    ],
)  # fmt: skip
def test_a_piece_is_made_again_from_what_its_heading_says(kind: str, changes: dict[str, object]) -> None:
    piece = made(kind, **changes)
    again = made_again(piece.program.text.replace("\n", "\r\n"), bench())
    assert again is not None and again.program.text == piece.program.text


def test_what_a_program_says_of_itself_makes_it_no_piece() -> None:
    piece = made("start", count=5)
    text = piece.program.text
    head = "\n".join(line for line in text.split("\n") if "proof: coupon" in line)
    again = made_again(f"{head}\nG21\nM3\nG1 X50 F2000\nM5\nM2\n", bench())
    assert again is not None and again.program.text == text, "the piece is what the heading asks for, not the words"
    assert made_again("G21\nM2\n", bench()) is None
    for other in (bench(thickness=2.0), bench(shop.built_in("contact-skip-mm"))):
        unlike = made_again(text, other)
        assert unlike is not None and unlike.program.text != text, "on another plate or machine it is another piece"
    for spoilt in ('"count":"x"', '"count":[1]'):
        with pytest.raises(KerfproofError, match="can't be read"):
            made_again(text.replace('"count":5', spoilt), bench())
    with pytest.raises(KerfproofError, match="there is no test piece"):
        made_again(text.replace('"kind":"start"', '"kind":"anvil"'), bench())
    with pytest.raises(KerfproofError, match="can't be read"):
        made_again("(proof: coupon = {broken)\nM2\n", bench())


def test_no_kind_excuses_what_spoils_a_part_or_hurts_a_person() -> None:
    never = {"gouge", "metal-left", "feature-not-cut", "surplus-cut", "torch-left-on", "rapid-with-torch-on",
             "dry-run-not-dry", "pierce-over-void", "new-plate-unproven", "says-not-proven"}  # fmt: skip
    for kind in kinds().values():
        assert not never & set(kind.meant)


def test_a_piece_larger_than_the_table_is_refused() -> None:
    with pytest.raises(KerfproofError, match="the machine travels"):
        made("square", sizes=(5000.0, 300.0))


@pytest.mark.parametrize(
    ("kind", "changes", "message"),
    [
        ("feed", {"count": 12}, "3 to 9 rungs"),
        ("pierce", {"count": 2}, "3 to 9 pierces"),
        ("start", {"count": 100}, "3 to 30 starts"),
        ("start", {"vary": ("colour",)}, "can't be varied"),
        ("float", {"count": 1}, "3 to 30 touches"),
        ("kerf", {"sizes": (8.0,)}, "slowed"),
        ("hole", {"sizes": (3.0,)}, "smallest hole"),
        ("hole", {"sizes": (40.0,)}, "full feed"),
        ("square", {"sizes": (50.0,)}, "too small"),
    ],
)
def test_wishes_that_make_no_piece_are_refused_in_one_sentence(
    kind: str, changes: dict[str, object], message: str
) -> None:
    with pytest.raises(KerfproofError, match=message):
        made(kind, **changes)


def test_more_starts_than_half_a_tip_are_told() -> None:
    assert "tip-life" in {f.rule for f in made("start").findings}
    assert "tip-life" not in {f.rule for f in made("start", vary=("light-delay",)).findings}


def test_digits_neither_cross_nor_touch_themselves_at_any_kerf() -> None:
    from shapely.geometry import LineString

    for kerf in (1.0, 1.45, 2.1):
        height = least_height(kerf)
        for char in "0123456789":
            line = LineString(digit(char, 0, 0, height).vertices[:, :2])
            assert line.is_simple
            # A kerf around the stroke encloses no island: the arc never meets its own gap.
            assert len(line.buffer(kerf / 2).interiors) == 0, char
    with pytest.raises(ValueError):
        digit("x", 0, 0, 14)
