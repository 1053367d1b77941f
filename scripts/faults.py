"""Plant every kind of fault in right programs, in random blocks and all spellings, and print what the proof says.

Each kind is judged in every program with every seed, in our own spelling and in all others: that takes hours. Words
after the script narrow it (``--help`` lists them). Exit code 1 if a fault was silent or judged otherwise in another
spelling.
"""

from __future__ import annotations

import argparse
import re
import sys
import time
from collections import Counter
from collections.abc import Iterable
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


def main(words: list[str]) -> int:
    """Print the tables; return 1 if a fault was silent or unequal."""
    parser = argparse.ArgumentParser(
        description=__doc__, epilog=WORDS, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("words", nargs="*", type=_word, metavar="WORD", help="what narrows the table, see below")
    words = parser.parse_args(words).words
    from faults import FAULTS, judged, plant
    from faulty.programs import PROGRAMS, program
    from spellings import SPELLINGS, NotPossible

    kinds, names = picked(words, "kind", FAULTS), picked(words, "program", PROGRAMS)
    spellings = picked(words, "spelling", (OURS, *SPELLINGS))
    seeds = [int(word.partition("=")[2]) for word in words if word.startswith("seed=")] or [0, 1]
    print(f"{len(kinds)} kinds, {len(names)} programs, {len(spellings)} spellings, seeds {seeds}\n", flush=True)
    tally, began = Tally(), time.monotonic()
    for kind in kinds:
        for name in names:
            subject = program(name)
            blocks = len(subject.blocks())
            for seed in seeds:
                found = plant(subject, kind, seed)
                if found is None:
                    tally.add("not there", kind=kind, program=name)
                    break
                block = where(found[0], blocks)
                ours = judged(subject, kind, seed)
                assert ours is not None
                turn = 5 * kinds.index(kind) + 3 * names.index(name) + seed
                for spelling in by_turns(spellings, turn) if "turns" in words else spellings:
                    keys = {"kind": kind, "program": name, "spelling": spelling, "block": block}
                    at = f"{kind} | {name} | {spelling} | block {found[0] + 1} of {blocks}"
                    try:
                        verdict = ours if spelling == OURS else judged(subject, kind, seed, spelling)
                    except NotPossible as reason:
                        tally.add("not possible", **keys)
                        if "cells" in words:
                            print(f"not possible | {at} | {reason}")
                        continue
                    assert verdict is not None
                    word = "silent" if verdict.word == "MISSED" else verdict.word
                    tally.add("planted", **keys)
                    tally.add(word, **keys)
                    if not ours.agrees(verdict):
                        tally.add("unequal", **keys)
                        print(
                            f"unequal | {at} | {word}, ours {ours.word}: {said(verdict.rules)}, ours {said(ours.rules)}"
                        )
                    elif word == "silent" or "cells" in words:
                        print(f"{word} | {at} | {said(verdict.rules)}")
        sys.stdout.flush()
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
