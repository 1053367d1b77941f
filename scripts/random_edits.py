"""Make random edits of right programs, judge each by the table simulator and by the proof, and print the counts.

``--count N --seed S`` say how many and where to begin (each edit is one seed), ``--dialect``, ``--group`` (cut, long,
unlit, rest, piece) and ``--kind`` narrow them, ``--jobs`` is the number of processes, ``--minutes`` ends a long run,
``--all`` shows every silent one and every false alarm, ``--show`` the text of each. ``--known`` judges the edits that
went wrong once instead. Exit code 1 if harm was silent.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))


def _tried(seed: int, dialect: str, group: str, kind: str) -> object:
    from support.programs.random_edits import judged

    try:
        return judged(seed, dialect, group, kind)
    except Exception as error:
        return seed, f"{type(error).__name__}: {error}"


def _told(one: object, text: bool = False) -> str:
    from support.programs.random_edits import Judged

    assert isinstance(one, Judged)
    harm = "; ".join(dict.fromkeys(f"{kind} {more}".strip() + f" (line {line})" for kind, line, more in one.harm.harms))
    out = [f"seed {one.seed}  {one.word}  {one.kind}  [{one.name}]"]
    out += [f"    {line}" for line in one.changes]
    out.append(f"    simulator: {harm[:400] or one.harm.word}")
    if not one.harm.harms and one.harm.doubts:
        out.append(
            f"    doubts: {'; '.join(dict.fromkeys(f'{kind} {more}' for kind, _, more in one.harm.doubts))[:300]}"
        )
    out += [f"    proof: {sentence[:200]}" for sentence in one.sentences[:4]]
    return "\n".join(out + ([one.text] if text else []))


def _counts(done: list) -> None:
    from support.programs.random_edits import CLASSES

    short = [word.replace("harmful", "hf").replace("harmless", "hl").replace("doubtful", "df") for word in CLASSES]
    print(f"{'kind':32}" + "".join(f"{word:>13}" for word in short))
    by_kind: dict[str, Counter[str]] = {}
    for one in done:
        by_kind.setdefault(one.kind, Counter())[one.word] += 1
    total: Counter[str] = Counter()
    for kind in sorted(by_kind):
        total += by_kind[kind]
        print(f"{kind:32}" + "".join(f"{by_kind[kind][word] or '.':>13}" for word in CLASSES))
    print(f"{'all':32}" + "".join(f"{total[word]:>13}" for word in CLASSES))
    groups: dict[str, Counter[str]] = {}
    for one in done:
        groups.setdefault(one.name.split(" ", 1)[0].partition(":")[0], Counter())[one.word] += 1
    print()
    for name, counts in sorted(groups.items()):
        print(f"{name:32}" + "".join(f"{counts[word] or '.':>13}" for word in CLASSES))


def _known() -> int:
    """Print what simulator and proof say of the edits that went wrong once."""
    from support.programs.known_edits import known
    from support.programs.random_edits import judge

    silent = 0
    for label, name, text in known():
        one = judge(name, text, label, 0, (0, 1, 2, 3, 4))
        silent += one.word == "harmful, SILENT"
        seen = ", ".join(dict.fromkeys(kind for kind, _, _ in (*one.harm.harms, *one.harm.doubts)))
        told = ", ".join(one.errors or one.warnings)
        print(f"{label:58} {one.word:18} {seen[:70] or 'nothing':70} {told[:60]}", flush=True)
    return int(silent > 0)


def main(args: list[str]) -> int:
    """Print all; return 1 if harm was silent or something broke."""
    from support.programs.random_edits import Judged

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=1e9)
    parser.add_argument("--known", action="store_true")
    parser.add_argument("--all", action="store_true")
    parser.add_argument("--show", action="store_true")
    for name in ("dialect", "group", "kind"):
        parser.add_argument(f"--{name}", default="")
    options = parser.parse_args(args)
    if options.known:
        return _known()
    one_seed = partial(_tried, dialect=options.dialect, group=options.group, kind=options.kind)
    seeds, begun = range(options.seed, options.seed + options.count), time.monotonic()
    done: list[Judged] = []
    broken: list[tuple[int, str]] = []

    def keep(result: object) -> bool:
        if isinstance(result, Judged):
            done.append(result)
        else:
            broken.append(result)  # type: ignore[arg-type]
        return time.monotonic() - begun < 60 * options.minutes

    if options.jobs > 1:
        with ProcessPoolExecutor(options.jobs) as pool:
            for result in pool.map(one_seed, seeds, chunksize=50):
                keep(result)
    else:
        for seed in seeds:
            if not keep(one_seed(seed)):
                break
    seconds = time.monotonic() - begun
    print(f"{len(done)} edits from seed {options.seed}, {1000 * seconds / max(len(done), 1):.0f} ms each\n")
    _counts(done)
    for title, word in (("HARMFUL AND SILENT", "harmful, SILENT"), ("HARMLESS AND REFUSED", "harmless, REFUSED")):
        those = [one for one in done if one.word == word]
        print(f"\n{title}: {len(those)}")
        why = (lambda o: o.harm.harms[0][0]) if word == "harmful, SILENT" else (lambda o: ", ".join(o.errors))
        reasons: dict[str, list[Judged]] = {}
        for one in those:
            reasons.setdefault(why(one), []).append(one)
        for reason, same in sorted(reasons.items(), key=lambda item: -len(item[1])):
            kinds = Counter(one.kind for one in same)
            print(f"\n  {reason}: {len(same)}  ({', '.join(f'{k} {n}' for k, n in kinds.most_common())})")
            for one in same if options.all else same[:4]:
                print("  " + _told(one, options.show).replace("\n", "\n  "))
    if options.show and len(done) == 1:
        print(_told(done[0], True))
    for seed, error in broken:
        print(f"\nBROKEN seed {seed}: {error}")
    return int(bool(broken) or any(one.word == "harmful, SILENT" for one in done))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
