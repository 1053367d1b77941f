"""A rule's page is its docstring: what it finds, why it matters, a bad and a good program, and what to do.

The headers of an example may name Machine, Control, Process, Drawing, Slit, Plate, Mode, and Given: what stands before
it (``head``, ``touched at X Y`` or ``burning at X Y``).
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Mapping
from dataclasses import dataclass

from kerfproof.errors import Severity
from kerfproof.proof.shared_examples import PROGRAMS, THEN

_HEADER = re.compile(r"^([A-Z][a-z]+): (.*)$")
_EXAMPLE = re.compile(r"^(Bad|Good)::\n\n((?: {4}.*\n)+)", re.MULTILINE)
_THEN = re.compile(r"^Then: (\w+) at (\S+) (\S+)$")


@dataclass(frozen=True, slots=True)
class Check:
    """One kind of finding that the comparison or a simulated table makes, with its page."""

    name: str
    severity: Severity
    text: str


def whole_page(text: str) -> str:
    """Return the page in a docstring with its examples written out.

    ``Program: NAME`` in an example stands for a shared program, or for the ``bad`` or ``good`` one of the same page;
    its headers hold unless the example states them anew. Lines ``OLD -> NEW`` under it change lines of it, ``OLD ->``
    takes lines out, other lines follow it. ``Then: burning at X Y`` stands for the way to the next cut.

    Raises
    ------
    ValueError
        If a line that is to be changed does not occur.
    """
    text = inspect.cleandoc(text)
    programs = PROGRAMS | {match[1].lower(): inspect.cleandoc(match[2]) for match in _EXAMPLE.finditer(text)}

    def written_out(match: re.Match[str]) -> str:
        headers, program = _made(inspect.cleandoc(match[2]), programs)
        lines = [f"{key}: {value}" for key, value in headers.items()] + program
        return f"{match[1]}::\n\n" + "".join(f"    {line}\n" for line in lines)

    return _EXAMPLE.sub(written_out, text)


def _made(text: str, programs: Mapping[str, str]) -> tuple[dict[str, str], list[str]]:
    """Return the headers and the lines of an example, with those of the program that it names."""
    headers, given = split_example(text)
    lines = [line for one in given for line in _then(one)]
    name = headers.pop("Program", None)
    if name is None:
        return headers, lines
    based, program = _made(programs[name], {key: value for key, value in programs.items() if key != name})
    changes = {old.strip(): new.strip() for old, arrow, new in (line.partition("->") for line in lines) if arrow}
    if not changes.keys() <= set(program):
        raise ValueError(f"{name} has no line {', '.join(changes.keys() - set(program))}")
    changed = [changes.get(line, line) for line in program]
    return based | headers, [line for line in changed if line] + [line for line in lines if "->" not in line]


def _then(line: str) -> list[str]:
    """Return the lines that a line of an example stands for."""
    match = _THEN.match(line)
    return THEN[match[1]].format(match[2], match[3]).splitlines() if match else [line]


def split_example(text: str) -> tuple[dict[str, str], list[str]]:
    """Return the headers of an example and its lines."""
    lines = text.strip().splitlines()
    headers = {}
    while lines and (match := _HEADER.match(lines[0])):
        headers[match[1]] = match[2].strip()
        lines.pop(0)
    return headers, lines
