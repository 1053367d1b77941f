"""The modules that a verdict rests on: all that the proof reaches by imports, with their lines, package by package.

``python scripts/trusted_base.py`` prints the table of DEVELOPERS.md. Counted are lines that are not blank; of a rule
not its page, which people read and nothing runs but the examples in it, in tests.
"""

from __future__ import annotations

import argparse
import ast
import sys
from collections import Counter
from importlib.util import find_spec
from pathlib import Path as FilePath

import grimp

PROOF = "kerfproof.proof.prove"
BY_NAME = ("kerfproof.proof.rules", "kerfproof.gcode.dialects")
"""Folders that the registry reads: no import leads to their modules."""
GOAL = 10_000


def lines_by_module() -> dict[str, int]:
    """Return the lines of each module that the proof reaches."""
    graph = grimp.build_graph("kerfproof", cache_dir=None)
    reached = {PROOF}
    for name in (PROOF, *BY_NAME):
        reached |= graph.find_upstream_modules(name, as_package=name in BY_NAME)
    for name in BY_NAME:
        reached |= graph.find_descendants(name) | {name}
    return {name: _lines(name) for name in sorted(reached)}


def lines_by_package() -> dict[str, int]:
    """Return the lines that the proof reaches in each package, in order."""
    out = Counter[str]()
    for name, count in lines_by_module().items():
        out[".".join(name.split(".")[1:-1][:2]) or "kerfproof"] += count
    return dict(sorted(out.items()))


def trusted_base() -> tuple[float, float]:
    """Lines that the proof reaches, over those that it should at most."""
    return float(sum(lines_by_module().values())), float(GOAL)


def _lines(name: str) -> int:
    found = find_spec(name)
    assert found is not None and found.origin is not None, name
    text = FilePath(found.origin).read_text(encoding="utf-8")
    page = ast.get_docstring(ast.parse(text), clean=False) if name.startswith(f"{BY_NAME[0]}.") else None
    return sum(sum(map(bool, map(str.strip, some.splitlines()))) * sign for some, sign in ((text, 1), (page or "", -1)))


def main() -> int:
    """Print the table."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    packages = lines_by_package()
    sys.stdout.write("| package | lines |\n|---|---|\n")
    for name, count in (*packages.items(), ("all", sum(packages.values()))):
        sys.stdout.write(f"| `{name}` | {count} |\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
