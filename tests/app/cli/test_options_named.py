"""Every option that a text names is one of the command line; and the core does not spell them."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer.main

import kerfproof
import kerfproof_app
import kerfproof_resources
from kerfproof_app.__main__ import build

ROOT = Path(__file__).parents[3]
CORE, APP = Path(kerfproof.__file__).parent, Path(kerfproof_app.__file__).parent
RESOURCES = Path(kerfproof_resources.__file__).parent
OPTION = re.compile(r"(?<![\w-])--([a-z][a-z0-9-]*)")
OTHERS = {"help", "version", "quick", "only"}
"""Of every command and of the whole; and of the scripts of the tree, which README names."""
PAGES = CORE / "report" / "pages"
SPELLS = CORE / "sentence.py"


def options_of(command: Any) -> Iterator[str]:
    for parameter in command.params:
        yield from (word.removeprefix("--") for word in parameter.opts if word.startswith("--"))
    for inner in getattr(command, "commands", {}).values():
        yield from options_of(inner)


EXIST = {*options_of(typer.main.get_command(build())), *OTHERS}


def strings(path: Path) -> Iterator[str]:
    """Yield the string constants of a module that are no docstring of a function or class."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    homes = (ast.FunctionDef, ast.ClassDef, ast.Module)
    bodies = [node.body for node in ast.walk(tree) if isinstance(node, homes)]
    docs = {id(line.value) for body in bodies for line in body if isinstance(line, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


TEXTS = [ROOT / "README.md", ROOT / "CHANGELOG.md", *sorted((RESOURCES / "guide").glob("*.md"))]


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: str(path.name))
def test_every_option_in_a_text_exists(path: Path) -> None:
    assert {found[1] for found in OPTION.finditer(path.read_text(encoding="utf-8"))} - EXIST == set()


@pytest.mark.parametrize("folder", [CORE, APP], ids=lambda path: str(path.name))
def test_every_option_in_a_sentence_of_the_program_exists(folder: Path) -> None:
    named = {(path.name, found[1]) for path in folder.rglob("*.py") for text in strings(path)
             for found in OPTION.finditer(text)}  # fmt: skip
    assert {(file, option) for file, option in named if option not in EXIST} == set()


def test_every_option_that_a_finding_names_as_a_value_exists() -> None:
    named = {
        node.args[0].value
        for path in CORE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "option"
        and node.args and isinstance(node.args[0], ast.Constant)
    }  # fmt: skip
    assert len(named) > 15
    assert named - EXIST == set()


def test_the_core_spells_no_option_but_in_the_pages_of_findings() -> None:
    spelled = {
        (path.relative_to(CORE).as_posix(), found[0])
        for path in CORE.rglob("*.py")
        if path != SPELLS and PAGES not in path.parents
        for text in strings(path)
        for found in OPTION.finditer(text)
    }
    assert spelled == set()
