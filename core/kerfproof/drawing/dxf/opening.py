"""From bytes to a document of the DXF library, or one clear sentence why not."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

from ezdxf import recover
from ezdxf.audit import AuditError, Auditor
from ezdxf.document import Drawing as Document
from ezdxf.document import logger as library_log
from ezdxf.lldxf.tagger import ascii_tags_loader, binary_tags_loader
from ezdxf.lldxf.types import DXFTag

from kerfproof.drawing.drawing import Skipped
from kerfproof.drawing.dxf import text as dxf_text
from kerfproof.drawing.dxf.not_a_drawing import seems_to_be
from kerfproof.errors import Cancelled, Finding, KerfproofError, Severity, Watch, no_watch

# What the library has to say is said in findings, in words that help; its own log would talk past them.
library_log.disabled = True

STAGE = "reading"
TAGS_AT_ONCE = 20_000
"""So many tags are read between two questions whether to go on."""

COMMENT = 999
"""Group code of comments."""

BINARY = b"AutoCAD Binary DXF\r\n\x1a\x00"

_BINARY_CURVE = rb"\x00(LINE|ARC|CIRCLE|ELLIPSE|SPLINE|LWPOLYLINE|POLYLINE|INSERT|POINT)(?=\x00)"

_BROKEN = "the structure around it is damaged"
_AGAIN = "export the drawing again"
_GUESSED = {AuditError.INVALID_FLOATING_POINT_VALUE, AuditError.INVALID_INTEGER_VALUE}
_LOST = {
    AuditError.REMOVED_INVALID_GRAPHIC_ENTITY,
    AuditError.REMOVED_ENTITY_WITH_INVALID_OWNER_HANDLE,
    AuditError.UNDEFINED_BLOCK,
    AuditError.INVALID_BLOCK_REFERENCE_CYCLE,
    AuditError.ORPHANED_LAYOUT_ENTITY,
    AuditError.ORPHANED_PAPER_SPACE_BLOCK_RECORD_ENTITY,
    AuditError.UNDEFINED_BLOCK_NAME,
    AuditError.INVALID_EXTRUSION_VECTOR,
    AuditError.INVALID_MAJOR_AXIS,
    AuditError.INVALID_VERTEX_COUNT,
    AuditError.INVALID_SPLINE_DEFINITION,
    AuditError.INVALID_SPLINE_CONTROL_POINT_COUNT,
    AuditError.INVALID_SPLINE_FIT_POINT_COUNT,
    AuditError.INVALID_SPLINE_KNOT_VALUE_COUNT,
    AuditError.INVALID_SPLINE_WEIGHT_COUNT,
    AuditError.INVALID_ELLIPSE_RATIO,
    AuditError.TAG_ATTRIBUTE_MISSING,
}


@dataclass(frozen=True, slots=True, eq=False)
class Opened:
    """A document, what was noticed on the way, and which header variables the file really holds."""

    document: Document
    findings: tuple[Finding, ...]
    skipped: tuple[Skipped, ...]
    has_units: bool
    has_measurement: bool


def open_document(data: bytes, name: str, watch: Watch = no_watch) -> Opened:
    """Return the document in `data`, ASCII or binary, mended where that needs no guess.

    What the library does between the last tag and the document can't be interrupted.

    Raises
    ------
    KerfproofError
        If it is no DXF, breaks off, or holds numbers or entities that can't be read for certain.
    """
    if data.startswith(BINARY[:18]):
        return _binary(data, name)
    data = dxf_text.single_bytes(data)
    other = seems_to_be(data)
    if other:
        raise KerfproofError(f"this is {other}, not a DXF drawing", where=name, advice="export the drawing as DXF")
    data, rubbish = dxf_text.without_rubbish(data, name)
    text, encoding = dxf_text.decoded(data)
    text, commas = dxf_text.with_points(text, name)
    findings = (*rubbish, *dxf_text.check_end(text, name), *commas)
    watch(STAGE, 0.0)
    tags = dxf_text.TagColumns.of(text)
    document, mended = _ascii(text, tags, encoding, name, watch)
    watch(STAGE, 0.0)
    named = dxf_text.curves_in(tags)
    lost, skipped = _lost(document, named)
    findings += mended + lost + _nameless(tags, named) + dxf_text.polyline_findings(tags)
    return Opened(document, findings, skipped, "$INSUNITS" in text, "$MEASUREMENT" in text)


def _binary(data: bytes, name: str) -> Opened:
    end = data.rfind(b"\x00EOF\x00")
    if end < 0:
        raise KerfproofError("the binary DXF file breaks off", where=name, advice="copy or export it again")
    data = data[: end + 5]
    try:
        document = Document.load(binary_tags_loader(data, errors="replace"))
        document.modelspace()
    except Exception as error:
        what = f"the binary DXF file is damaged: {_one_line(error)}"
        raise KerfproofError(what, where=name, advice="export it again, as ASCII DXF if possible") from error
    first = b"" if document.loaded_dxfversion == "AC1009" else b"\x00"  # group codes of one byte, later of two
    named = Counter(kind.decode() for kind in re.findall(first + _BINARY_CURVE, data))
    findings, skipped = _lost(document, named)
    return Opened(document, findings, skipped, b"$INSUNITS" in data, b"$MEASUREMENT" in data)


def _ascii(
    text: str, tags: dxf_text.TagColumns, encoding: str, name: str, watch: Watch
) -> tuple[Document, tuple[Finding, ...]]:
    """Return the document, read strictly if that works, otherwise mended."""
    try:
        document = Document.load(_watched(ascii_tags(text, tags), watch))
        document.modelspace()
        return document, ()
    except Cancelled:
        raise
    except Exception as error:  # whatever a damaged file brings about, the second way is tried
        strict = error
    dxf_text.check_numbers(text, name)
    dxf_text.check_points(text, name)
    try:
        document, auditor = recover.read(io.BytesIO(text.encode(encoding, "replace")), errors="replace")
        document.modelspace()
    except Exception as error:
        raise _unreadable(strict if "(#" in str(strict) else error, text, name) from error
    return document, _mended(auditor, name)


def ascii_tags(text: str, columns: dxf_text.TagColumns) -> Iterator[DXFTag]:
    """Return the tags as the library's own loader gives them, all at once where every group code is a number."""
    codes, values = columns.codes.tolist(), columns.values
    if -1 in codes or text.removesuffix("\n").count("\n") + 1 != 2 * len(values):
        return ascii_tags_loader(io.StringIO(text))
    ends = (k for k, value in enumerate(values) if value == "EOF" and codes[k] == 0)
    tags = map(DXFTag, codes, islice(values, next(ends, len(values) - 1) + 1))
    return tags if COMMENT not in codes else (tag for tag in tags if tag.code != COMMENT)


