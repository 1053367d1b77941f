"""The setup sheet: one page to hang at the machine, as a PDF."""

from __future__ import annotations

import io
from collections.abc import Sequence
from enum import StrEnum

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm as MM
from reportlab.pdfbase.pdfmetrics import registerFont, stringWidth
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from kerfproof.box import Box
from kerfproof.errors import KerfproofError
from kerfproof.outcome import Outcome
from kerfproof.report.data.facts import both
from kerfproof.report.data.job_report import parts_bounds
from kerfproof.report.picture.colors import LIGHT
from kerfproof.report.picture.page import shortened
from kerfproof.report.picture.picture import compose
from kerfproof.report.sheet.facts import Rows, SheetWords, sheet_words
from kerfproof.report.sheet.paint import BOLD, PLAIN, PicturePlace, frame_for, numbered_each, paint
from kerfproof.sentence import said


class Paper(StrEnum):
    """The size of the page."""

    A4 = "a4"
    LETTER = "letter"


SIZES = {Paper.A4: (210.0 * MM, 297.0 * MM), Paper.LETTER: (215.9 * MM, 279.4 * MM)}
MARGIN = 11.0 * MM
TOP = 17.0 * MM
"""Height of the header."""
ROW = 5.1 * MM
"""Height of one fact."""
FURTHER = 4.3 * MM
"""Height of each further line of a fact."""
NAME, GAP = 20.5 * MM, 4.0 * MM
"""Room for the name of a fact, and between columns."""
NOTES = 20.0 * MM
"""Least height of the box for notes."""
VALUE, SMALL = 9.6, 8.6
"""Sizes of letters: facts, sentences."""
DIMENSION = 11.0 * MM
"""Room left and below the picture for the overall size."""


def sheet(
    outcome: Outcome,
    fonts: tuple[bytes, bytes],
    paper: Paper = Paper.A4,
    program: str = "",
    tip_used: float | None = None,
) -> bytes:
    """Return the setup sheet of an outcome as PDF, the same bytes for the same outcome.

    `fonts` are two TrueType fonts, plain and bold. `program` is the file name of the program, `tip_used` the share of
    the tip's life that was counted, None where nobody counted.

    Raises
    ------
    KerfproofError
        If there is no program that the sheet could be for.
    """
    if outcome.plan is None or outcome.proof is None:
        raise KerfproofError("there is no program to set up", advice="see the findings")
    for name, data in zip((PLAIN, BOLD), fonts, strict=True):
        registerFont(TTFont(name, io.BytesIO(data)))
    words, out = sheet_words(outcome, tip_used), io.BytesIO()
    width, height = SIZES[paper]
    canvas = Canvas(out, pagesize=(width, height), invariant=1, pageCompression=1)
    picture = compose(outcome, brief=True)
    canvas.setTitle(f"{picture.title}: setup sheet")
    canvas.setAuthor("Kerfproof")
    _header(canvas, picture.title, picture.verdict, outcome, program)
    room = (width - 2 * MARGIN) / 3 - GAP
    facts = max(_column_height(rows, room) for _, rows in words.columns) + 6.5 * MM
    texts = _texts_height(words, width)
    below = MARGIN + NOTES + texts + facts + 4 * MM
    _picture(canvas, outcome, below)
    y = below - 2 * MM
    _facts(canvas, words, y)
    _texts(canvas, words, y - facts)
    _notes(canvas, MARGIN, y - facts - texts)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _size(canvas: Canvas) -> tuple[float, float]:
    width, height = canvas._pagesize  # type: ignore[attr-defined]
    return float(width), float(height)


def _ink(canvas: Canvas, name: str = "ink") -> None:
    canvas.setFillColor(HexColor(LIGHT[name]))


def _fitted(canvas: Canvas, x: float, y: float, text: str, room: float, size: float, font: str = PLAIN) -> None:
    """Write a text, in smaller letters where it would not fit; what is still too long is cut off."""
    wide = stringWidth(text, font, size)
    if wide > room:
        size = max(size * room / wide, 0.72 * size)
    while stringWidth(text, font, size) > room and len(text) > 4:
        text = shortened(text, len(text) - 1)
    canvas.setFont(font, size)
    canvas.drawString(x, y, text)


