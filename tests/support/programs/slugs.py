"""Every slug that a finding can bear, read from the source of the program."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
SOURCES = (ROOT / "core" / "kerfproof", ROOT / "app" / "kerfproof_app")
MAKERS = ("Finding", "Rule", "Check", "as_findings")
SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")


def slugs() -> dict[str, list[str]]:
    """Return where each slug stands, by slug."""
    out: dict[str, list[str]] = {}
    for path in sorted(path for source in SOURCES for path in source.rglob("*.py")):
        for slug in _of(ast.parse(path.read_text(encoding="utf-8"))):
            out.setdefault(slug, []).append(str(path.relative_to(ROOT)))
    return out


def _of(tree: ast.Module) -> Iterator[str]:
    """Yield the slugs of one module: of findings, rules and checks that it makes.

    Where a slug is held in a variable, any text of the module that reads like one may be meant.
    """
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and _name(node.func) in MAKERS:
            first = node.args[0] if node.args else next((k.value for k in node.keywords if k.arg == "rule"), None)
            if isinstance(first, ast.Constant):
                yield str(first.value)
            elif isinstance(first, ast.JoinedStr):
                yield from (slug for text in _texts(tree) if (slug := _filled(first, text)) is not None)
            elif first is not None:
                yield from (text for text in _texts(tree) if SLUG.fullmatch(text))


def _texts(tree: ast.Module) -> set[str]:
    """Return all texts of a module but the formats of numbers and the names of options."""
    options = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and _name(node.func) == "option"
        for part in ast.walk(node)
    }
    formats = options | {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.FormattedValue) and node.format_spec is not None
        for part in ast.walk(node.format_spec)
    }
    nodes = [node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in formats]
    return {node.value for node in nodes if isinstance(node.value, str)}


def _filled(joined: ast.JoinedStr, text: str) -> str | None:
    """Return a text with holes filled by a word of the module, None if that is no slug."""
    pieces = [str(part.value) if isinstance(part, ast.Constant) else text for part in joined.values]
    slug = "".join(pieces)
    return slug if SLUG.fullmatch(slug) else None


def _name(node: ast.AST) -> str:
    return node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""
