"""One path of a chain of edges: ends that lie apart meet, bits that are drawing noise go."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from kerfproof.geom.path import Floats, Path
from kerfproof.parts.join.chains import Chain

BIT = 0.01
"""Segments shorter than this (mm) are drawing noise."""


def assemble(chain: Chain, paths: Sequence[Path]) -> Path | None:
    """Return the chain as one path; where ends lie apart they meet. None if nothing of length is left."""
    runs = [
        np.array(p.vertices if link.forward else p.reversed().vertices)
        for link, p in zip(chain.links, paths, strict=True)
    ]
    pairs = list(pairwise(runs))
    if chain.closed:
        pairs.append((runs[-1], runs[0]))
    for before, after in pairs:
        meet = _meeting(before, after)
        before[-1, :2] = meet
        after[0, :2] = meet
    vertices = np.vstack([run[:-1] for run in runs] + ([] if chain.closed else [runs[-1][-1:]]))
    return without_bits(vertices, chain.closed)[0]


def _meeting(before: Floats, after: Floats) -> Floats:
    """Return where the end of one run and the start of the next meet.

    Two straight ends meet where their lines cross if that is near; a straight end goes to an arc's end, so
    that the arc stays as drawn; else they meet in the middle.
    """
    p, q = before[-1, :2], after[0, :2]
    gap = float(np.hypot(*(p - q)))
    if gap <= 1e-9:
        return np.array(p)
    straight_before, straight_after = before[-2, 2] == 0, after[0, 2] == 0
    if straight_before and straight_after:
        crossing = _line_crossing(before[-2, :2], p, q, after[1, :2])
        if crossing is not None and max(np.hypot(*(crossing - p)), np.hypot(*(crossing - q))) <= 2 * gap:
            return crossing
    if straight_before != straight_after:
        return np.array(q if straight_before else p)
    return np.asarray((p + q) / 2)


def _line_crossing(a: Floats, b: Floats, c: Floats, d: Floats) -> Floats | None:
    u, v = b - a, d - c
    cross = u[0] * v[1] - u[1] * v[0]
    if abs(cross) < 0.02 * np.hypot(*u) * np.hypot(*v):  # about a degree: the crossing would run away
        return None
    w = c - a
    return np.asarray(a + u * ((w[0] * v[1] - w[1] * v[0]) / cross))


def without_bits(vertices: Floats, closed: bool) -> tuple[Path | None, int]:
    """Return the path of vertices (n, 3) without segments shorter than `BIT`, and how many were dropped."""
    kept = [vertices[0]]
    dropped = 0
    for row in vertices[1:]:
        if np.hypot(*(row[:2] - kept[-1][:2])) < BIT and abs(kept[-1][2]) < 0.9:
            kept[-1] = np.array([*_corner(kept, row), row[2]])
            dropped += 1
        else:
            kept.append(row)
    if closed and len(kept) > 2 and np.hypot(*(kept[0][:2] - kept[-1][:2])) < BIT and abs(kept[-1][2]) < 0.9:
        kept.pop()
        dropped += 1
    if len(kept) < 2 or (closed and len(kept) == 2 and kept[0][2] == 0 == kept[1][2]):
        return None, dropped
    if not dropped:
        return Path(vertices, closed), 0
    return Path(np.array(kept), closed), dropped


def _corner(kept: list[Floats], row: Floats) -> Floats:
    return np.asarray((kept[-1][:2] + row[:2]) / 2 if len(kept) > 1 else kept[-1][:2])
