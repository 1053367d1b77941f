"""A program that says that it is a test piece is held against the piece, made again: what it does, not its words."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial

import pytest

from kerfproof.coupon.likeness import RULE, unlike, unlike_elsewhere
from kerfproof.coupon.piece import Coupon, CouponRequest, kind_of
from kerfproof.errors import Finding
from kerfproof.gcode.machine_control import control_of
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.prove import prove
from kerfproof.shop.profile import Machine
from kerfproof.shop.select_process import select_process
from support.programs.spellings import SPELLINGS, NotPossible
from support.shop import shop

KINDS = ("feed", "float", "hole", "kerf", "pierce", "square", "start")


@cache
def machine_of(dialect: str, inches: bool) -> Machine:
    return replace(shop.built_in(), dialect=dialect, inches=inches)


@cache
def made(kind: str, machine: Machine) -> tuple[CouponRequest, Coupon]:
    process = select_process(shop.chart(), "mild steel", 3.0, None, machine)
    bench = CouponRequest(machine=machine, process=process, control=control_of(machine))
    return bench, kind_of(kind).make(bench)


def told(text: str, kind: str, machine: Machine, read_by: Machine | None = None) -> tuple[Finding, ...]:
    bench, piece = made(kind, machine)
    reader = read_by or machine
    mode = "touch" if kind == "float" else "cut"
    proof = prove(
        text, Against(control=control_of(reader), machine=reader, process=bench.process, plate=piece.plate, mode=mode)
    )
    assert proof.trace.stopped is None
    return unlike(proof, piece.proof, kind)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("dialect", shop.DIALECTS)
def test_a_piece_in_any_spelling_is_the_piece(kind: str, dialect: str) -> None:
    """Each pair of kind and dialect with two spellings by turns, so that each spelling is met by each kind."""
    turn = len(KINDS) * shop.DIALECTS.index(dialect) + KINDS.index(kind)
    machine = machine_of(dialect, turn % 2 == 0)
    text, names = made(kind, machine)[1].program.text, list(SPELLINGS)
    for name in (names[(3 * turn) % len(names)], names[(3 * turn + 7) % len(names)]):
        try:
            spelled = SPELLINGS[name](text, machine)
        except NotPossible:
            continue
        assert told(spelled.text, kind, machine, spelled.machine) == (), name


def without(pattern: str, count: int = 1) -> Callable[[str], str]:
    return lambda text: re.sub(pattern, "", text, count=count, flags=re.MULTILINE)


def put(pattern: str, by: str, count: int = 1) -> Callable[[str], str]:
    return lambda text: re.sub(pattern, by, text, count=count, flags=re.MULTILINE)


CHANGED: list[tuple[str, str, Callable[[str], str], str]] = [
    ("an arc of a corner dropped", "square", without(r"^G[23] X10\.725 .*\n"), "leaves the piece's way"),
    ("a rung 2 mm further on", "feed", put(r"X33.25 Y18.45$", "X33.25 Y20.45"), "leaves the piece's way"),
    ("M2 for M3", "pierce", lambda t: t[: t.rindex("M3")] + "M2" + t[t.rindex("M3") + 2 :], "1 cut is missing"),
    ("a hole of another size", "hole", put(r"^G3 (.*)I-?([\d.]+)", r"G3 \1I-9.9"), "leaves the piece's way"),
    ("another feed on one rung", "feed", put(r"F1540$", "F2500"), "feed is 2500 mm/min instead of 1540 mm/min"),
    ("a delay dropped", "pierce", without(r"^G4 P0.133\n"), "time before the cut is 0.77 s instead of 0.90 s"),
    ("another preload at one start", "start", put(r"^G1 Z-0\.5 ", "G1 Z-2 "), "height at light-up is -2.00 mm"),
    ("cut 1 mm higher", "kerf", put(r"^G1 Z1\.5 F900\n", "G1 Z1.5 F900\nG1 Z2.5 F9000\n"),
     "1.00 mm higher or lower"),
    ("another height at a stop", "float", put(r"^G1 Z1 ", "G1 Z1.4 "), "stop ends at a height of 1.40 mm"),
    ("a stop less", "float", without(r"^M0\n"), "stop ends at a height of 0.00 mm instead of -19.00 mm"),
    ("another feed at a touch", "float", put(r"F150$", "F600"), "touch runs at 600 mm/min"),
]  # fmt: skip


WAYS = [
    ("the trip is not gone back to", without(r"^G1 Z#5063 F60\n", 3)),
    ("no way back between two touches", without(r"^G1 Z5 F600\n", 1)),
    ("down on the way", put(r"^G1 Z5 F600$", "G1 Z-20 F600\nG1 Z5 F600")),
    ("the zero from above", put(r"^G1 Z-1 F600\nG1 Z0 F60$", "G1 Z1 F600\nG1 Z0 F60")),
]


@pytest.mark.parametrize(("change", "work"), WAYS, ids=[change for change, _ in WAYS])
def test_a_piece_for_the_float_goes_its_way_between_the_touches_too(change: str, work: Callable[[str], str]) -> None:
    text = made("float", shop.built_in())[1].program.text
    assert work(text) != text, change
    assert {f.rule for f in told(work(text), "float", shop.built_in())} == {RULE}


@pytest.mark.parametrize("dialect", ["ngc", "ngc_blend", "compact", "skip", "skip_macro"])
def test_a_number_in_the_place_of_the_trip_shows_where_the_plate_lies_lower(dialect: str) -> None:
    machine = machine_of(dialect, False)
    right = made("float", machine)[1].program.text
    elsewhere = partial(unlike_elsewhere, right=right, machine=machine, control=control_of(machine), name="float")
    assert elsewhere(right) == ()
    constant = re.sub(r"^G1 Z#5063 F60$", "G1 Z-19 F60", right, flags=re.MULTILINE)
    if constant != right:
        assert {f.rule for f in elsewhere(constant)} == {RULE}


@pytest.mark.parametrize(("change", "kind", "work", "words"), CHANGED, ids=[change for change, *_ in CHANGED])
def test_a_piece_that_was_changed_is_none(change: str, kind: str, work: Callable[[str], str], words: str) -> None:
    machine = shop.built_in()
    text = made(kind, machine)[1].program.text
    changed = work(text)
    assert changed != text, change
    found = told(changed, kind, machine)
    assert {f.rule for f in found} == {RULE} and found[0].line is not None
    assert re.search(words, found[0].message), [f.message for f in found]
