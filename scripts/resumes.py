"""Go on with programs at random places and print how many were tried, refused (by reason) and wrong.

``python scripts/resumes.py [COUNT [SEED]]``; each one that was refused and each wrong one is printed, too. Exit code 1
if any was wrong.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))


def main(words: list[str]) -> int:
    """Print the counts; return 1 if a resumed program was wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", nargs="?", type=int, default=200, help="how many resumes (default 200)")
    parser.add_argument("seed", nargs="?", type=int, default=1, help="where to begin (default 1)")
    said = parser.parse_args(words)
    from support.programs.going_on import judged

    found = judged(said.count, said.seed, tell=print)
    print(f"tried {found.tried}, written {found.written}, wrong {len(found.wrong)}")
    for why, number in found.refused.most_common():
        print(f"{number:5} {why}")
    for rule, number in found.warned.most_common():
        print(f"{number:5} warned of: {rule}")
    for line in found.wrong:
        print(f"wrong: {line}")
    return int(bool(found.wrong))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
