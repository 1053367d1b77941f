"""The text of an ASCII drawing: encoding, end, and numbers that are none."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from ezdxf.tools.codepage import toencoding

from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.geom.path import Ints

_VERSION = re.compile(rb"\$ACADVER\s+1\s+(AC\d{4})", re.IGNORECASE)
_CODE_PAGE = re.compile(rb"\$DWGCODEPAGE\s+3\s+(\S+)", re.IGNORECASE)
_STRUCTURE = re.compile(
    rb"[\r\n][ \t]*0[ \t]*(?:\r\n|\r|\n)[ \t]*(?:ENDSEC|SECTION|LINE|ARC|CIRCLE|LWPOLYLINE|VERTEX)\s"
)
_END = re.compile(rb"(?:^|[\r\n])[ \t]*0[ \t]*(?:\r\n|\r|\n)[ \t]*EOF(?=[\s\x00\x1a]|$)")
CURVES = frozenset(
    {"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE", "VERTEX", "INSERT", "POINT"}
)
MARKER = 100
"""Group code of subclass markers."""
_MARKERS = {
    "Line": ("LINE",), "Circle": ("CIRCLE", "ARC"), "Ellipse": ("ELLIPSE",), "Spline": ("SPLINE",),
    "Polyline": ("LWPOLYLINE",), "BlockReference": ("INSERT",),
}  # fmt: skip
"""Subclass markers of the DXF reference and the entities that hold them."""
_COMMA_LINE = re.compile(r"^[ \t]*[-+]?\d*,\d+(?:[eE][-+]?\d+)?[ \t]*$", re.MULTILINE)
_COMMA = re.compile(r"[-+]?\d*,\d+(?:[eE][-+]?\d+)?")
_TRAILING = re.compile(r"[ \t]+(?=\n)")
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


def without_rubbish(data: bytes, name: str) -> tuple[bytes, tuple[Finding, ...]]:
    """Return the bytes up to the end mark, and a note if anything but blanks stood behind it.

    Raises
    ------
    KerfproofError
        If more of the drawing stands behind it.
    """
    end = _END.search(data)
    if end is None:
        return data, ()
    if not data[end.end() :].strip(b" \t\r\n\x00\x1a"):
        return data[: end.end()] + b"\n", ()
    if _STRUCTURE.search(data, end.end()):
        line = len(re.findall(rb"\r\n|\r|\n", data[: end.end()])) + 1
        what = f"its end mark stands in the middle, at line {line}: there is more of the drawing behind it"
        raise KerfproofError(what, where=name, advice="export the drawing again")
    message = f"{len(data) - end.end()} bytes behind the end mark of the file were not read."
    return data[: end.end()] + b"\n", (Finding("file-goes-on", Severity.NOTE, message),)


def decoded(data: bytes) -> tuple[str, str]:
    """Return the text of an ASCII drawing with plain line ends, and its encoding; what can't be read becomes signs."""
    encoding = encoding_of(data)
    try:
        # A header that names a one-byte code page over a text that is UTF-8 is wrong: hardly another text reads so.
        single = encoding.startswith("cp125") and not data.isascii()
        text = (_as_utf8(data) if single else None) or data.decode(encoding)
    except UnicodeDecodeError:
        text = data.decode("cp1252" if encoding == "utf-8" else encoding, "replace")
    ends = "\r\r\n" if "\r\r\n" in text else "\r\n"  # sent as text twice, each line end got one more mark
    text = text.replace(ends, "\n").replace("\r", "\n").replace("\x00", "")
    return _TRAILING.sub("", text) if " \n" in text else text, encoding


def _as_utf8(data: bytes) -> str | None:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return None


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
        kind, start = _last_tag(end)
        inside = f", inside the {kind} of line {start}" if kind else ""
        what = f"the file breaks off at line {line}{inside}: the rest is missing"
        raise KerfproofError(what, where=name, advice="copy or export it again")
    message = f"The end mark of the file is missing after line {line}; the drawing before it looks whole."
    return (Finding("file-end-missing", Severity.WARNING, message, "compare the picture with the drawing"),)


def _last_tag(text: str) -> tuple[str, int]:
    """Return the name that the last group code 0 gives, and its line; empty if there is none."""
    last = ("", 0)
    for line, code, value in tags(text.split("\n")):
        if code == "0":
            last = (value.strip(), line)
    return last


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


