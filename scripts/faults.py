"""Plant every kind of fault in right programs, in random blocks and all spellings, and print what the proof says.

Each kind is judged in every program with every seed, in our own spelling and in all others: that takes hours. Words
after the script narrow it (``--help`` lists them), ``--share``, ``--seed`` and ``--minutes`` draw some of it: kind,
program, block and spelling by lot, each as often as any other. Exit code 1 if a fault was silent or judged otherwise in
another spelling.
"""

from __future__ import annotations

import argparse
import math
import random
import re
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

OURS = "ours"
TOLD = ("planted", "not there", "not possible", "error", "warning", "silent", "unequal")


WORDS = """words, each may be repeated:
  kind=PART       only kinds of fault with PART in their name
  program=PART    only programs with PART in their name
  spelling=PART   only spellings with PART in their name; spelling=ours is our own
  seed=N          that seed instead of the first two
  turns           ours and one other spelling for each kind and program, by turns
  cells           print every single verdict"""


def _word(text: str) -> str:
    if not re.fullmatch(r"(kind|program|spelling)=.+|seed=\d+|turns|cells", text):
        raise argparse.ArgumentTypeError(f"{text!r} is none of the words that --help lists")
    return text


def _share(text: str) -> float:
    try:
        share = float(Fraction(text))
    except (ValueError, ZeroDivisionError):
        share = 0.0
    if not 0 < share <= 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no share, write for example 1/20")
    return share


def picked(words: list[str], key: str, names: Iterable[str]) -> list[str]:
    """Return the names that the words let through."""
    parts = [word.partition("=")[2] for word in words if word.startswith(f"{key}=")]
    return [name for name in names if not parts or any(part in name for part in parts)]


class Tally:
    """Counts of verdicts by kind, program, spelling and place of the block."""

    def __init__(self) -> None:
        self.by: dict[str, dict[str, Counter[str]]] = {key: {} for key in ("kind", "program", "spelling", "block")}

    def add(self, told: str, **names: str) -> None:
        """Count one verdict under each of its names."""
        for key, name in names.items():
            self.by[key].setdefault(name, Counter())[told] += 1

    def table(self, key: str) -> str:
        """Return the counts under one heading."""
        rows = self.by[key]
        width = max([len(key), *map(len, rows)])
        head = f"{key:{width}}" + "".join(f"{told:>14}" for told in TOLD)
        return "\n".join([head, *(f"{n:{width}}" + "".join(f"{c[told]:14}" for told in TOLD) for n, c in rows.items())])


def where(block: int, blocks: int) -> str:
    """Return in words which block of a program it is."""
    return "first" if not block else "last" if block == blocks - 1 else "between"


def by_turns(spellings: list[str], turn: int) -> list[str]:
    """Return our own spelling and one of the others."""
    others = [name for name in spellings if name != OURS]
    return [OURS, *others[turn % len(others) :][:1]] if others else [OURS]


def drawn(kinds: Sequence[str], names: Sequence[str], spellings: Sequence[str], seed: int) -> Iterator[tuple[str, ...]]:
    """Yield kind, program and spelling without end: each kind once before any comes again, the others by turns.

    The seed fixes all of it, so that a longer run goes on where a shorter one stopped.
    """
    lot = random.Random(seed)
    decks: dict[Sequence[str], list[str]] = {}

    def deal(all_of: Sequence[str]) -> str:
        deck = decks.setdefault(all_of, [])
        if not deck:
            deck += lot.sample(all_of, len(all_of))
        return deck.pop()

    while True:
        yield deal(kinds), deal(names), deal(spellings)


