"""Faults planted in right programs, one at a time, in random blocks: every kind is caught, however it is spelled.

Kinds, programs and spellings take turns, so that each kind meets several spellings and each spelling many kinds;
`scripts/faults.py` tries them all.
"""

from __future__ import annotations

import random
from collections import defaultdict
from dataclasses import replace
from functools import cache
from itertools import islice

import pytest

from kerfproof.errors import Severity
from support.faulty.faults import FAULTS, Verdict, judged, plant
from support.faulty.headings import HEADINGS, headed, heading_verdict, right_findings
from support.faulty.programs import PROGRAMS, program
from support.programs.spellings import SPELLINGS, NotPossible
from support.referees.plain_reader import read_plainly, same_reading
from support.shop.shop import DEMOS, DIALECTS, built_in, cut, demo, starts

KINDS, NAMES, SPELLED = list(FAULTS), list(PROGRAMS), list(SPELLINGS)
TURNS = (0, 1)

RARE = {
    "height control left on", "height control on with the light-up", "sense circuit left connected",
    "sense circuit not connected", "a second copy 1 mm too large", "rest said, but not made", "rest dropped",
}  # fmt: skip
"""What only one of the programs holds; all others can be planted in two at least."""

READ_ALIKE = {
    "touch-off result thrown away": "the plate lies where the number says",
    "first move relative to the parked torch": "the torch is parked over X0 Y0",
    "travel by a stored offset": "the stored offset is zero",
    "G90 lost": "the control was in G90 before",
    "rest said, but not made": "only a comment is another",
}
"""Kinds that are another program on another table only, or in what they say; a plain reading may see no difference."""


@cache
def holding(kind: str) -> tuple[str, ...]:
    """Return two programs that hold what a kind of fault needs, fewer if there are not two."""
    at = KINDS.index(kind) % len(NAMES)
    able = (n for n in (*NAMES[at:], *NAMES[:at]) if plant(program(n), kind, KINDS.index(kind)) is not None)
    return tuple(islice(able, len(TURNS)))


@cache
def ours(kind: str, name: str) -> Verdict:
    """Return what is said of a fault in our own spelling."""
    verdict = judged(program(name), kind, KINDS.index(kind))
    assert verdict is not None
    return verdict


def test_there_are_at_least_a_hundred_and_fifty_kinds_of_faults() -> None:
    assert len(FAULTS) >= 150


def spelled(kind: str, turn: int) -> tuple[str, Verdict]:
    """Return the first spelling of this turn that is possible, with what is said of the fault in it."""
    names, first = holding(kind), KINDS.index(kind) + turn * 7
    for spelling in (SPELLED[(first + k) % len(SPELLED)] for k in range(len(SPELLED))):
        try:
            verdict = judged(program(names[turn % len(names)]), kind, KINDS.index(kind), spelling)
        except NotPossible:
            continue
        assert verdict is not None
        return spelling, verdict
    raise AssertionError("it can be spelled in no other way")


@pytest.mark.parametrize("kind", FAULTS)
def test_a_planted_fault_is_caught_and_judged_alike_in_another_spelling(kind: str) -> None:
    assert len(holding(kind)) >= (1 if kind in RARE else 2), "it can be planted nowhere"
    name = holding(kind)[0]
    verdict = ours(kind, name)
    assert verdict.new, f"nothing new is said of it in block {verdict.block + 1} of {name}"
    assert all(f.line is not None or f.x is not None for f in verdict.new[:1]), "it has no place"
    spelling, again = spelled(kind, 0)
    assert again.agrees(verdict), (
        f"{spelling}, block {verdict.block + 1} of {name}: {again.word} {sorted(again.rules)}, "
        f"ours {verdict.word} {sorted(verdict.rules)}"
    )


@pytest.mark.parametrize("kind", FAULTS)
def test_a_planted_fault_is_caught_in_another_program(kind: str) -> None:
    spelling, verdict = spelled(kind, 1)
    assert verdict.new, f"{spelling}: nothing new is said of it in block {verdict.block + 1} of {holding(kind)[-1]}"


def test_faults_are_planted_in_first_last_and_other_blocks() -> None:
    where = defaultdict(set)
    for kind in KINDS:
        for name in holding(kind):
            planted = plant(program(name), kind, KINDS.index(kind))
            assert planted is not None
            last = len(program(name).blocks()) - 1
            assert last + 1 > 6, "the proof would play all of it"
            where["first" if not planted[0] else "last" if planted[0] == last else "between"].add(kind)
    assert all(len(where[place]) > 15 for place in ("first", "last", "between")), {k: len(v) for k, v in where.items()}


@pytest.mark.parametrize("kind", FAULTS)
def test_a_planted_fault_is_another_program_by_plain_reading(kind: str) -> None:
    if kind in READ_ALIKE:
        return
    name = holding(kind)[0]
    subject = program(name)
    planted = plant(subject, kind, KINDS.index(kind))
    assert planted is not None
    right, wrong = (subject.text(lines) for lines in (planted[1].right or subject.lines, planted[1].lines))
    machine = subject.outcome.machine
    assert same_reading(read_plainly(right, machine), read_plainly(wrong, machine))


LOUD = {
    "torch off dropped", "torch on before the touch-off", "touch-off dropped", "float sign flipped", "float forgotten",
    "start height wrong", "cut height ten times", "raise lost", "unit word changed", "plane word changed",
    "G91 left on", "feed lost", "one feature removed", "hole cut after its outline", "hole moved by 0.2 mm",
    "kerf to the wrong side", "scaled by 25.4", "arc direction exchanged", "I and J exchanged",
    "lead mirrored onto the part",
}  # fmt: skip
"""What ruins the part or the torch must forbid the program, not merely warn."""


@pytest.mark.parametrize("kind", sorted(LOUD))
def test_a_fault_that_ruins_the_part_is_an_error(kind: str) -> None:
    assert ours(kind, holding(kind)[0]).word == "error"


# --- what a program says of itself --------------------------------------------------------------------------


def test_the_heading_of_a_right_program_is_believed() -> None:
    assert right_findings() == []


@pytest.mark.parametrize("kind", HEADINGS)
def test_a_heading_excuses_nothing(kind: str) -> None:
    blocks = list(range(len(headed().blocks())))
    random.Random(kind).shuffle(blocks)
    verdicts = list(islice((v for block in blocks if (v := heading_verdict(kind, block))), 2))
    assert verdicts
    assert [v.block + 1 for v in verdicts if not v.new] == [], "nothing is said of it in these blocks"


# --- right programs -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("start", starts())
@pytest.mark.parametrize("name", DEMOS)
def test_correct_programs_get_neither_error_nor_warning(name: str, start: str) -> None:
    shift = DEMOS.index(name) + list(starts()).index(start)
    for k, dialect in enumerate(DIALECTS):  # in both units for every dialect and start, by one drawing or another
        proof = cut(demo(name), replace(starts()[start], dialect=dialect, inches=bool((k + shift) % 2))).proof
        assert proof is not None
        assert [f.sentence() for f in proof.findings if f.severity is not Severity.NOTE] == []


@pytest.mark.parametrize("name", PROGRAMS)
def test_the_programs_in_which_faults_are_planted_are_right(name: str) -> None:
    proof = program(name).outcome.proof
    assert proof is not None and program(name).outcome.program is not None
    assert [f.sentence() for f in proof.findings if f.severity is not Severity.NOTE] == []


def test_the_built_in_machine_is_that_of_the_programs() -> None:
    assert program(NAMES[0]).outcome.machine.name == built_in().name
