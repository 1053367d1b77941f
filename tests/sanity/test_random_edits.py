"""Random edits of right programs: where a simulator that shares nothing with the reader sees harm, the proof tells."""

from __future__ import annotations

import pytest

from support.programs.edit_subjects import subject
from support.programs.known_edits import known
from support.programs.random_edits import EDITS, Judged, edited, judge, judged

SHARE = range(77_000, 77_060)
"""Seeds of the edits that are judged here; `scripts/random_edits.py` judges as many of all subjects as one likes."""
AMONG = (
    "cut plate contact float/ngc/mm", "cut wedge contact float/compact/in", "cut wedge contact ohmic/skip_macro/mm",
    "cut ring pilot ohmic/ngc/in", "cut plate contact float/skip/mm", "cut pair contact float/ngc_blend/in",
    "cut wedge special/homed float", "cut plate special/output torch", "dry plate special/output torch",
    "rest1 plate contact float/skip/mm",
)  # fmt: skip


def test_an_edit_is_all_in_its_seed():
    assert edited(5, among=AMONG) == edited(5, among=AMONG)
    assert len({edited(seed, among=AMONG)[2] for seed in range(12)}) > 10


def test_every_kind_of_edit_can_be_made():
    for kind in EDITS:
        name, what, text, _, told = edited(3, kind=kind, among=["cut pair contact float/ngc/mm"])
        assert what == kind and text != subject(name).text and told


@pytest.fixture(scope="module")
def share() -> list[Judged]:
    return [judged(seed, among=AMONG) for seed in SHARE]


def _told(those: list[Judged]) -> list[tuple[object, ...]]:
    return [(one.seed, one.kind, one.name, one.changes, one.harm.harms[:2], one.sentences[:2]) for one in those]


def test_what_does_harm_is_never_silent(share: list[Judged]):
    assert sum(one.harm.word == "harm" for one in share) > len(share) // 5
    assert _told([one for one in share if one.word == "harmful, SILENT"]) == []


def test_what_does_no_harm_is_never_refused(share: list[Judged]):
    assert sum(one.harm.word == "none" for one in share) > len(share) // 5
    assert _told([one for one in share if one.word == "harmless, REFUSED"]) == []


def test_edits_that_went_wrong_once_are_judged_right():
    wrong = []
    for label, name, text in known():
        one = judge(name, text, label, 0, (0, 1, 2, 3, 4))
        if one.word == "harmful, SILENT" or (one.harm.word == "none" and one.errors):
            wrong.append((label, one.word, one.harm.harms[:2], one.sentences[:2]))
    assert wrong == []
