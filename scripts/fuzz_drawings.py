"""Damage drawings at random and look what becomes of each; the tests do the same with fewer.

``python scripts/fuzz_drawings.py [COUNT [FIRST]]``, 5 000 without words. Exit code 1 if anything went wrong.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))


def main() -> int:
    """Try all seeds, print faults as they come and a table at the end."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", nargs="?", type=int, default=5000, help="how many drawings (default 5000)")
    parser.add_argument("first", nargs="?", type=int, default=0, help="the first seed (default 0)")
    words = parser.parse_args()
    count, first = words.count, words.first
    from support.drawings.mutants import DAMAGES, tried

    ends: Counter[tuple[str, str]] = Counter()
    faults, slowest = 0, 0.0
    for seed in range(first, first + count):
        result = tried(seed)
        ends[result.kind, result.end] += 1
        slowest = max(slowest, result.seconds)
        if result.fault:
            faults += 1
            print(f"seed {seed} ({result.kind}): {result.fault}", flush=True)
    told = ("refused", "told", "proven")
    print(f"{'':14}" + "".join(f"{word:>9}" for word in told))
    for kind in DAMAGES:
        print(f"{kind:14}" + "".join(f"{ends[kind, word]:9}" for word in told))
    print(f"{count} drawings, {faults} faults, slowest {slowest:.2f} s")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
