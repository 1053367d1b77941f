"""Accept the programs of today as golden, and say what moved: pierces, order, cut length."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path

TESTS = Path(__file__).resolve().parent.parent / "tests"
sys.path.insert(0, str(TESTS))


def pierces(text: str) -> list[str]:
    """Return the comment of each cut of a program, in order."""
    return re.findall(r"^\(cut \d+ of \d+: .*\)$", text, flags=re.MULTILINE)


def main() -> int:
    """Write every golden program that differs; print what changed in it."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    from support.shop.golden_cases import CASES, program_of

    for case in CASES:
        path = TESTS / "golden" / f"{case}.nc"
        before = path.read_text(encoding="ascii") if path.exists() else ""
        after = program_of(case)
        if before == after:
            continue
        old, new = pierces(before), pierces(after)
        moved = sum(a != b for a, b in zip(old, new, strict=False)) + abs(len(old) - len(new))
        print(f"{case}: {len(new)} cuts (were {len(old)}), {moved} cut headings differ, "
              f"{len(after.splitlines()) - len(before.splitlines()):+d} lines")  # fmt: skip
        path.write_text(after, encoding="ascii", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
