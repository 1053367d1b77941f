"""Where to go on: the cut, the place along it, and what ran cold; and whether that can be."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from kerfproof.errors import KerfproofError
from kerfproof.geom.distance import closest_points
from kerfproof.geom.path import Floats, Path, Segments
from kerfproof.resume.first_program import FirstProgram, run_line
from kerfproof.sentence import joined_phrases, mm, mm_at, option, say

APART = 2.0
"""Stretches of a path that lie so many kerfs of it apart pass a place twice, and not once round a corner."""
ON_IT = 1e-3
MOST_BESIDE = 5.0
"""A place farther beside the path than this is not on it, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What the person asks for. Cuts count from 1, as in the program's comments.

    `from_cut` is the first cut that was not finished; None: all were. `at` is how far along it the arc got, mm
    from its pierce; `near` a place on it instead. `unlit` are cuts that ran without an arc. `new_tip` tells that the
    torch has a new tip now.
    """

    from_cut: int | None = None
    at: float | None = None
    near: tuple[float, float] | None = None
    unlit: tuple[int, ...] = ()
    new_tip: bool = False


@dataclass(frozen=True, slots=True)
class Split:
    """The cuts of the first program, from 0: `done`, then `partly` up to `at` mm (None: none), and `wanted` in order.

    `partly` is among the wanted ones.
    """

    done: tuple[int, ...]
    partly: int | None
    at: float
    wanted: tuple[int, ...]


def split(first: FirstProgram, wish: Wish) -> Split:
    """Return which cuts are done and which are to be cut, inside before outside as the first program has them.

    Raises
    ------
    KerfproofError
        If a number is no cut of the program, or a place not on it.
    """
    count = len(first.cuts)
    for number in (*wish.unlit, *([wish.from_cut] if wish.from_cut is not None else [])):
        if not 1 <= number <= count:
            raise KerfproofError(f"there is no cut {number}, the program has {count}", advice="see its comments")
    begin, at = _begin(first, wish)
    if begin < count and at > 0 and at >= closed_at(first, begin):
        begin, at = begin + 1, 0.0  # only over-burn or lead-out is missing
    partly = begin if at > 0 else None
    cold = sorted({number - 1 for number in wish.unlit})
    if partly is not None and partly in cold:
        raise KerfproofError(
            say("cut {partly} can't be cold and have got {at} far", partly=partly + 1, at=mm(at, ".1f")),
            advice="give one of both",
        )
    wanted = sorted({*cold, *range(begin, count)})
    if not wanted:
        advice = "if some of it is not cut, name the cut to go on with, or those that ran cold"
        raise KerfproofError("nothing is left to cut: the plate is finished", advice=advice)
    done = tuple(k for k in range(begin) if k not in cold)
    return Split(done, partly, at, tuple(wanted))


def closed_at(first: FirstProgram, k: int) -> float:
    """Return the length at which a cut has closed its ring, that of the whole cut if it has none, mm."""
    cut = first.cuts[k]
    if first.ring(k) is None:
        return first.line(k).length()
    return (cut.lead_in.length() if cut.lead_in is not None else 0.0) + cut.contour.length() - 1e-6


def _begin(first: FirstProgram, wish: Wish) -> tuple[int, float]:
    """Return the first cut that was not finished (from 0), and how far it got."""
    count = len(first.cuts)
    if wish.near is not None:
        return _near(first, wish, wish.near)
    if wish.from_cut is None:
        if wish.at is not None:
            raise KerfproofError(
                "a length along a cut needs the number of the cut",
                advice=say("{from_cut} N {at} 35mm", from_cut=option("from-cut"), at=option("at")),
            )
        return count, 0.0
    begin = wish.from_cut - 1
    if wish.at is None:
        return begin, 0.0
    length = first.line(begin).length()
    if not 0 <= wish.at < length - 1e-6:
        raise KerfproofError(
            say(
                "{at} is not on cut {from_cut}, it is {length} long from its pierce",
                at=mm(wish.at, ".1f"),
                from_cut=wish.from_cut,
                length=mm(length, ".1f"),
            ),
            advice="measure from the pierce along the cut",
        )
    return begin, wish.at


def _near(first: FirstProgram, wish: Wish, near: tuple[float, float]) -> tuple[int, float]:
    """Return the cut, and how far along it, that passes nearest to a place."""
    if wish.at is not None:
        raise KerfproofError(
            "a place and a length can't be given both",
            advice=say("give {at} or {near}", at=option("at"), near=option("near")),
        )
    choices = range(len(first.cuts)) if wish.from_cut is None else [wish.from_cut - 1]
    best = min(((*along(first.line(k), near), k) for k in choices), key=lambda found: (round(found[1], 6), found[2]))
    at, beside, k = best
    if beside > MOST_BESIDE:
        where = "any cut" if wish.from_cut is None else f"cut {wish.from_cut}"
        raise KerfproofError(
            say(
                "the place at {at} lies {beside} beside {where}",
                at=mm_at(near[0], near[1], "g"),
                beside=mm(beside, ".1f"),
                where=where,
            ),
            advice=say(
                "give a place on it, in the program's coordinates, within {most}",
                most=mm(MOST_BESIDE, "g"),
            ),
        )
    there = first.line(k).part(0.0, max(at, 1e-6)).end
    passes = [(j, s) for j in choices for s in _passes(first.line(j), there, first.cuts[j].kerf)]
    if len(passes) > 1:
        raise _which(passes, there, wish.from_cut is None)
    if at >= first.line(k).length() - 1e-6:
        return k + 1, 0.0  # its very end: it was finished
    return k, at


def _passes(path: Path, there: Floats, kerf: float) -> list[float]:
    """Return how far along a path it passes a place within half a kerf, once for each time that it does."""
    s = path.segments()
    begins, beside = _along(s, there)
    out: list[tuple[float, float]] = []
    last = 0.0
    for at, off in zip(begins[beside <= kerf / 2].tolist(), beside[beside <= kerf / 2].tolist(), strict=True):
        if out and at - last <= APART * kerf:
            out[-1] = min(out[-1], (off, at), key=lambda found: (round(found[0], 6), found[1]))
        else:
            out.append((off, at))
        last = at
    return [at for _, at in out]


def _which(passes: Iterable[tuple[int, float]], there: Floats, any_cut: bool) -> KerfproofError:
    """Return the question which pass over a place is meant."""
    x, y = there.tolist()
    tenths = [(k + 1, math.floor(at * 10) / 10) for k, at in passes]
    words = [
        say(
            "{from_cut}{along} {at:.1f}mm",
            from_cut=say("{from_cut} {cut} ", from_cut=option("from-cut"), cut=cut) if any_cut else "",
            along=option("at"),
            at=at,
        )
        for cut, at in tenths
    ]
    ways = joined_phrases(
        (say("{at} from the pierce of cut {cut}", at=mm(at, ".1f"), cut=cut) for cut, at in tenths), " or "
    )
    what = say("the torch passes {at} more than once, so the arc got {ways}", at=mm_at(x, y, ".1f"), ways=ways)
    return KerfproofError(what, advice=say("say which: {words}", words=joined_phrases(words, " or ")))


def along(path: Path, near: tuple[float, float]) -> tuple[float, float]:
    """Return how far along an open path it passes nearest to a place, and how near, mm."""
    at, beside = _along(path.segments(), np.array(near, dtype=np.float64))
    k = int(np.argmin(np.round(beside, 6)))
    return float(at[k]), float(beside[k])


def far_along(first: FirstProgram, k: int, row: int, place: tuple[float, float]) -> float:
    """Return how far along cut `k` the torch is when it comes by a place in a row of the trace, mm."""
    s = first.path.segments
    begin, stop = int(first.path.first[k]), int(first.path.first[k + 1])
    far = 0.0
    for number in range(begin, stop):
        if s.index[number] > row:
            break
        length = float(s.lengths()[number])
        if s.index[number] == row:
            done, beside = along(run_line(s, number, number + 1), place)
            if beside < ON_IT and done < length - 1e-9:
                return far + done
        far += length
    return far


def _along(s: Segments, point: Floats) -> tuple[Floats, Floats]:
    """Return for each segment of a path how far along the path it comes nearest to a point, and how near (n,)."""
    lengths = s.lengths()
    there = closest_points(np.tile(point, (len(s), 1)), s, np.arange(len(s)))
    chord = np.hypot(*(there - s.p0).T)
    arc = np.where(s.is_arc, 2 * s.radius, 1.0)
    done = np.where(s.is_arc, arc * np.arcsin(np.clip(chord / arc, 0.0, 1.0)), chord)
    return np.cumsum(lengths) - lengths + np.minimum(done, lengths), np.hypot(*(there - point).T)
