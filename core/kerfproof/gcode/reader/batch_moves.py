"""Plain moves in the plane that follow each other: taken apart, checked and recorded many at once.

Idea: most moves of a program are such lines, and what they do follows from the text alone, but for the frame (units,
origin, kind of arc centre) and the place where they begin. So all moves of some thousand lines become columns of
numbers at once, are worked out for the frame in force, and are handed out stretch by stretch to a control that really
stands where the text says it does. Reason: between two pierces stand about 15 moves, too few for arrays of their own.

What is done here is what `control` does line by line, to the last bit: sums are taken in the same order, and a number
is one whole number over a power of ten, both held exactly, whose quotient is the nearest float (the fast case of W. D.
Clinger, How to read floating point numbers accurately, 1990, from memory). Whatever is not sure (an unusual line, radii
that barely agree) is left to the single line.
"""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from kerfproof.gcode.reader import arcs
from kerfproof.gcode.reader.arrange import plain_number
from kerfproof.gcode.reader.control import Control
from kerfproof.gcode.reader.modes import MOTION_WORDS
from kerfproof.gcode.reader.moves import LEAST_FEED
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Bools, Floats, Ints

FEWEST = 512
"""With fewer lines this costs more than it saves."""
MOST_FRAMES = 4
"""Where the origin moves more often than this, lines are done one by one."""

_NUMBER = rb"[-+]?+(?>[0-9]{1,7}+(?:\.[0-9]{0,8}+)?+|\.[0-9]{1,8}+)"
_LINE = rb"(?:G0?[0-3] ?+)?+" + b"".join(rb"(?:%c%b ?+)?+" % (letter, _NUMBER) for letter in b"XYIJF")
_STRETCH = re.compile(rb"\n(?=[GXY])(?>%b\n)++" % _LINE)
"""Lines of a motion word and X, Y, I, J, F in this order, with numbers of at most 15 digits."""
_COLUMNS = np.zeros(128, dtype=np.int64)
_COLUMNS[list(b"GXYIJF")] = range(6)
_POWERS = 10 ** np.arange(15)
_SURE = 1e-14
"""Lengths worked out in two ways differ by less than this share."""

Bytes = npt.NDArray[np.uint8]


class _Done(NamedTuple):
    """What the lines record and leave in one frame, line by line; centres and turns arc by arc."""

    behind: list[int]
    """The first line behind each that is not sure, or has an F, or begins a stretch; itself if it is not sure."""
    kinds: list[int]
    codes: list[int]
    words: list[str]
    xs: list[float]
    ys: list[float]
    center_xs: list[float]
    center_ys: list[float]
    turns: list[float]


