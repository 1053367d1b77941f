"""A cut chart from few points: the feed over the thickness by the balance of energy.

The arc melts a slot: P eta = t w v e, with thickness t, kerf w, feed v and the heat e that melts a volume. At one arc
voltage v t w / I is then one number for a material. Measured rows show that it drifts with thickness, because plate
carries heat away and thin sheet is cut with power to spare; the drift is fitted as a power of t. All of it is an
estimate: it says by how much the rows themselves scatter about it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.errors import KerfproofError
from kerfproof.sentence import mm, say
from kerfproof.shop.chart import PierceRating, Process
from kerfproof.units import format_length

BEYOND = 1.25
"""How far past the thinnest and thickest row the law is trusted, as a factor."""
FEW_SPREAD = 0.3
"""Spread where there are too few rows to see one: starting values are +-30 % (common practice, from memory)."""
LEAST_SPREAD = 0.05
"""No fit of cut charts is better than this."""


@dataclass(frozen=True, slots=True)
class FeedLaw:
    """ln(v t w / I) = level + drift ln t, fitted to rows; `spread` is their relative scatter about it (1 sigma).

    v mm/min, t and w mm, I A. `thinnest` and `thickest` bound the rows, `count` is how many there are.
    """

    level: float
    drift: float
    spread: float
    thinnest: float
    thickest: float
    count: int

    def feed(self, thickness: float, kerf: float, amps: float) -> float:
        """Return the feed in mm/min that the law gives."""
        return amps / (thickness * kerf) * math.exp(self.level + self.drift * math.log(thickness))

    def reaches(self, thickness: float) -> bool:
        """Return whether `thickness` lies between the rows or slightly beyond."""
        return self.thinnest / BEYOND - 1e-9 <= thickness <= self.thickest * BEYOND + 1e-9


def feed_law(rows: Sequence[Process]) -> FeedLaw:
    """Return the law through rows of one material.

    One row fixes the level, two the drift; from three on it is a least-squares fit.

    Raises
    ------
    ValueError
        Without rows.
    """
    if not rows:
        raise ValueError("a law needs at least one row")
    t = np.array([row.thickness for row in rows])
    y = np.log([row.feed_mm_min * row.thickness * row.kerf / row.amps for row in rows])
    different = len({round(v, 6) for v in t.tolist()})
    if different == 1:
        level, drift = float(y.mean()), 0.0
    else:
        drift, level = (float(v) for v in np.polyfit(np.log(t), y, 1))
    spare = len(rows) - 2
    spread = FEW_SPREAD
    if different > 2 and spare > 0:
        off = y - level - drift * np.log(t)
        spread = max(LEAST_SPREAD, float(np.sqrt((off**2).sum() / spare)))
    return FeedLaw(level, drift, spread, float(t.min()), float(t.max()), len(rows))


def feed_between(under: Process, over: Process, thickness: float, kerf: float, amps: float) -> float:
    """Return the feed between two rows by the law through both: it falls faster than a straight line at first."""
    return feed_law([under, over]).feed(thickness, kerf, amps)


def pierce_limit(rows: Sequence[Process], amps: float) -> float | None:
    """Return the thickest plate that rows up to this current pierce, None if no row shows a limit.

    The limit shows where a row is rated less than "yes".
    """
    mine = [row for row in rows if row.amps <= amps + 0.05]
    if all(row.pierce is PierceRating.YES for row in mine):
        return None
    return max((row.thickness for row in mine if row.pierce is not PierceRating.NO), default=0.0)


def estimate(rows: Sequence[Process], thickness: float, amps: float | None, where: str) -> Process:
    """Return a row for a thickness between measured rows of one material or slightly beyond, marked as estimate.

    `rows` are those of the material that the machine can cut, of which only measured ones count; `amps` None: the
    current of the nearest thicker row, else of the thickest. `where` names the chart.

    Raises
    ------
    KerfproofError
        If the thickness lies too far from the rows, or beyond what the torch pierces.
    """
    rows = [row for row in rows if not row.estimated]
    if not rows:
        raise KerfproofError("there is no measured row to estimate from", where=where)
    current = _current(rows, thickness) if amps is None else amps
    same = [row for row in rows if abs(row.amps - current) <= 0.05]
    used = same if len({round(r.thickness, 6) for r in same}) >= 2 else list(rows)
    law = feed_law(used)
    if not law.reaches(thickness):
        raise KerfproofError(
            say(
                "{thickness} is too far from the rows ({thinnest} to {thickest} at {current:g} A)",
                thickness=mm(thickness, "~3"),
                thinnest=mm(law.thinnest, "~3"),
                thickest=mm(law.thickest, "~3"),
                current=current,
            ),
            where=where,
            advice="measure a row nearer to it",
        )
    limit = pierce_limit(rows, current)
    if limit is not None and thickness > limit + 1e-9:
        raise KerfproofError(
            say(
                "{thickness} is beyond what {current:g} A pierces ({limit})",
                thickness=mm(thickness, "~3"),
                current=current,
                limit=mm(limit, "~3"),
            ),
            where=where,
            advice="use more current, or start from the edge with a measured row",
        )
    return _row(used, law, thickness, current, limit)


def _current(rows: Sequence[Process], thickness: float) -> float:
    thicker = [row for row in rows if row.thickness >= thickness - 1e-9]
    nearest = (
        min(thicker, key=lambda r: (r.thickness, -r.amps))
        if thicker
        else max(rows, key=lambda r: (r.thickness, r.amps))
    )
    return nearest.amps


def _row(rows: Sequence[Process], law: FeedLaw, thickness: float, amps: float, limit: float | None) -> Process:
    """Return the row: the feed by the law, sizes along a straight line, ratings and heights of the nearest row."""
    near = min(rows, key=lambda r: (round(abs(r.thickness - thickness), 6), -r.thickness))
    kerf = round(_line(rows, "kerf", thickness), 3)
    outside = not law.thinnest - 1e-9 <= thickness <= law.thickest + 1e-9
    pierce = near.pierce
    if outside and thickness > law.thickest and limit is None:
        pierce = PierceRating.LIMIT  # nobody has tried it
    said = sorted({format_length(row.thickness) for row in rows}, key=lambda s: float(s.split()[0]))
    many = f"{len(said)} thicknesses from {said[0]} to {said[-1]}" if len(said) > 3 else " and ".join(said)
    text = f"estimated by energy balance from {many}: feed +-{law.spread:.0%}" + (
        ", beyond the rows" if outside else ""
    )
    # Thinner than all rows the table sets the limit, not the arc.
    fastest = max(row.feed_mm_min for row in rows) if thickness < law.thinnest else math.inf
    return replace(
        near,
        thickness=float(thickness),
        amps=float(amps),
        feed_mm_min=float(round(min(law.feed(thickness, kerf, amps), fastest))),
        kerf=kerf,
        pierce_delay_s=round(max(0.0, _line(rows, "pierce_delay_s", thickness)), 2),
        pierce=pierce,
        min_hole=round(max(_line(rows, "min_hole", thickness), 1.5 * thickness, 4 * kerf), 2),
        lead_radius=round(max(3.0, _line(rows, "lead_radius", thickness)), 2),
        lead_straight=round(max(4.0, _line(rows, "lead_straight", thickness)), 2),
        starts_per_tip=int(max(0.0, _line(rows, "starts_per_tip", thickness))),
        hole_kerf=None,
        hole_over_burn=None,
        source=text,
        estimated=True,
    )


def _line(rows: Sequence[Process], name: str, thickness: float) -> float:
    """Return a value on the straight line between the neighbours, beyond the rows on that of the outermost two."""
    by_thickness: dict[float, list[float]] = {}
    for row in rows:
        by_thickness.setdefault(round(row.thickness, 6), []).append(float(getattr(row, name)))
    t = np.array(sorted(by_thickness))
    v = np.array([float(np.mean(by_thickness[k])) for k in t.tolist()])
    if len(t) == 1:
        return float(v[0])
    k = int(np.clip(np.searchsorted(t, thickness), 1, len(t) - 1))
    return float(v[k - 1] + (v[k] - v[k - 1]) * (thickness - t[k - 1]) / (t[k] - t[k - 1]))
