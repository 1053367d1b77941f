"""From our paths to Qt's: lines stay lines, arcs become cubics that lie within a millionth of their radius."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtCore import QByteArray, QDataStream, QIODevice
from PySide6.QtGui import QPainterPath

from kerfproof.geom.path import Bundle, Ints, Path, Segments

WIDEST = np.pi / 4
"""Arcs are split into pieces of at most this: a cubic is then right to 4e-6 of the radius."""
_ELEMENT = np.dtype([("kind", ">i4"), ("x", ">f8"), ("y", ">f8")])
_MOVE, _LINE, _CURVE, _CURVE_DATA = 0, 1, 2, 3


def painter_path(paths: Sequence[Path]) -> QPainterPath:
    """Return all paths as one, to be filled even-odd."""
    return painter_paths(paths, np.zeros(len(paths), dtype=np.int64), 1)[0] if paths else QPainterPath()


def painter_paths(paths: Sequence[Path], group: Ints, count: int) -> list[QPainterPath]:
    """Return `count` paths; `group` (n,), ascending, tells which of them each path belongs to."""
    if not paths:
        return [QPainterPath() for _ in range(count)]
    bundle = Bundle.of(paths)
    s = bundle.segments()
    begins = np.flatnonzero(np.diff(s.owner, prepend=-1) != 0)
    starts = np.zeros(len(s), dtype=np.bool_)
    starts[begins] = True
    return segment_paths(s, starts, np.asarray(group)[s.owner], count)


def segment_paths(s: Segments, starts: np.ndarray, group: Ints, count: int) -> list[QPainterPath]:
    """Return `count` paths of segments; where `starts` (m,) the pen is lifted; `group` (m,) ascends."""
    pieces = np.where(s.is_arc, np.maximum(1, np.ceil(np.abs(s.sweep) / WIDEST - 1e-9)), 1).astype(np.int64)
    of = np.repeat(np.arange(len(s)), pieces)
    nth = np.arange(len(of)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    arc = s.is_arc[of]
    elements = np.where(arc, 3, 1) + (starts[of] & (nth == 0))
    place = np.cumsum(elements) - elements
    out = np.zeros(int(elements.sum()), dtype=_ELEMENT)
    lifts = np.flatnonzero(starts[of] & (nth == 0))
    out["kind"][place[lifts]] = _MOVE
    out["x"][place[lifts]], out["y"][place[lifts]] = s.p0[of[lifts]].T
    body = place + (starts[of] & (nth == 0))
    lines = np.flatnonzero(~arc)
    out["kind"][body[lines]] = _LINE
    out["x"][body[lines]], out["y"][body[lines]] = s.p1[of[lines]].T
    _write_arcs(out, body, np.flatnonzero(arc), s, of, nth, pieces)
    firsts = np.searchsorted(group[of], np.arange(count + 1))
    ends = np.concatenate([place, [len(out)]])
    return [_path(out[ends[firsts[k]] : ends[firsts[k + 1]]]) for k in range(count)]


def _write_arcs(out: np.ndarray, body: Ints, arcs: Ints, s: Segments, of: Ints, nth: Ints, pieces: Ints) -> None:
    which = of[arcs]
    step = s.sweep[which] / pieces[which]
    a0 = s.start_angle[which] + step * nth[arcs]
    a1 = a0 + step
    k = (4.0 / 3.0) * np.tan(step / 4) * s.radius[which]
    r, c = s.radius[which], s.center[which]
    e0, e1 = np.column_stack([np.cos(a0), np.sin(a0)]), np.column_stack([np.cos(a1), np.sin(a1)])
    p0, p1 = c + r[:, None] * e0, c + r[:, None] * e1
    last = nth[arcs] == pieces[which] - 1
    p1 = np.where(last[:, None], s.p1[which], p1)
    t0, t1 = np.column_stack([-e0[:, 1], e0[:, 0]]), np.column_stack([-e1[:, 1], e1[:, 0]])
    at = body[arcs]
    for shift, kind, points in (
        (0, _CURVE, p0 + k[:, None] * t0), (1, _CURVE_DATA, p1 - k[:, None] * t1), (2, _CURVE_DATA, p1)
    ):  # fmt: skip
        out["kind"][at + shift] = kind
        out["x"][at + shift], out["y"][at + shift] = points.T


def _path(elements: np.ndarray) -> QPainterPath:
    path = QPainterPath()
    if not len(elements):
        return path
    head, tail = np.array([len(elements)], dtype=">i4"), np.array([0, 0], dtype=">i4")  # start of figure, even-odd
    data = QByteArray(head.tobytes() + elements.tobytes() + tail.tobytes())
    stream = QDataStream(data, QIODevice.OpenModeFlag.ReadOnly)
    stream >> path
    return path
