"""The text of an ASCII drawing: encoding, end, and numbers that are none."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from ezdxf.tools.codepage import toencoding

from kerfproof.errors import Finding, KerfproofError, Severity

_VERSION = re.compile(rb"\$ACADVER\s+1\s+(AC\d{4})", re.IGNORECASE)
_CODE_PAGE = re.compile(rb"\$DWGCODEPAGE\s+3\s+(\S+)", re.IGNORECASE)
_CURVE = re.compile(
    r"(?<=\n)[ \t]*0[ \t]*\n[ \t]*(LINE|ARC|CIRCLE|ELLIPSE|SPLINE|LWPOLYLINE|POLYLINE|INSERT|POINT)[ \t]*(?=\n)"
)
_COMMA_LINE = re.compile(r"^[ \t]*[-+]?\d*,\d+(?:[eE][-+]?\d+)?[ \t]*$", re.MULTILINE)
_COMMA = re.compile(r"[-+]?\d*,\d+(?:[eE][-+]?\d+)?")
_GROUP = re.compile(r"-?[0-9]{1,6}")
_GROUPED = re.compile(r"[-+]?[1-9]\d{0,2},\d{3}")


def encoding_of(data: bytes) -> str:
    """Return the encoding that the header of an ASCII drawing means, as Python names it."""
    version = _VERSION.search(data[:20_000])
    if version and version[1].upper() >= b"AC1021":
        return "utf-8"
    page = _CODE_PAGE.search(data[:20_000])
    return toencoding(page[1].decode("ascii", "replace")) if page else "cp1252"


def single_bytes(data: bytes) -> bytes:
    """Return the bytes of a text without byte order mark, those of two-byte text as one-byte text."""
    if data[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        return data.removeprefix(b"\xef\xbb\xbf")
    text = data.decode("utf-16", "replace")
    return text.encode(encoding_of(text.encode("ascii", "replace")), "replace")


def decoded(data: bytes) -> tuple[str, str]:
    """Return the text of an ASCII drawing with plain line ends, and its encoding; what can't be read becomes signs."""
    encoding = encoding_of(data)
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        text = data.decode("cp1252" if encoding == "utf-8" else encoding, "replace")
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", ""), encoding


def tags(lines: list[str]) -> Iterator[tuple[int, str, str]]:
    """Yield line number (from 1, of the value), group code and value up to the end of file mark."""
    for k in range(0, len(lines) - 1, 2):
        code, value = lines[k].strip(), lines[k + 1]
        yield k + 2, code, value
        if code == "0" and value.strip() == "EOF":
            return


def is_number_code(code: int) -> bool:
    """Return whether a group code holds a floating point number, by the DXF reference's table of group codes."""
    return 10 <= code <= 59 or 110 <= code <= 149 or 210 <= code <= 239 or 460 <= code <= 469 or 1010 <= code <= 1059


def is_integer_code(code: int) -> bool:
    """Return whether a group code holds a whole number or a flag."""
    ranges = ((60, 79), (90, 99), (160, 179), (270, 299), (370, 389), (400, 409), (420, 429), (440, 459), (1060, 1071))
    return any(low <= code <= high for low, high in ranges)


def check_end(text: str, name: str) -> tuple[Finding, ...]:
    """Return a finding when the end mark is missing though the drawing looks whole.

    Raises
    ------
    KerfproofError
        If the file breaks off in the middle.
    """
    end = text.rstrip(" \t\n\x1a")
    last = end.rsplit("\n", 1)[-1].strip()
    if last == "EOF":
        return ()
    line = end.count("\n") + 1
    if last != "ENDSEC":
        kind = _last_entity(end)
        raise KerfproofError(
            f"the file breaks off at line {line}" + (f", in a {kind}" if kind else ""),
            where=name,
            advice="copy or export it again",
        )
    message = f"The end mark of the file is missing after line {line}; the drawing before it looks whole."
    return (Finding("file-end-missing", Severity.WARNING, message, "compare the picture with the drawing"),)


def _last_entity(text: str) -> str:
    found = re.findall(r"(?:^|\n)[ \t]*0[ \t]*\n[ \t]*(\w+)", text[-20_000:])
    return found[-1] if found else ""


def with_points(text: str, name: str) -> tuple[str, tuple[Finding, ...]]:
    """Return the text with decimal commas made points, and a finding that says so.

    Raises
    ------
    KerfproofError
        If it is not certain that the commas are decimal.
    """
    if "," not in text or not _COMMA_LINE.search(text):
        return text, ()
    lines = text.split("\n")
    at, grouped, pointed = [], 0, 0
    for line, code, value in tags(lines):
        if not (_GROUP.fullmatch(code) and is_number_code(int(code))):
            continue
        number = value.strip()
        if _COMMA.fullmatch(number):
            at.append(line)
            grouped += _GROUPED.fullmatch(number) is not None
        elif "." in number:
            pointed = pointed or line
    if not at:
        return text, ()
    example = lines[at[0] - 1].strip()
    if pointed or grouped == len(at):
        why = f"line {pointed} has a decimal point" if pointed else "they may group thousands"
        raise KerfproofError(
            f"line {at[0]} holds '{example}': numbers with commas can't be trusted here, {why}",
            where=name,
            advice="export the drawing again with decimal points",
        )
    for line in at:
        lines[line - 1] = lines[line - 1].replace(",", ".")
    message = f"{len(at)} numbers are written with a decimal comma ('{example}' in line {at[0]}); they were read so."
    return "\n".join(lines), (Finding("decimal-comma", Severity.WARNING, message, "compare the size with the drawing"),)


def check_numbers(text: str, name: str) -> None:
    """Refuse a damaged text in which a number would have to be guessed.

    Raises
    ------
    KerfproofError
        With the first line where a number belongs and none stands.
    """
    for line, code, value in tags(text.split("\n")):
        if not _GROUP.fullmatch(code):
            advice = "the file is damaged before this line; export it again"
            raise KerfproofError(
                f"line {line - 1} holds '{code[:40]}' where a group code belongs", where=name, advice=advice
            )
        group = int(code)
        wanted = "a number" if is_number_code(group) else "a whole number" if is_integer_code(group) else ""
        if wanted and not _is_number(value, whole=wanted != "a number"):
            advice = "a guessed number would cut a wrong part; export the drawing again"
            raise KerfproofError(
                f"line {line} holds '{value.strip()[:40]}' where {wanted} belongs", where=name, advice=advice
            )


def _is_number(value: str, *, whole: bool) -> bool:
    try:
        number = float(value)
    except ValueError:
        return False
    return number == number and abs(number) != float("inf") and (not whole or number == int(number))


def curves_in(text: str) -> Counter[str]:
    """Return how many curves of each kind the text holds, in blocks and outside, by their names alone."""
    return Counter(_CURVE.findall(text))


def line_of_handle(text: str, handle: str) -> tuple[str, int] | None:
    """Return kind and line number of the entity with a handle, None if there is none."""
    kind, start = "", 0
    for line, code, value in tags(text.split("\n")):
        if code == "0":
            kind, start = value.strip(), line
        elif code in ("5", "105") and value.strip() == handle:
            return kind, start
    return None
