"""What a file is that is no program: a picture, a document, another text."""

from __future__ import annotations

from kerfproof.drawing.dxf.not_a_drawing import PROGRAM, TEXT, program_share, seems_to_be

LEAST_SHARE = 0.2
"""A text with a smaller share of lines that look like a program's is none; a bad program has more."""


def kind_of_other(data: bytes) -> str:
    """Return in words what the bytes of a file are if they are no program; empty if they may be one, however bad."""
    kind = seems_to_be(data)
    if kind not in ("", PROGRAM, TEXT):
        return kind
    if b"\0" in data:
        return "a file of another kind"
    return "another text" if program_share(data) < LEAST_SHARE else ""
