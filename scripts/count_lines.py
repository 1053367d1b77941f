"""Count the product's lines by package: ``python3 scripts/count_lines.py [FOLDER...]``.

Blank lines and comments never count. The first number leaves docstrings out, the second has them in. Without words the
core, the app and the resources are counted; a folder counts with all below it that is no row of its own.
"""

from __future__ import annotations

import argparse
import ast
import io
import sys
import tokenize
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PRODUCT = ("core", "app", "resources")
DEPTH = 3
"""Rows are folders down to this depth: ``core/kerfproof/gcode``."""
EMPTY = {
    tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER
}  # fmt: skip


def lines_of(text: str) -> tuple[int, int]:
    """Return how many lines of a module hold code, without and with docstrings (their blank lines do not count)."""
    code: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in EMPTY:
            code.update(range(token.start[0], token.end[0] + 1))
    told: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        body = getattr(node, "body", None)
        for statement in body if isinstance(body, list) else []:
            if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
                told.update(range(statement.lineno, (statement.end_lineno or statement.lineno) + 1))
    blank = {number for number, line in enumerate(text.splitlines(), 1) if not line.strip()}
    return len(code - told - blank), len(code - blank)


def count(folders: list[Path]) -> dict[str, tuple[int, int]]:
    """Return both numbers of each package."""
    bare: Counter[str] = Counter()
    whole: Counter[str] = Counter()
    for folder in folders:
        for file in folder.rglob("*.py"):
            package = "/".join(file.relative_to(ROOT).parent.parts[:DEPTH])
            one, two = lines_of(file.read_text(encoding="utf-8"))
            bare[package] += one
            whole[package] += two
    return {package: (bare[package], whole[package]) for package in sorted(bare)}


def main() -> int:
    """Print one row for each package and the sum."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", nargs="*", metavar="FOLDER", help="folders of this tree, for example tests")
    folders = [(ROOT / name).resolve() for name in parser.parse_args().folders or PRODUCT]
    for folder in folders:
        if not folder.is_dir() or not folder.is_relative_to(ROOT):
            print(f"no folder of this tree: {folder.name}", file=sys.stderr)
            return 2
    counted = count(folders)
    wide = max(map(len, counted), default=0)
    print(f"{'package':{wide}}  {'code':>7}  {'with docstrings':>15}")
    for package, (bare, whole) in counted.items():
        print(f"{package:{wide}}  {bare:7}  {whole:15}")
    sums = [sum(pair[k] for pair in counted.values()) for k in (0, 1)]
    print(f"{'all':{wide}}  {sums[0]:7}  {sums[1]:15}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
