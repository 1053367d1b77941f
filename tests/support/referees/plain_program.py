"""A plain reading of our metric programs for outside checks: words by a regular expression, metal by shapely."""

from __future__ import annotations

import itertools
import math
import re

from shapely import LineString, Point, Polygon, box, unary_union

_WORD = re.compile(r"([A-Z])(-?\d*\.?\d+)")


def burned(text: str) -> list[list[tuple[float, float]]]:
    """Return the torch-on polylines of a program in mm with absolute coordinates and incremental arc centres."""
    x = y = 0.0
    motion, lit, lines = "0", False, []
    for raw in text.splitlines():
        line = re.sub(r"\(.*?\)", "", raw).replace(" ", "")
        if line.startswith("M3"):
            lit = True
            lines.append([(x, y)])
        elif line.startswith("M5"):
            lit = False
        if line.startswith(("G53", "G92", "G38", "#", "G10", "M", "G4P")) or "#" in line:
            continue
        words = dict(_WORD.findall(line))
        motion = (
            re.sub(r"^0(?=\d)", "", words["G"])
            if words.get("G") in {"0", "1", "2", "3", "00", "01", "02", "03"}
            else motion
        )
        if "X" not in words and "Y" not in words:
            continue
        u, v = float(words.get("X", x)), float(words.get("Y", y))
        if lit:
            lines[-1] += _way((x, y), (u, v), motion, float(words.get("I", 0)), float(words.get("J", 0)))
        x, y = u, v
    return [line for line in lines if len(line) > 1]


def touched(text: str) -> list[tuple[float, float]]:
    """Return where the plate was found last before each light of such a program."""
    x = y = 0.0
    here, places = (0.0, 0.0), []
    for raw in text.splitlines():
        line = re.sub(r"\(.*?\)", "", raw).replace(" ", "")
        if re.match(r"M3(?!\d)", line):
            places.append(here)
        elif line.startswith("G38"):
            here = (x, y)
        if line.startswith(("G53", "G92", "G38", "#", "G10", "M", "G4P")) or "#" in line:
            continue
        words = dict(_WORD.findall(line))
        x, y = float(words.get("X", x)), float(words.get("Y", y))
    return places


def _way(a, b, motion, i, j):
    if motion not in "23":
        return [b]
    cx, cy = a[0] + i, a[1] + j
    first, last = math.atan2(a[1] - cy, a[0] - cx), math.atan2(b[1] - cy, b[0] - cx)
    turn = (last - first) % (2 * math.pi) or 2 * math.pi
    if motion == "2":
        turn -= 2 * math.pi
        turn = turn or -2 * math.pi
    r = math.hypot(i, j)
    return [(cx + r * math.cos(first + turn * k / 64), cy + r * math.sin(first + turn * k / 64)) for k in range(1, 65)]


def kerf_of(lines: list[list[tuple[float, float]]], kerf: float) -> Polygon:
    """Return the metal that is burned away."""
    return unary_union([LineString(line).buffer(kerf / 2, 32) for line in lines])


def upto(line: list[tuple[float, float]], length: float) -> list[tuple[float, float]]:
    """Return the first `length` mm of a polyline."""
    whole = LineString(line)
    end = whole.interpolate(length)
    out, done = [line[0]], 0.0
    for a, b in itertools.pairwise(line):
        step = math.dist(a, b)
        if done + step >= length:
            return [*out, (end.x, end.y)]
        out.append(b)
        done += step
    return out


def piece_at(plate: tuple[float, float, float, float], kerf: Polygon, x: float, y: float) -> Polygon:
    """Return the piece of metal that holds a place after cutting."""
    left = box(*plate).difference(kerf)
    pieces = list(left.geoms) if hasattr(left, "geoms") else [left]
    return next(piece for piece in pieces if piece.contains(Point(x, y)))
