"""Damaged drawings: refused or told of, never a traceback, a hang, or a program from garbage."""

from __future__ import annotations

from collections import Counter

from mutants import DAMAGES, mutant, tried

COUNT = 200
ONCE_WRONG = (2523, 3064, 3880, 5631)
"""Seeds beyond that once brought a fault to light."""


def test_two_hundred_damaged_drawings_are_refused_told_of_or_right():
    results = [tried(seed) for seed in (*range(COUNT), *ONCE_WRONG)]
    assert not [r for r in results if r.fault]
    ends = Counter(r.end for r in results)
    assert ends["refused"] > 30 and ends["proven"] > 10, ends


def test_the_same_seed_makes_the_same_damage():
    for seed in range(2 * len(DAMAGES)):
        assert mutant(seed) == mutant(seed)
