"""Plant every kind of fault in the demo programs, in every dialect and unit, and print what the proof says of each.

Words after the script narrow it: names of demo drawings, dialects, ``mm``, ``in``, and ``kind=PART`` for the kinds with
PART in their name. Exit code 1 if any was missed.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

SIGNS = {"error": "E", "warning": "w", "MISSED": "!"}


def programs(words: set[str]) -> Iterator[tuple[str, object]]:
    """Yield name and subject of each correct program that the words let through."""
    from faults import Subject
    from shop import DEMOS, DIALECTS, built_in, cut, demo

    for name in [n for n in DEMOS if n in words] or DEMOS:
        for dialect in [d for d in DIALECTS if d in words] or DIALECTS:
            for unit in [u for u in ("mm", "in") if u in words] or ("mm", "in"):
                machine = replace(built_in(), dialect=dialect, inches=unit == "in")
                yield f"{name} {dialect} {unit}", Subject(cut(demo(name), machine))


def main(words: list[str]) -> int:
    """Print the table; return 1 if a fault was missed."""
    from faults import FAULTS, judged

    parts = [word.removeprefix("kind=") for word in words if word.startswith("kind=")] or [""]
    kinds = {kind: plant for kind, plant in FAULTS.items() if any(part in kind for part in parts)}
    columns = list(programs(set(words)))
    for number, (name, _) in enumerate(columns, 1):
        print(f"{number:4} {name}")
    print(f"\nE error, w warning, ! missed, . not in this program; {len(kinds)} kinds\n")
    width, missed = max(map(len, kinds), default=0), 0
    for kind, plant in kinds.items():
        verdicts = [judged(subject, plant) for _, subject in columns]  # type: ignore[arg-type]
        signs = "".join("." if v is None else SIGNS[v.word] for v in verdicts)
        missed += signs.count("!")
        rules = Counter(f.rule for v in verdicts if v is not None for f in v.new[:1])
        print(f"{kind:{width}}  {signs}  {', '.join(rule for rule, _ in rules.most_common(3))}", flush=True)
    print(f"\n{missed} missed" if missed else "\nall caught")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