def _watched(tags: Iterable[DXFTag], watch: Watch) -> Iterator[DXFTag]:
    """Yield the tags, and ask at times whether to go on."""
    rest = iter(tags)
    while some := list(islice(rest, TAGS_AT_ONCE)):
        watch(STAGE, 0.0)
        yield from some


def _unreadable(error: Exception, text: str, name: str) -> KerfproofError:
    """Return the sentence for a file that no way opens, with the entity and its line where they are known."""
    message = _one_line(error)
    handle = re.search(r"\(#([^)]+)\)", message)
    place = dxf_text.line_of_handle(text, handle[1]) if handle else None
    if place and handle:
        what = f"the {place[0]} at line {place[1]} (handle {handle[1]}) can't be read: {message}"
    else:
        what = f"the file is damaged beyond reading: {message}"
    return KerfproofError(what, where=name, advice="open it in a drawing program and export it again")


def _one_line(error: Exception) -> str:
    return (" ".join(str(error).split()) or type(error).__name__)[:200]


def _mended(auditor: Auditor, name: str) -> tuple[Finding, ...]:
    """Return what mending changed: losses are errors, the rest one note."""
    entries = [*auditor.errors, *auditor.fixes]
    findings = []
    for entry in entries:
        if entry.code in _GUESSED:
            advice = "a guessed number would cut a wrong part; export the drawing again"
            raise KerfproofError(f"a number can't be read: {entry.message}", where=name, advice=advice)
        if entry.code in _LOST:
            message = f"Mending the damaged file changed the drawing: {' '.join(entry.message.split())}"
            findings.append(Finding("entity-lost", Severity.ERROR, message, "export the drawing again"))
    if entries and not findings:
        first = " ".join(entries[0].message.split())
        where = f"in one place: {first}" if len(entries) == 1 else f"in {len(entries)} places; the first: {first}"
        message = f"The file did not keep to the format and was mended {where}"
        findings.append(Finding("file-mended", Severity.NOTE, message))
    return tuple(findings)


def _nameless(tags: dxf_text.TagColumns, named: Counter[str]) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            "entity-lost", Severity.ERROR, f"{count} {kind} of the file can't be read: the name is missing.", _AGAIN
        )
        for kind, count in sorted(dxf_text.nameless(tags, named).items())
    )


def _lost(document: Document, named: Counter[str]) -> tuple[tuple[Finding, ...], tuple[Skipped, ...]]:
    """Return which of the curves named in the file the document lacks; damaged blocks may be dropped in silence."""
    lost = named - Counter(e.dxftype() for block in document.blocks for e in block)
    skipped = [Skipped(kind, "", "", _BROKEN) for kind, count in sorted(lost.items()) for _ in range(count)]
    findings = [
        Finding("entity-lost", Severity.ERROR, f"{count} {kind} of the file can't be read: {_BROKEN}.", _AGAIN)
        for kind, count in sorted(lost.items())
    ]
    return tuple(findings), tuple(skipped)
