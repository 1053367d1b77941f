"""How commands speak: results to standard output, talk and progress to standard error."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kerfproof.errors import Finding, Watch


TERMINAL = "-"
"""The output that is no file."""
ALIKE = 3
"""So many findings of one kind are told in full."""


def result(text: str = "") -> None:
    """Print one line of the result."""
    print(text)


def say(text: str) -> None:
    """Print one line of talk."""
    print(text, file=sys.stderr)


def about(output: str) -> tuple[Callable[[str], None], str]:
    """Return how to speak of a program that goes to `output`, and what to call it; - is the terminal."""
    return (say, "the program") if output == TERMINAL else (result, Path(output).name)


def result_json(data: Any) -> None:
    """Print data as JSON."""
    print(json.dumps(data, indent=2, ensure_ascii=True, allow_nan=False))


def findings(
    found: Iterable[Finding], speak: Callable[[str], None] = result, most: int = 30, *, inches: bool = False
) -> None:
    """Print findings worst first, one line each, the same sentence only once, of many of a kind the first few."""
    order = {"error": 0, "warning": 1, "note": 2}
    kinds: dict[tuple[str, str], list[str]] = {}
    for f in sorted(found, key=lambda f: order[str(f.severity)]):
        of_kind = kinds.setdefault((str(f.severity), f.rule), [])
        line = f"{f.severity}: {f.sentence(inches)} [{f.rule}]"
        if line not in of_kind:
            of_kind.append(line)
    lines = []
    for (severity, rule), of_kind in kinds.items():
        shown = of_kind if len(of_kind) <= ALIKE + 1 else of_kind[:ALIKE]
        lines += shown
        if len(shown) < len(of_kind):
            lines.append(f"{severity}: {len(of_kind) - len(shown)} more like these [{rule}]")
    for line in lines[:most]:
        speak(line)
    if len(lines) > most:
        speak(f"and {len(lines) - most} more; --report FILE.json holds all")


def table(rows: list[tuple[str, ...]]) -> None:
    """Print rows in columns as wide as their widest text."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))] if rows else []
    for row in rows:
        result("  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip())


def watcher() -> Watch:
    """Return what shows progress, on a terminal alone; call it with an empty stage to wipe the line."""
    shown = ""

    def watch(stage: str, share: float) -> None:
        nonlocal shown
        text = f"{stage} {share:.0%}" if stage else ""
        if text != shown:
            sys.stderr.write(f"\r{text}{' ' * max(0, len(shown) - len(text))}\r")
            sys.stderr.flush()
            shown = text

    def silent(stage: str, share: float) -> None:
        return

    return watch if sys.stderr.isatty() else silent