def _wrapped(text: str, room: float, size: float, font: str = PLAIN) -> list[str]:
    """Return a text in lines no wider than `room`, broken at blanks, best before what stands in parentheses."""
    head, mark, tail = text.partition(" (")
    if mark and font == BOLD and all(stringWidth(part, font, size) <= room for part in (head, f"({tail}")):
        return [head, f"({tail}"]
    lines, line = [], ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if stringWidth(longer, font, size) > room and line:
            lines.append(line)
            longer = word
        line = longer
    return [*lines, line]


# --- the parts of the page ------------------------------------------------------------------------------------


def _header(canvas: Canvas, title: str, verdict: str, outcome: Outcome, program: str) -> None:
    width, height = _size(canvas)
    kind = {"PROVEN": "good", "PROVEN WITH WARNINGS": "warning"}.get(verdict, "error")
    top = height - MARGIN
    badge = stringWidth(verdict, BOLD, 11) + 14
    canvas.setFillColor(HexColor(LIGHT[kind]))
    canvas.roundRect(width - MARGIN - badge, top - 18, badge, 18, 2, fill=1, stroke=0)
    canvas.setFillColor(HexColor(LIGHT[f"{kind}_ink"]))
    canvas.setFont(BOLD, 11)
    canvas.drawString(width - MARGIN - badge + 7, top - 13, verdict)
    _ink(canvas)
    _fitted(canvas, MARGIN, top - 14, title, width - 2 * MARGIN - badge - 12, 17, BOLD)
    machine = outcome.machine.title or outcome.machine.name
    mode = "" if outcome.job.mode.value == "cut" else f"{outcome.job.mode.value.upper()} RUN   "
    line = f"{mode}{f'program {program}   ' if program else ''}machine: {machine}"
    _fitted(canvas, MARGIN, top - 29, line, width - 2 * MARGIN, VALUE)
    canvas.setFont(PLAIN, 6.5)
    _ink(canvas, "faint")
    assert outcome.proof is not None
    holds = said(outcome.proof.holds_for, outcome.machine.inches)
    _fitted(canvas, MARGIN, top - 38, f"Holds for {holds}", width - 2 * MARGIN, 6.5)


def _picture(canvas: Canvas, outcome: Outcome, bottom: float) -> None:
    width, height = _size(canvas)
    picture = compose(outcome, brief=True)
    room = height - MARGIN - TOP - bottom - DIMENSION
    frame = frame_for(picture.view, MARGIN + DIMENSION, bottom + DIMENSION, width - 2 * MARGIN - 2 * DIMENSION, room)
    paint(canvas, picture, frame)
    box = parts_bounds(outcome)
    if box is not None:
        _overall(canvas, frame, box)
    _ink(canvas, "faint")
    canvas.setFont(PLAIN, 7)
    scale = f"1:{round(frame.one_to, 2):g}" if frame.one_to >= 1 else f"{round(1 / frame.one_to, 2):g}:1"
    each = numbered_each(len(picture.discs))
    which = "pierces" if each == 1 else f"each {each}th pierce"
    canvas.drawRightString(width - MARGIN, bottom + 2, f"scale {scale}; numbers: {which} in order of cutting")


