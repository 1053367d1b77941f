"""What bytes that are no drawing seem to be."""

from __future__ import annotations

import re

_STARTS = (
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"BM", "a BMP picture"),
    (b"II*\x00", "a TIFF picture"),
    (b"MM\x00*", "a TIFF picture"),
    (b"%PDF", "a PDF document"),
    (b"%!PS", "a PostScript file"),
    (b"PK\x03\x04", "a ZIP archive"),
    (b"\x1f\x8b", "a GZIP archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"\xd0\xcf\x11\xe0", "an office or CAD container file"),
    (b"ISO-10303-21", "a STEP model"),
    (b"solid ", "an STL model"),
    (b"ftyp", "a video"),
    (b"\x7fELF", "an executable file"),
    (b"MZ", "an executable file"),
)
_DWG = re.compile(rb"AC10\d\d|AC1\.\d|AC2\.\d|MC0\.0")
_STRUCTURE = re.compile(rb"(?:^|[\r\n])[ \t]*0[ \t]*(?:\r\n|\r|\n)[ \t]*SECTION", re.IGNORECASE)
_TAG_START = re.compile(rb"(?:\s*999[ \t]*[\r\n]|\s*0[ \t]*[\r\n])")


_PROGRAM_LINE = re.compile(rb"[ \t]*(?:[(%;/]|[A-Z][ \t]*[-+]?[\d.#\[]|#[\d[])", re.IGNORECASE)
MOSTLY = 0.8
PROGRAM = "a cut program"
TEXT = "a text file"


def program_share(data: bytes) -> float:
    """Return the share of lines that look like those of a program (RS-274/NGC), of lines that are not blank."""
    lines = [line for line in re.split(rb"[\r\n]+", data[:1_000_000].removeprefix(b"\xef\xbb\xbf")) if line.strip()]
    return sum(bool(_PROGRAM_LINE.match(line)) for line in lines) / max(1, len(lines))


def seems_to_be(data: bytes) -> str:
    """Return in words what `data` is if it is no DXF, empty when it may be one."""
    head = data[:1_000_000]
    if not data.strip(b"\x00 \t\r\n\x1a"):
        return "an empty file" if not data else "a file of blanks"
    for start, name in _STARTS:
        if data.startswith(start):
            return name
    if _DWG.match(data):
        return "a DWG drawing"
    lead = head.lstrip(b"\xef\xbb\xbf \t\r\n")[:2000].lower()
    if lead.startswith(b"<"):
        return "an SVG picture" if b"<svg" in lead else "an XML or HTML file"
    if lead.startswith((b"{", b"[")):
        return "a JSON or settings file"
    if _STRUCTURE.search(head) or _TAG_START.match(head):
        return ""
    text = sum(byte >= 32 or byte in b"\t\r\n" for byte in lead)
    if not lead or text <= 0.97 * len(lead):
        return "a file of another kind"
    return PROGRAM if program_share(data) >= MOSTLY else TEXT
