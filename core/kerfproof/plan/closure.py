"""The run of one contour from its start around to its end: the split at the start, over-burn, lead-out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np

from kerfproof.errors import Watch, no_watch
from kerfproof.geom.path import Floats, Path
from kerfproof.job.job import LeadChoice
from kerfproof.memo import Memo
from kerfproof.parts.model.part import FeatureKind
from kerfproof.plan.clearance import Ground, Runs
from kerfproof.plan.kerf import KerfLoop
from kerfproof.plan.leads.choose import ChosenLead, Leads
from kerfproof.plan.leads.rounds import in_rounds
from kerfproof.plan.leads.starts import KerfSheet
from kerfproof.shop.chart import Process

SAME_PLACE = 1e-6
ROUND_OUT = (1.0, 0.7, 0.5)
"""Radii tried for the lead-out, as shares of the lead radius."""
SHORTENED = (1.0, 0.75, 0.5)
"""Lengths tried for the lead-out, as shares of the full one."""

Vertices = list[list[float]]


@dataclass(frozen=True, slots=True, eq=False)
class Closure:
    """`contour` from start to start, then `over_burn` on over its beginning, then `lead_out` into the scrap."""

    contour: Path
    over_burn: Path | None
    lead_out: Path | None


@dataclass(frozen=True, slots=True)
class Ending:
    """How far a contour runs on, mm: over its start, and out into the scrap on a radius."""

    over_burn: float
    lead_out: float
    radius: float

    @staticmethod
    def of(kind: FeatureKind, process: Process, choice: LeadChoice) -> Ending:
        """Return the lengths for an outline or hole: holes have no lead-out."""
        if kind is FeatureKind.OUTLINE:
            burn, own = process.over_burn_outline, choice.over_burn_outline
            out = process.lead_out if choice.lead_out is None else choice.lead_out
        else:
            burn, own, out = process.over_burn_hole, choice.over_burn_hole, 0.0
        radius = process.lead_radius if choice.radius is None else choice.radius
        return Ending(burn if own is None else own, out, max(radius, process.kerf))


@dataclass(frozen=True, slots=True, eq=False)
class _Begun:
    """A contour from its start and back to it, how it may end, and the lead-outs to try, the best first.

    These are rows of far end, near end and bulge from far to near; none where there is no lead-out.
    """

    contour: Path
    ending: Ending
    tries: tuple[tuple[float, ...], ...]


def close_contours(
    sheet: KerfSheet,
    leads: Leads,
    ground: Ground,
    process: Process,
    choice: LeadChoice,
    watch: Watch = no_watch,
    memo: Memo | None = None,
) -> tuple[Closure | None, ...]:
    """Return the closure of each contour of `sheet`, None where it has no lead.

    Outlines leave into the scrap: on the extension of the last edge where they began on that of the first, else on
    an arc that leaves the contour in its direction. A lead-out without room is shortened, then left out; the
    over-burn stays.
    """
    memo = memo or Memo(holds=False)
    made: list[_Begun | None] = []
    with memo.pieces("begun", (process, choice)) as known:
        endings = {kind: Ending.of(kind, process, choice) for kind in FeatureKind}
        for loop, lead, side in zip(sheet.loops, leads.leads, sheet.side.tolist(), strict=True):
            ending = endings[loop.feature.kind]
            made.append(None if lead is None else known.one((loop, lead), partial(_begun, loop, lead, ending, side)))
    outs = _lead_outs(sheet, leads, made, ground, watch)
    with memo.pieces("closed", ()) as known:
        return tuple(
            None
            if begun is None or lead is None
            else known.one((begun, outs.get(i)), partial(_closure, begun, outs.get(i), lead))
            for i, (begun, lead) in enumerate(zip(made, leads.leads, strict=True))
        )


def _begun(loop: KerfLoop, lead: ChosenLead, ending: Ending, side: int) -> _Begun:
    contour = _from_start(loop, lead)
    tries = _tries(contour, ending, lead, side) if ending.lead_out > SAME_PLACE else []
    return _Begun(contour, ending, tuple(tries))


def _closure(begun: _Begun, tried: int | None, lead: ChosenLead) -> Closure:
    """Return the closure with the lead-out of number `tried`."""
    out = None
    if tried is not None:
        far_x, far_y, x, y, bulge = begun.tries[tried]
        out = _opened([[x, y, -bulge], [far_x, far_y, 0.0]])
        if lead.back is not None:
            return Closure(begun.contour, None, out)
    burn = beginning(begun.contour, _at_most_half(begun.contour, begun.ending.over_burn))
    return Closure(begun.contour, burn, out)


# --- splitting ------------------------------------------------------------------------------------------------


def _from_start(loop: KerfLoop, lead: ChosenLead) -> Path:
    """Return the closed kerf path as an open one from the lead's start and back to it."""
    v: Vertices = loop.path.vertices.tolist()
    n, k = len(v), lead.segment
    x, y = lead.at
    if lead.back is not None:  # from where the extended edges meet, without the rolled corner between them
        rest = [v[(k + 1 + i) % n] for i in range((lead.back - k) % n)]
        return _opened([[x, y, 0.0], *rest, [x, y, 0.0]])
    following = v[(k + 1) % n]
    if math.dist(v[k][:2], lead.at) <= SAME_PLACE:
        return _opened([*v[k:], *v[:k], [*v[k][:2], 0.0]])
    if math.dist(following[:2], lead.at) <= SAME_PLACE:
        k = (k + 1) % n
        return _opened([*v[k:], *v[:k], [*v[k][:2], 0.0]])
    quarter = math.atan(v[k][2])  # a quarter of the sweep
    first, last = math.tan(quarter * (1 - lead.share)), math.tan(quarter * lead.share)
    rest = [v[(k + 1 + i) % n] for i in range(n - 1)]
    return _opened([[x, y, first], *rest, [*v[k][:2], last], [x, y, 0.0]])


