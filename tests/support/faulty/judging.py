"""Planting a fault in a random block, and what the proof says of it in one spelling or another."""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace
from functools import cache

from kerfproof.errors import Finding, Severity
from kerfproof.proof.proof import Proof
from support.faulty.subject import FAULTS, Planted, Subject
from support.programs.spellings import SPELLINGS, NotPossible, Respelled
from support.referees.plain_reader import Reading, read_plainly, same_reading


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a proof says of a planted fault: the findings that are new, errors and warnings alone, worst first."""

    new: tuple[Finding, ...] = field(repr=False)
    block: int = 0
    """Where it was planted, counted from 0."""

    @property
    def word(self) -> str:
        """``error``, ``warning`` or ``MISSED``."""
        return str(self.new[0].severity) if self.new else "MISSED"

    @property
    def rules(self) -> frozenset[str]:
        """Return the rules that the findings are of."""
        return frozenset(f.rule for f in self.new)

    def agrees(self, other: Verdict) -> bool:
        """Return whether another spelling is judged equally: the same word, and a rule in common."""
        return self.word == other.word and (not self.new or bool(self.rules & other.rules))


def plant(subject: Subject, kind: str, seed: int = 0) -> tuple[int, Planted] | None:
    """Return a fault in a random one of the blocks that hold what it needs, with its block; None where none does."""
    blocks = list(range(len(subject.blocks())))
    random.Random(f"{kind} {seed}").shuffle(blocks)
    for block in blocks:
        found = FAULTS[kind](replace(subject, chosen=block))
        planted = Planted(found) if isinstance(found, list) else found
        if planted is not None and planted.lines != (planted.right or subject.lines):
            return block, planted
    return None


def said(proof: Proof) -> list[Finding]:
    """Return the errors and warnings of a proof."""
    return [f for f in proof.findings if f.severity is not Severity.NOTE]


def judged(subject: Subject, kind: str, seed: int = 0, spelling: str = "") -> Verdict | None:
    """Return what the proof says of a fault, None where the program does not hold what the fault needs.

    Raises
    ------
    NotPossible
        If the program with this fault can't be spelled like this and mean the same.
    """
    found = plant(subject, kind, seed)
    if found is None:
        return None
    block, planted = found
    text = subject.text(planted.lines)
    again = respelled(subject, text, spelling)
    # What the right program is told of already, in our own spelling, is no answer to a fault.
    known = _known(subject, planted)
    proof = subject.prove(again.text, again.machine, loose=planted.loose, drawn=planted.drawn)
    new = [f for f in said(proof) if f.rule not in known and (not planted.told_by or f.rule in planted.told_by)]
    return Verdict(tuple(sorted(new, key=lambda f: list(Severity).index(f.severity))), block)


def respelled(subject: Subject, text: str, spelling: str) -> Respelled:
    """Return a text of this subject in a spelling, read the same by plain reading; ours if there is no name.

    Raises
    ------
    NotPossible
        If it can't be said like this, or means something else then.
    """
    machine = subject.outcome.machine
    if not spelling:
        return Respelled(text, machine)
    again = SPELLINGS[spelling](text, machine)
    difference = same_reading(_plainly(text, machine), read_plainly(again.text, again.machine))
    if difference:
        raise NotPossible(f"it would not mean the same: {difference}")
    return again


@cache
def _plainly(text: str, machine: object) -> Reading:
    return read_plainly(text, machine)  # type: ignore[arg-type]


def _known(subject: Subject, planted: Planted) -> frozenset[str]:
    """Return the rules that the right program is told of."""
    if planted.right is None and not planted.loose:
        assert subject.outcome.proof is not None
        return frozenset(f.rule for f in said(subject.outcome.proof))
    text = subject.text(planted.right or subject.lines)
    return frozenset(f.rule for f in said(subject.prove(text, loose=planted.loose, drawn=planted.drawn)))
