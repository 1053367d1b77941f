"""Damaged drawings: refused or told of, never a traceback, a hang, or a program from garbage."""

from __future__ import annotations

from collections import Counter

from support.drawings.mutants import DAMAGES, mutant, tried

COUNT = 8 * len(DAMAGES)
ONCE_WRONG = (2523, 3064, 3880, 5631)
"""Seeds beyond that once brought a fault to light."""


def test_drawings_damaged_in_every_way_are_refused_told_of_or_right():
    results = [tried(seed) for seed in (*range(COUNT), *ONCE_WRONG)]
    assert not [r for r in results if r.fault]
    ends = Counter(r.end for r in results)
    assert ends["refused"] > 15 and ends["proven"] > 5, ends


def test_the_same_seed_makes_the_same_damage():
    for seed in range(2 * len(DAMAGES)):
        assert mutant(seed) == mutant(seed)