def _opened(rows: Vertices) -> Path:
    """Return the open path through rows whose steps are known to have a length."""
    return Path.trusted(np.array(rows), False)


def contour_length(path: Path) -> float:
    """Return the length of a path, quickly for short ones."""
    v = path.vertices.tolist()
    return math.fsum(_length(a, b) for a, b in pairwise(v))


def _at_most_half(path: Path, length: float) -> float:
    """Return `length`, or half the path's if that is less."""
    gone = 0.0
    for a, b in pairwise(path.vertices[:8].tolist()):  # a look at its beginning nearly always tells
        gone += _length(a, b)
    return length if gone > 2 * length + SAME_PLACE else min(length, contour_length(path) / 2)


def beginning(path: Path, length: float) -> Path | None:
    """Return the first `length` mm of an open path, None if that is nothing."""
    if length <= SAME_PLACE:
        return None
    v = path.vertices.tolist()
    out: Vertices = []
    left = length
    for a, b in pairwise(v):
        size = _length(a, b)
        if size >= left - SAME_PLACE:
            share = min(left / size, 1.0)
            out.append([*a[:2], math.tan(math.atan(a[2]) * share)])
            end = b[:2] if share > 1 - 1e-12 else _point(a, b, share)
            return _opened([*out, [*end, 0.0]])
        out.append(a)
        left -= size
    return path


def _length(a: Sequence[float], b: Sequence[float]) -> float:
    chord = math.hypot(b[0] - a[0], b[1] - a[1])
    if not a[2]:
        return chord
    half = 2 * math.atan(abs(a[2]))
    return chord * half / math.sin(half)


def _point(a: Sequence[float], b: Sequence[float], share: float) -> list[float]:
    """Return the point at a share of the segment from `a` to `b`."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    if not a[2]:
        return [a[0] + dx * share, a[1] + dy * share]
    half = 2 * math.atan(a[2])
    # The chord to the point is turned from the whole chord, and shorter by the ratio of the sines.
    turn, ratio = half * (share - 1), math.sin(half * share) / math.sin(half)
    c, s = math.cos(turn) * ratio, math.sin(turn) * ratio
    return [a[0] + dx * c - dy * s, a[1] + dx * s + dy * c]


def _end_direction(path: Path) -> tuple[float, float]:
    a, b = path.vertices[-2].tolist(), path.vertices[-1].tolist()
    angle = math.atan2(b[1] - a[1], b[0] - a[0]) + 2 * math.atan(a[2])
    return math.cos(angle), math.sin(angle)


# --- lead-outs ------------------------------------------------------------------------------------------------


def _lead_outs(
    sheet: KerfSheet, leads: Leads, made: Sequence[_Begun | None], ground: Ground, watch: Watch
) -> dict[int, int]:
    """Return for each contour that has room for a lead-out which of those tried it gets."""
    rows: list[tuple[float, ...]] = []
    first, waiting = [0], []
    for i, begun in enumerate(made):
        if begun is not None and begun.tries:
            waiting.append(i)
            kerf, number = sheet.loops[i].kerf, sheet.loops[i].feature.number
            rows += [(*row, number, kerf) for row in begun.tries]
        first.append(len(rows))
    if not rows:
        return {}
    table = np.array(rows)
    runs = _runs(table)
    who = np.array(waiting, dtype=np.int64)
    found = in_rounds(
        runs,
        np.array(first),
        who,
        ground,
        leads.chosen,
        leads.chosen.clear,
        pierced=False,
        relaxed=True,
        watch=watch,
    )
    return {i: row - first[i] for i, row in found.items()}


def _runs(table: Floats) -> Runs:
    return Runs(
        table[:, 0:2], table[:, 2:4], table[:, 4], table[:, 5].astype(np.int64), table[:, 6], np.zeros(len(table))
    )


def _tries(contour: Path, ending: Ending, lead: ChosenLead, side: int) -> list[tuple[float, ...]]:
    """Return lead-outs as rows: far end, near end, bulge from far to near; the best first."""
    out: list[tuple[float, ...]] = []
    if lead.back is not None:
        dx, dy = _end_direction(contour)
        x, y = lead.at
        for share in (*SHORTENED, 0.0):
            size = ending.over_burn + share * ending.lead_out
            if size > SAME_PLACE:
                out.append((x + size * dx, y + size * dy, x, y, 0.0))
        return out
    burn = beginning(contour, _at_most_half(contour, ending.over_burn))
    x, y = lead.at if burn is None else burn.end.tolist()
    dx, dy = _end_direction(contour if burn is None else burn)
    for share in SHORTENED:
        for radius in (ending.radius * r for r in ROUND_OUT):
            angle = min(share * ending.lead_out / radius, math.pi / 2)
            ahead, aside = radius * math.sin(angle), side * radius * (1 - math.cos(angle))
            far = (x + ahead * dx - aside * dy, y + ahead * dy + aside * dx)
            out.append((*far, x, y, -side * math.tan(angle / 4)))
    return out