def check_points(text: str, name: str) -> None:
    """Refuse a damaged text with an x that has no y: mending would drop the point in silence.

    Raises
    ------
    KerfproofError
        With the first entity where that is so.
    """
    kind, start = "", 0
    count: Counter[int] = Counter()
    for line, code, value in tags([*text.split("\n"), "0", "END"]):
        group = int(code) if _GROUP.fullmatch(code) else -1
        if 10 <= group <= 28:
            count[group] += 1
        if group != 0:
            continue
        odd = [n for n in range(10, 19) if count[n] != count[n + 10]]
        if odd and kind in CURVES:
            what = f"the {kind} at line {start} has {count[odd[0]]} x and {count[odd[0] + 10]} y coordinates"
            advice = "the file is damaged there; export the drawing again"
            raise KerfproofError(what, where=name, advice=advice)
        kind, start = value.strip(), line
        count.clear()


@dataclass(frozen=True, slots=True, eq=False)
class TagColumns:
    """A text as group codes (n,), -1 where none stands, and values; value k is line 2 k + 2 of the text."""

    codes: Ints
    values: list[str]

    @staticmethod
    def of(text: str) -> TagColumns:
        """Return a text taken apart; a line break at its end counts for nothing."""
        lines = text.split("\n")
        if not lines[-1]:
            del lines[-1]
        values = lines[1::2]
        codes = lines[0::2][: len(values)]
        try:
            numbers = list(map(int, codes))
        except ValueError:
            numbers = [int(code) if _GROUP.fullmatch(code.strip()) else -1 for code in codes]
        return TagColumns(np.array(numbers, dtype=np.int64), values)

    def named(self) -> tuple[Ints, list[str]]:
        """Return which tags name an entity, a section or the like, and the names."""
        at = np.flatnonzero(self.codes == 0)
        return at, [self.values[k].strip() for k in at.tolist()]


def polyline_findings(tags: TagColumns) -> tuple[Finding, ...]:
    """Return an error for each LWPOLYLINE that has not as many vertices as it says (90), or an x without y."""
    at, names = tags.named()
    which = np.flatnonzero([name == "LWPOLYLINE" for name in names])
    first, last = at[which], np.append(at, len(tags.codes))[which + 1]
    within = [np.append(0, np.cumsum(tags.codes == code)) for code in (10, 20, 90)]
    x, y, counts = (total[last] - total[first] for total in within)
    say_so = np.append(np.flatnonzero(tags.codes == 90), -1)[within[2][first]]
    found = []
    for k in np.flatnonzero(counts > 0).tolist():
        said = tags.values[say_so[k]].strip()
        if x[k] == y[k] and said == str(x[k]):
            continue
        inside = range(int(first[k]), int(last[k]))
        handle = next((tags.values[n].strip() for n in inside if tags.codes[n] == 5), "")
        line = 2 * int(first[k]) + 2
        message = (
            f"The LWPOLYLINE at line {line} says it has {said} vertices and holds {x[k]} x and {y[k]} y coordinates."
        )
        found.append(Finding("entity-broken", Severity.ERROR, message, "export the drawing again", handle=handle))
    return tuple(found)


def nameless(tags: TagColumns, named: Counter[str]) -> Counter[str]:
    """Return kinds of which the text holds more contents than names (`curves_in`): the name of an entity got lost."""
    markers = np.flatnonzero(tags.codes == MARKER).tolist()
    inside = Counter(tags.values[k].strip().removeprefix("AcDb") for k in markers)
    found: Counter[str] = Counter()
    for marker, kinds in _MARKERS.items():
        surplus = inside[marker] - sum(named[kind] for kind in kinds)
        if surplus > 0 and not (marker == "Spline" and "HELIX" in tags.named()[1]):
            found[kinds[0]] = surplus
    return found


def curves_in(tags: TagColumns) -> Counter[str]:
    """Return how many curves of each kind the text holds, in blocks and outside, by their names alone."""
    return Counter(name for name in tags.named()[1] if name in CURVES and name != "VERTEX")


def line_of_handle(text: str, handle: str) -> tuple[str, int] | None:
    """Return kind and line number of the entity with a handle, None if there is none."""
    kind, start = "", 0
    for line, code, value in tags(text.split("\n")):
        if code == "0":
            kind, start = value.strip(), line
        elif code in ("5", "105") and value.strip() == handle:
            return kind, start
    return None
