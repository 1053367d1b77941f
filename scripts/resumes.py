"""Go on with programs at random places and print how many were tried, refused (by reason) and wrong.

``python scripts/resumes.py [COUNT [SEED]]``; each one that was refused and each wrong one is printed, too. Exit code 1
if any was wrong.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))


def main(words: list[str]) -> int:
    """Print the counts; return 1 if a resumed program was wrong."""
    from going_on import judged

    count, seed = [int(word) for word in [*words, *["200", "1"][len(words) :]]]
    found = judged(count, seed, tell=print)
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