def _overall(canvas: Canvas, frame: PicturePlace, box: Box) -> None:
    """Draw the overall size of the parts below and left of the picture, in mm and inches."""
    low, high = frame.place(box[0], box[1]), frame.place(box[2], box[3])
    edge = frame.place(*frame.view[:2])
    _ink(canvas)
    canvas.setStrokeColor(HexColor(LIGHT["ink"]))
    canvas.setLineWidth(0.6)
    y, x = edge[1] - 9, edge[0] - 9
    for a, b in (((low[0], y), (high[0], y)), ((x, low[1]), (x, high[1]))):
        across = a[1] == b[1]
        canvas.line(*a, *b)
        for p in (a, b):
            canvas.line(p[0] - 2.5, p[1] - 2.5, p[0] + 2.5, p[1] + 2.5)
        words = both(box[2] - box[0] if across else box[3] - box[1], 1)
        canvas.saveState()
        canvas.translate((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        canvas.rotate(0 if across else 90)
        canvas.setFont(BOLD, 8.5)
        canvas.drawCentredString(0, -10 if across else 4, words)
        canvas.restoreState()


def _facts(canvas: Canvas, words: SheetWords, top: float) -> None:
    room = (_size(canvas)[0] - 2 * MARGIN) / 3
    for number, (title, rows) in enumerate(words.columns):
        _column(canvas, MARGIN + number * room, top, room - GAP, title, rows)


def _column(canvas: Canvas, x: float, top: float, room: float, title: str, rows: Rows) -> None:
    _ink(canvas)
    canvas.setFont(BOLD, 10.5)
    canvas.drawString(x, top - 9, title)
    canvas.setStrokeColor(HexColor(LIGHT["plate_edge"]))
    canvas.setLineWidth(0.7)
    canvas.line(x, top - 12, x + room, top - 12)
    y = top - 6.5 * MM - 5
    for name, value in rows:
        _ink(canvas, "faint")
        _fitted(canvas, x, y, name, NAME - 3, 8)
        _ink(canvas)
        for k, line in enumerate(_value_lines(name, value, room)):
            y -= FURTHER if k else 0.0
            _fitted(canvas, x + NAME, y, line, room - NAME, VALUE, BOLD if name in _LOUD else PLAIN)
        y -= ROW


def _column_height(rows: Rows, room: float) -> float:
    return sum(ROW + FURTHER * (len(_value_lines(name, value, room)) - 1) for name, value in rows)


def _value_lines(name: str, value: str, room: float) -> list[str]:
    """Return a value as one line where it fits in letters a little smaller, else as several."""
    font = BOLD if name in _LOUD else PLAIN
    if stringWidth(value, font, 0.9 * VALUE) <= room - NAME:
        return [value]
    return _wrapped(value, room - NAME, VALUE, font)


_LOUD = {"material", "thickness", "current", "feed", "kerf", "cuts", "plate size", "least plate"}
"""Facts in bold letters: what is set first."""


def _blocks(words: SheetWords, width: float) -> tuple[list[list[str]], list[list[str]], float]:
    """Return checks and cautions as wrapped lines, and the room of each column."""
    room = (width - 2 * MARGIN - 6 * MM) / 2
    lines = [[_wrapped(text, room - 5 * MM, SMALL) for text in texts] for texts in (words.checks, words.cautions)]
    return lines[0], lines[1], room


def _texts_height(words: SheetWords, width: float) -> float:
    checks, cautions, _ = _blocks(words, width)
    return max(_stacked(checks), _stacked(cautions)) + 9 * MM


def _stacked(items: Sequence[Sequence[str]]) -> float:
    return sum(len(lines) * (SMALL + 1.8) + 2.4 for lines in items)


def _texts(canvas: Canvas, words: SheetWords, top: float) -> None:
    checks, cautions, room = _blocks(words, _size(canvas)[0])
    for title, items, x, boxed in (
        ("Before the start", checks, MARGIN, True),
        ("Beware", cautions, MARGIN + room + 6 * MM, False),
    ):
        _ink(canvas)
        canvas.setFont(BOLD, 10.5)
        canvas.drawString(x, top - 9, title)
        canvas.setStrokeColor(HexColor(LIGHT["plate_edge"]))
        canvas.line(x, top - 12, x + room, top - 12)
        y = top - 15 - SMALL
        for lines in items:
            canvas.setStrokeColor(HexColor(LIGHT["ink"]))
            canvas.setLineWidth(0.8)
            if boxed:
                canvas.rect(x, y - 1.2, 7.6, 7.6, fill=0, stroke=1)
            else:
                canvas.setFont(BOLD, SMALL + 1)
                canvas.drawString(x + 2, y, "!")
            canvas.setFont(PLAIN, SMALL)
            for line in lines:
                canvas.drawString(x + 5 * MM, y, line)
                y -= SMALL + 1.8
            y -= 2.4


def _notes(canvas: Canvas, bottom: float, top: float) -> None:
    width = _size(canvas)[0]
    canvas.setStrokeColor(HexColor(LIGHT["plate_edge"]))
    canvas.setLineWidth(0.7)
    canvas.rect(MARGIN, bottom, width - 2 * MARGIN, top - bottom, fill=0, stroke=1)
    _ink(canvas, "faint")
    canvas.setFont(PLAIN, 8)
    canvas.drawString(MARGIN + 4, top - 10, "Notes")
    canvas.drawRightString(width - MARGIN - 4, top - 10, "date ____________   by ____________   measured kerf ________")
