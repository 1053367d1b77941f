"""Small DXF drawings for tests, as bytes."""

from __future__ import annotations

import io
from collections.abc import Callable

import ezdxf
from ezdxf.document import Drawing as Document
from ezdxf.layouts.layout import Modelspace

from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.drawing.settings import ReadSettings


def new(units: int = 4, version: str = "R2010") -> tuple[Document, Modelspace]:
    document = ezdxf.new(version, units=units)
    return document, document.modelspace()


def as_text(document: Document) -> str:
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


def as_bytes(document: Document, *, binary: bool = False) -> bytes:
    if binary:
        raw = io.BytesIO()
        document.write(raw, fmt="bin")
        return raw.getvalue()
    return as_text(document).encode(document.output_encoding)


def drawn(draw: Callable[[Document, Modelspace], object], **settings: object) -> Drawing:
    """Return the drawing that `draw` makes in mm, read back."""
    document, space = new()
    draw(document, space)
    return read_dxf(as_bytes(document), "made.dxf", ReadSettings(**settings))  # type: ignore[arg-type]


def tags(*pairs: tuple[int, object]) -> str:
    return "".join(f"{code}\n{value}\n" for code, value in pairs)


def bare(*entities: str) -> bytes:
    """Return a drawing of raw entities without header, as old programs write it."""
    return ("0\nSECTION\n2\nENTITIES\n" + "".join(entities) + "0\nENDSEC\n0\nEOF\n").encode()


def rules(drawing: Drawing) -> list[str]:
    return [f.rule for f in drawing.findings if f.rule != "left-out"]
