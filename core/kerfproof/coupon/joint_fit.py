"""Kerf, scale and slack from all readings of one piece at once, each with an honest error.

A size that calipers meet is the torch's path, longer by the scale of the axes and shorter by their slack, less a kerf
on an outline and a kerf more on a hole::

    reading = path (1 + scale) - slack -+ kerf

Outlines and holes together tell slack from kerf; sizes far apart tell scale from both. What the readings at hand can't
tell is taken as nothing and adds to the error of the kerf what it usually amounts to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.coupon.least_squares import Fit, least_squares
from kerfproof.geom.path import Floats

READ = 0.05
"""How well an edge is read with calipers, mm, 1 sigma (common practice, no source): counts as `READ_FREE` readings."""
READ_FREE = 2
USUAL_SLACK = 0.1
"""Slack of an axis that nobody has measured, mm, 1 sigma (common practice, no source)."""
USUAL_SCALE = 0.003
"""The same of its scale, as a share."""
APART = 5.0
"""Sizes of one kind nearer than this (mm) tell nothing of the scale."""


@dataclass(frozen=True, slots=True)
class Told:
    """A value with its standard error; `seen` is False where the readings can't tell it from the kerf."""

    value: float
    error: float
    seen: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class JointFit:
    """What all readings come to: `kerf` and `slack` mm, `scale` as a share; `fit` has the residuals."""

    kerf: Told
    scale: Told
    slack: Told
    fit: Fit


def joint_fit(paths: Floats, readings: Floats, is_hole: Sequence[bool], least: float) -> JointFit:
    """Return the fit of readings (n,) of features whose torch paths measure `paths` (n,), mm.

    `least` is how far (mm) a reading lies off at least that is left out, see `least_squares`.
    """
    hole = np.asarray(is_hole, dtype=np.bool_)
    both = bool(hole.any() and not hole.all())
    spans = [np.ptp(paths[kind]) for kind in (hole, ~hole) if kind.any()]
    sizes = max(spans) >= APART
    columns = [np.where(hole, 1.0, -1.0)]
    if both:
        columns.append(np.full(len(paths), -1.0))
    if sizes:
        columns.append(paths)
    model = np.column_stack(columns)
    fit = least_squares(model, readings - paths, least)
    used = model[fit.used]
    spare = len(used) - model.shape[1]
    free = max(spare, 0) + READ_FREE
    variance = (max(spare, 0) * fit.std**2 + READ_FREE * READ**2) / free
    variance *= free / max(free - 2, 1)  # few readings tell their own scatter badly: the variance of Student's t
    errors = np.sqrt(variance * np.diag(np.linalg.pinv(used.T @ used)))
    told = [Told(float(v), float(error)) for v, error in zip(fit.values, errors, strict=True)]
    slack = told[1] if both else Told(0.0, USUAL_SLACK, seen=False)
    scale = told[-1] if sizes else Told(0.0, USUAL_SCALE, seen=False)
    unseen = [0.0 if slack.seen else slack.error, 0.0 if scale.seen else scale.error * float(np.mean(paths))]
    if both and not scale.seen:  # outlines and holes are off the same way
        unseen[1] = scale.error * abs(float(paths[~hole].mean() - paths[hole].mean())) / 2
    kerf = Told(told[0].value, float(np.linalg.norm([told[0].error, *unseen])))
    return JointFit(kerf, scale, slack, fit)
