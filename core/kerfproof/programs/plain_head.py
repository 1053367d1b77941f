"""The plain comments at the top of a program, written anew from its heading and compared with what stands there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.words import comment
from kerfproof.gcode.writer.head import PURPOSE, assumptions, zero
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.job.write_header import digest
from kerfproof.programs.read_header import Claims
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_VALUE = re.compile(r"\d (?:mm|in|A)\b")
"""What makes a comment one that says a value; a name or a note seldom does."""
_ROUNDED = 0.002
"""The heading rounds its numbers, as a share or in mm."""
_ADVICE = "write the program again; people read this line"
Told = Iterator[tuple[str, str, int | None]]


def plain_contradictions(claims: Claims, comments: Sequence[tuple[int, str]], machine: Machine, row: Process) -> Told:
    """Yield what a plain comment above the heading says otherwise than the heading, the machine and its chart row.

    Each comes as what is wrong, advice and line. A comment is known by its first word, as the writer writes it. A
    machine that is not the program's own is told elsewhere: then only what the heading itself says is compared, in
    either unit.
    """
    if claims.machine is None:
        return
    meant = _meant(claims, machine, row)
    labels = {_label(text): text for text in reversed(meant)}
    others = {_text(said) for mode, said in PURPOSE.items() if mode.value != claims.mode}
    for line, text in comments:
        if text.startswith("proof:"):
            return
        if text in others:
            yield f"a comment says {text.partition(':')[0]}, the heading says mode {claims.mode}", _ADVICE, line
        elif _VALUE.search(text) and _label(text) in labels and not any(_same(text, said) for said in meant):
            what = f'a comment says "{text}", by heading, machine and chart it is "{labels[_label(text)]}"'
            yield what, _ADVICE, line


def _meant(claims: Claims, machine: Machine, row: Process) -> list[str]:
    """Return what the comments at the top should say."""
    process = replace(
        row,
        material=claims.material or row.material,
        thickness=claims.thickness or row.thickness,
        amps=claims.amps or row.amps,
        kerf=claims.kerf or row.kerf,
        feed_mm_min=claims.feed_mm_min or row.feed_mm_min,
    )
    own = claims.machine_digest == digest(repr(machine).encode())
    texts: list[str] = []
    for inches in (machine.inches,) if own else (False, True):
        shown = replace(machine, inches=inches)
        given = WriteContext.made_for(shown, process, control_of(shown))
        texts += assumptions(given)
        texts += zero(claims.plate, given) if claims.plate is not None else []
    known = {"material", "kerf", "plate", "X", *(["feed"] if claims.feed_mm_min is not None else [])}
    known |= {"float", "at", "path"} if own else set()
    return [_text(text) for text in texts if _label(text) in known]


def _text(text: str) -> str:
    """Return a comment as it stands in a program, without its parentheses."""
    return comment(text)[1:-1]


def _label(text: str) -> str:
    return text.partition(" ")[0]


def _same(text: str, meant: str) -> bool:
    """Return whether two comments say the same words with the same numbers, but for what the heading rounds."""
    if _NUMBER.split(text) != _NUMBER.split(meant):
        return False
    pairs = zip(_NUMBER.findall(text), _NUMBER.findall(meant), strict=True)
    return all(abs(float(a) - float(b)) <= _ROUNDED * max(1.0, abs(float(b))) for a, b in pairs)
