"""Least squares with an eye for the one reading that does not belong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.path import Bools, Floats

SHARP = 3.5
"""A residual beyond so many robust standard deviations does not belong (Iglewicz and Hoaglin 1993)."""
NORMAL = 1.4826
"""Median absolute deviation to standard deviation of a normal distribution."""


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Parameters (k,) of a least-squares fit, their standard errors, and the residuals (n,) of all readings.

    `used` (n,) tells which readings belong; `std` is the standard deviation of theirs (0 where none are to spare).
    """

    values: Floats
    errors: Floats
    residuals: Floats
    used: Bools
    std: float


def least_squares(model: Floats, wanted: Floats, least: float) -> Fit:
    """Return the fit of ``model @ values = wanted`` without the readings that do not belong.

    A reading is left out, the worst first, if its residual against a fit of the others is beyond `SHARP` robust
    deviations and beyond `least`; at most a third of the readings, and none where fewer than 4 are there.
    """
    used = np.ones(len(wanted), dtype=np.bool_)
    for _ in range(len(wanted) // 3 if len(wanted) >= 4 else 0):
        worst = _stranger(model, wanted, used, least)
        if worst is None:
            break
        used[worst] = False
    values, *_ = np.linalg.lstsq(model[used], wanted[used], rcond=None)
    residuals = wanted - model @ values
    spare = int(used.sum()) - model.shape[1]
    std = float(np.sqrt((residuals[used] ** 2).sum() / spare)) if spare > 0 else 0.0
    inverse = np.linalg.pinv(model[used].T @ model[used])
    errors = np.asarray(std * np.sqrt(np.diag(inverse)), dtype=np.float64)
    return Fit(np.asarray(values, dtype=np.float64), errors, residuals, used, std)


def _stranger(model: Floats, wanted: Floats, used: Bools, least: float) -> int | None:
    """Return the reading that lies farthest from a fit of the others, None if all belong."""
    worst, farthest = None, 0.0
    for k in np.flatnonzero(used).tolist():
        others = used.copy()
        others[k] = False
        if int(others.sum()) <= model.shape[1]:
            return None
        values, *_ = np.linalg.lstsq(model[others], wanted[others], rcond=None)
        residuals = wanted[others] - model[others] @ values
        count, free = model[others].shape
        off_by_fit = float(model[k] @ np.linalg.pinv(model[others].T @ model[others]) @ model[k])
        spread = np.sqrt(count / (count - free) * (1.0 + off_by_fit))
        scale = NORMAL * float(np.median(np.abs(residuals - np.median(residuals)))) * spread
        off = abs(float(wanted[k] - model[k] @ values))
        if off > max(least, SHARP * scale) and off > farthest + 1e-9:
            worst, farthest = k, off
    return worst


def mean_of(values: Sequence[float], least: float) -> Fit:
    """Return the fit of one constant."""
    wanted = np.asarray(values, dtype=np.float64)
    return least_squares(np.ones((len(wanted), 1)), wanted, least)