class BatchMoves:
    """The plain moves in the plane among some lines for a control that reads lines of `limit` characters."""

    def __init__(self, lines: list[str], limit: int) -> None:
        self.place: list[int] = [-1] * len(lines)
        """The number of each line among the moves, -1 if it is none."""
        self.frames_left = MOST_FRAMES
        self.frame: tuple[float, float, float, bool] | None = None
        self.done = _Done([], [], [], [], [], [], [], [], [])
        whole = "\n".join(["", *lines, ""]).encode("latin-1", "replace")
        spans = [match.span() for match in _STRETCH.finditer(whole)]
        if len(lines) < FEWEST or not spans:
            return
        first, behind = np.searchsorted(np.flatnonzero(np.frombuffer(whole, np.uint8) == ord("\n")), np.array(spans)).T
        counts = behind - first - 1
        begins = np.cumsum(counts) - counts
        self.count = int(counts.sum())
        place = np.full(len(lines), -1)
        place[np.repeat(first - begins, counts) + np.arange(self.count)] = np.arange(self.count)
        self.place = place.tolist()
        self.heads = np.zeros(self.count, dtype=np.bool_)
        """Moves that nothing above may go on to: those that begin a stretch, or hold an F."""
        self.heads[begins] = True
        self._take_apart(b"".join([whole[a + 1 : b] for a, b in spans]), limit)

    def follow(self, c: Control, index: int) -> int:
        """Do the sure moves from the line with this index on; return how many there are."""
        k = self.place[index]
        if c.plane != 17 or c.inverse_time or c.waiting or c.incremental:
            return 0
        frame = (c.unit, c.ox, c.oy, c.absolute_centers)
        if frame != self.frame:
            if not self.frames_left:
                return 0
            self.frames_left -= 1
            self.frame, self.done = frame, self._work_out(c)
        done = self.done
        end = done.behind[k]
        if end == k or c.x != done.xs[k - 1] or c.y != done.ys[k - 1]:
            return 0
        if not self.names_code[k] and c.motion != done.codes[k]:
            return 0
        if k in self.feeds:
            word = self.feeds[k]
            feed = float(word) * c.unit
            if feed < LEAST_FEED:
                return 0
            if feed != c.feed:
                c.changed_feed(f"F{plain_number(float(word))}", feed)
        elif c.feed < LEAST_FEED:
            return 0
        rows, count = c.rows, end - k
        rows.kinds += done.kinds[k:end]
        rows.lines += range(c.line, c.line + count)
        rows.texts += done.words[k:end]
        rows.xs += done.xs[k:end]
        rows.ys += done.ys[k:end]
        rows.zs += [c.z] * count
        some = slice(self.arcs_before[k], self.arcs_before[end])
        rows.center_xs += done.center_xs[some]
        rows.center_ys += done.center_ys[some]
        rows.turns += done.turns[some]
        c.x, c.y, c.motion = done.xs[end - 1], done.ys[end - 1], done.codes[end - 1]
        c.line += count - 1
        return count

    def _take_apart(self, text: bytes, limit: int) -> None:
        characters = np.frombuffer(text, np.uint8)
        at, ends = np.flatnonzero(characters >= ord("A")), np.flatnonzero(characters == ord("\n"))
        letters, values = characters[at], _numbers(characters, at)
        line = np.repeat(np.arange(self.count), np.diff(np.searchsorted(at, ends), prepend=0))
        columns = np.full((6, self.count), np.nan)
        columns[_COLUMNS[letters], line] = values
        code, self.x, self.y, self.i, self.j, _ = columns
        has_code, has_x, has_y, self.has_i, self.has_j, has_f = ~np.isnan(columns)
        fed = np.flatnonzero(has_f)
        words = zip(fed.tolist(), at[letters == ord("F")].tolist(), ends[fed].tolist(), strict=True)
        self.feeds = {k: text[a + 1 : b].decode().rstrip() for k, a, b in words}
        code_at, self.x_at, self.y_at = map(self._latest, (has_code, has_x, has_y))
        known = has_code[code_at]
        self.code = np.where(known, code[code_at], 0.0).astype(np.int64)
        self.names_code: list[bool] = has_code.tolist()
        self.arc = self.code > 1
        self.arcs_before: list[int] = np.append(0, np.cumsum(self.arc)).tolist()
        self.usual = known & (has_x | has_y) & ((self.has_i | self.has_j) == self.arc)
        self.usual[1:] &= (has_x[self.x_at] & has_y[self.y_at])[:-1]
        self.usual[0] = False  # where it starts is known from the second on
        self.usual &= np.diff(ends, prepend=-1) <= limit + 1
        self.heads |= has_f

    def _latest(self, given: Bools) -> Ints:
        """Return where the word that holds in each line stands, 0 if there is none."""
        return np.maximum.accumulate(np.where(given, np.arange(self.count), 0))

    def _work_out(self, c: Control) -> _Done:
        """Return what the lines do with the units, the origin and the arc centres of a control."""
        x, y = (self.x * c.unit + c.ox)[self.x_at], (self.y * c.unit + c.oy)[self.y_at]
        before = np.append(x[:1], x[:-1]), np.append(y[:1], y[:-1])
        from_x, from_y = (c.ox, c.oy) if c.absolute_centers else before
        center_x = np.where(self.has_i, from_x + self.i * c.unit, from_x)
        center_y = np.where(self.has_j, from_y + self.j * c.unit, from_y)
        first, last = np.hypot(before[0] - center_x, before[1] - center_y), np.hypot(x - center_x, y - center_y)
        agree = np.abs(first - last) + _SURE * (first + last) < c.arc_tolerance + arcs.NOISE
        agree &= np.minimum(first, last) > 2 * arcs.SAME_PLACE
        if c.absolute_centers:
            agree &= self.has_i & self.has_j
        arc, every = self.arc, np.arange(self.count + 1)
        sure = self.usual & (agree | ~arc)
        ends = np.append(~sure | self.heads, True)
        behind = np.minimum.accumulate(np.where(ends, every, self.count)[::-1])[::-1]
        return _Done(
            np.where(sure, behind[1:], every[:-1]).tolist(),
            np.minimum(self.code, Step.ARC).tolist(),
            (self.code * 10).tolist(),
            [MOTION_WORDS[code] for code in self.code.tolist()],
            x.tolist(),
            y.tolist(),
            center_x[arc].tolist(),
            center_y[arc].tolist(),
            np.where(self.code[arc] == 2, -1.0, 1.0).tolist(),
        )


def _numbers(characters: Bytes, at: Ints) -> Floats:
    """Return the numbers behind the letters at these indices.

    All digits are read as one whole number below 10^15, which a float holds exactly, and divided by a power of ten,
    which it holds as well: so the quotient is the float nearest to what is written.
    """
    digit = (characters >= ord("0")) & (characters <= ord("9"))
    before = np.zeros(len(characters) + 1, dtype=np.int64)
    np.cumsum(digit, out=before[1:])
    first = before[at]
    behind = np.append(first[1:], before[-1])
    points = np.flatnonzero(characters == ord("."))
    owner = np.cumsum(characters >= ord("A"))[points] - 1
    decimals = np.zeros(len(at), dtype=np.int64)
    decimals[owner] = behind[owner] - before[points]
    digits = characters[digit].astype(np.int64) - ord("0")
    place = np.repeat(behind, behind - first) - np.arange(1, len(digits) + 1)
    values = np.add.reduceat(digits * _POWERS[place], first) / _POWERS[decimals]
    return np.where(characters[at + 1] == ord("-"), -values, values)
