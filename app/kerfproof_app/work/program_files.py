"""The files of a program that is there already: its text, and the drawings and the machine that it names."""

from __future__ import annotations

import re
from pathlib import Path

from kerfproof.errors import KerfproofError
from kerfproof.programs.drawing_lookup import DrawingAtHand, FindDrawing
from kerfproof.programs.not_a_program import kind_of_other
from kerfproof.programs.read_header import Claims
from kerfproof_app.shop import store

ADVICE = "name the file that the control would run"
_DXF = re.compile(r"\s*(999\n.*\n\s*)*0\s*\n\s*SECTION\b")


def read_program(path: Path) -> str:
    """Return the text of a program's file.

    Raises
    ------
    KerfproofError
        If it can't be read, is empty or no text.
    """
    data = store.read_bytes(path)
    text = store.text_of(data).replace("\r\n", "\n")
    if not text.strip():
        raise KerfproofError("the program is empty", where=str(path), advice=ADVICE)
    if path.suffix.lower() == ".dxf" or _DXF.match(text):
        advice = "kerfproof inspect tells what it holds, kerfproof cut makes a program of it"
        raise KerfproofError("this is a drawing (DXF), not a program", where=str(path), advice=advice)
    other = kind_of_other(data)
    if other:
        raise KerfproofError(f"this is {other}, not a program", where=str(path), advice=ADVICE)
    return text


def known_machine(claims: Claims) -> str | None:
    """Return the machine that a program names, if there is one of that name."""
    names = {file.name for file in store.shop_files("machines")}
    return claims.machine if claims.machine in names else None


def drawings_in(folder: Path | None) -> FindDrawing:
    """Return what looks for drawings in a folder, by their names."""

    def find(name: str) -> DrawingAtHand | None:
        beside = None if folder is None else folder / name
        if beside is None or not beside.is_file():
            return None
        return DrawingAtHand(name=beside.name, data=store.read_bytes(beside))

    return find