class Run:
    """What is planted and judged, one cell after the other."""

    def __init__(self, cells: bool) -> None:
        from support.faulty.programs import PROGRAMS

        self.cells, self.tally, self.names = cells, Tally(), tuple(PROGRAMS)

    def cell(self, kind: str, name: str, seed: int, spellings: Sequence[str]) -> bool:
        """Judge one kind in one program and block in some spellings; return whether the program holds what it needs."""
        from support.faulty.faults import judged, plant
        from support.faulty.programs import program
        from support.programs.spellings import NotPossible

        subject, tally = program(name), self.tally
        blocks, found = len(subject.blocks()), plant(subject, kind, seed)
        if found is None:
            tally.add("not there", kind=kind, program=name)
            return False
        ours = judged(subject, kind, seed)
        assert ours is not None
        for spelling in spellings:
            keys = {"kind": kind, "program": name, "spelling": spelling, "block": where(found[0], blocks)}
            at = f"{kind} | {name} | {spelling} | block {found[0] + 1} of {blocks}, seed {seed}"
            try:
                verdict = ours if spelling == OURS else judged(subject, kind, seed, spelling)
            except NotPossible as reason:
                tally.add("not possible", **keys)
                if self.cells:
                    print(f"not possible | {at} | {reason}")
                continue
            assert verdict is not None
            word = "silent" if verdict.word == "MISSED" else verdict.word
            tally.add("planted", **keys)
            tally.add(word, **keys)
            if not ours.agrees(verdict):
                tally.add("unequal", **keys)
                print(f"unequal | {at} | {word}, ours {ours.word}: {said(verdict.rules)}, ours {said(ours.rules)}")
            elif word == "silent" or self.cells:
                print(f"{word} | {at} | {said(verdict.rules)}")
            sys.stdout.flush()
        return True

    def all_of(self, kinds: list[str], names: list[str], spellings: list[str], seeds: list[int], turns: bool) -> None:
        """Judge each kind in each program with each seed."""
        for kind in kinds:
            for name in names:
                for seed in seeds:
                    turn = 5 * kinds.index(kind) + 3 * names.index(name) + seed
                    if not self.cell(kind, name, seed, by_turns(spellings, turn) if turns else spellings):
                        break

    def some_of(
        self, kinds: list[str], names: list[str], spellings: list[str], seed: int, count: int, minutes: float
    ) -> int:
        """Judge so many cells by lot, or as many as there is time for; return how many."""
        began, at, possible = time.monotonic(), 0, {(kind, name) for kind in kinds for name in names}
        for number, (kind, name, spelling) in enumerate(drawn(tuple(kinds), tuple(names), tuple(spellings), seed)):
            if at >= count or time.monotonic() - began >= 60 * minutes or not possible:
                break
            # Where this program does not hold what the kind needs, the next one that does stands in for it.
            turn = names.index(name)
            for other in (*names[turn:], *names[:turn]):
                if (kind, other) in possible and self.cell(kind, other, seed + number, [spelling]):
                    at += 1
                    break
                possible.discard((kind, other))
        return at


def main(args: list[str]) -> int:
    """Print the tables; return 1 if a fault was silent or unequal."""
    from support.faulty.faults import FAULTS
    from support.programs.spellings import SPELLINGS

    parser = argparse.ArgumentParser(
        description=__doc__, epilog=WORDS, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("words", nargs="*", type=_word, metavar="WORD", help="what narrows the table, see below")
    parser.add_argument("--share", type=_share, metavar="PART", help="draw this part of all cells by lot, such as 1/20")
    parser.add_argument("--seed", type=int, metavar="N", default=0, help="which lot is drawn")
    parser.add_argument("--minutes", type=float, metavar="M", help="end after so many minutes, drawing by lot")
    options = parser.parse_args(args)
    words = options.words
    run = Run("cells" in words)
    kinds, names = picked(words, "kind", FAULTS), picked(words, "program", run.names)
    spellings = picked(words, "spelling", (OURS, *SPELLINGS))
    seeds = [int(word.partition("=")[2]) for word in words if word.startswith("seed=")] or [0, 1]
    print(f"{len(kinds)} kinds, {len(names)} programs, {len(spellings)} spellings", end="")
    began = time.monotonic()
    if options.share is None and options.minutes is None:
        print(f", seeds {seeds}\n", flush=True)
        run.all_of(kinds, names, spellings, seeds, "turns" in words)
    else:
        count = math.ceil((options.share or 1.0) * len(kinds) * len(names) * len(spellings))
        print(f", {count} cells by lot {options.seed}\n", flush=True)
        minutes = options.minutes if options.minutes is not None else math.inf
        judged = run.some_of(kinds, names, spellings, options.seed, count, minutes)
        print(f"\n{judged} of {count} cells")
    tally = run.tally
    for key in tally.by:
        print(f"\n{tally.table(key)}")
    bad = sum(c["silent"] + c["unequal"] for c in tally.by["kind"].values())
    print(f"\n{bad} silent or unequal; {time.monotonic() - began:.0f} s")
    return 1 if bad else 0


def said(rules: Iterable[str]) -> str:
    """Return rules as words."""
    return ", ".join(sorted(rules)) or "nothing"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
