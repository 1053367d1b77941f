"""What a person does to leads, order and roles by hand, as changes of the job. No Qt."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from kerfproof.errors import KerfproofError
from kerfproof.job.job import ContourRole, Job, Pin, RoleRule, TabPlace, Turn
from kerfproof.sentence import Sentence, named, say

if TYPE_CHECKING:  # the window has these commands before anything is planned
    from kerfproof.api import LeadBench, LeadTry
    from kerfproof.cut_plan import Cut
    from kerfproof.outcome import Outcome
    from kerfproof.parts.model.part import Feature

NEAR = 0.5
"""A pin belongs to a contour within this (mm), as when it is matched in a plan."""


def feature_of(outcome: Outcome, number: int) -> Feature:
    """Return a feature by its number. Raises ValueError if there is none."""
    for feature in outcome.parts.features:
        if feature.number == number:
            return feature
    raise ValueError(f"no feature {number}")


def cut_of(outcome: Outcome, number: int) -> Cut | None:
    """Return the first cut of a feature, None if it is not cut."""
    cuts = outcome.plan.cuts if outcome.plan else ()
    return next((cut for cut in cuts if cut.feature == number), None)


def pin_index(job: Job, outcome: Outcome, number: int) -> int | None:
    """Return which pin of the job sits on a feature."""
    from kerfproof.geom.distance import point_distances
    from kerfproof.job.placing import turn_matrix

    feature = feature_of(outcome, number)
    s = feature.contour.path.segments()
    for k, pin in enumerate(job.pins):
        for copy in outcome.copies:
            use = outcome.job.drawings[copy.use]
            if use.name == pin.drawing and copy.first <= number < copy.first + copy.count:
                at = turn_matrix(use) @ np.array([pin.x, pin.y]) + np.array(copy.shift)
                away = point_distances(np.broadcast_to(at, (len(s), 2)), s, np.arange(len(s)))
                if float(away.min()) < NEAR:
                    return k
    return None


def pin_at(
    outcome: Outcome, number: int, tried: LeadTry, *, shape: str | None = None, size: float | None = None
) -> Pin:
    """Return the pin that puts a feature's lead where it was tried; shape and size only if the person chose them."""
    return _pin(outcome, number, tried.pinned, shape, size)


def _pin(
    outcome: Outcome, number: int, at: tuple[float, float], shape: str | None = None, size: float | None = None
) -> Pin:
    from kerfproof.job.placing import in_drawing

    place = in_drawing(outcome.job, outcome.copies, number, at)
    path = feature_of(outcome, number).contour.path
    return Pin(
        drawing=place.drawing,
        x=place.x,
        y=place.y,
        area=round(abs(path.area()), 3),
        length=round(path.length(), 4),
        shape=shape,
        size=None if size is None else round(size, 4),
    )


def with_pin(job: Job, outcome: Outcome, number: int, pin: Pin) -> Job:
    """Return the job with a feature's start pinned."""
    old = pin_index(job, outcome, number)
    pins = [*job.pins]
    if old is None:
        pins.append(pin)
    else:
        pins[old] = pin
    return replace(job, pins=tuple(pins))


def chosen_again(job: Job, outcome: Outcome, numbers: Iterable[int] | None = None) -> Job:
    """Return the job with the leads of features chosen by the usual rules again; with None all, and the order too."""
    if numbers is None:
        return replace(job, pins=(), sequence=())
    gone = {pin_index(job, outcome, number) for number in numbers}
    return replace(job, pins=tuple(pin for k, pin in enumerate(job.pins) if k not in gone))


def with_lead(
    job: Job, outcome: Outcome, bench: LeadBench, numbers: Iterable[int], shape: str | None, size: float | None
) -> tuple[Job, list[Sentence]]:
    """Return the job with a lead of this shape and size (mm; None: as large as fits) on features, and what was refused.

    The starts stay where they are. Shapes that do not suit a feature leave it as it is.
    """
    refused = []
    for number in numbers:
        cut = cut_of(outcome, number)
        if cut is None or not bench.knows(number):
            continue
        label = feature_of(outcome, number).label
        x, y = cut.contour.start
        try:
            tried = bench.judge(number, (float(x), float(y)), shape, size)
        except ValueError:
            refused.append(say("{label}: this shape does not suit it", label=named(label)))
            continue
        if not tried.fits:
            refused.append(say("{label}: {why}", label=named(label), why=tried.reasons[0]))
        job = with_pin(job, outcome, number, pin_at(outcome, number, tried, shape=shape, size=size))
    return job, refused


MOST_KEPT = 400
"""Sheets with more cuts are ordered anew when a lead is moved."""


def with_order_kept(job: Job, outcome: Outcome) -> Job:
    """Return the job with the order as it stands, so that moving a lead does not change the numbers of the cuts."""
    cuts = outcome.plan.cuts if outcome.plan else ()
    numbers = list(dict.fromkeys(cut.feature for cut in cuts))
    if job.sequence or len(numbers) > MOST_KEPT:
        return job
    return replace(job, sequence=turns_of(outcome, numbers))


def turns_of(outcome: Outcome, numbers: Sequence[int]) -> tuple[Turn, ...]:
    """Return features in an order by hand as the job keeps them."""
    from kerfproof.job.placing import in_drawing

    out = []
    for number in numbers:
        x, y = feature_of(outcome, number).contour.path.start
        out.append(in_drawing(outcome.job, outcome.copies, number, (float(x), float(y))))
    return tuple(out)


def with_role(job: Job, outcome: Outcome, numbers: Iterable[int], role: str) -> Job:
    """Return the job in which contours have a role: cut, mark, slit or ignore."""
    from kerfproof.job.placing import in_drawing

    places = []
    for number in numbers:
        x, y = feature_of(outcome, number).contour.path.segments().points(np.array([0]), np.array([0.5]))[0]
        place = in_drawing(outcome.job, outcome.copies, number, (float(x), float(y)))
        places.append((place.drawing, place.x, place.y))
    return with_roles_at(job, places, role)


def with_roles_at(job: Job, places: Iterable[tuple[str, float, float]], role: str) -> Job:
    """Return the job in which what lies at places of drawings (name, mm) has a role."""
    chosen = {(r.drawing, r.x, r.y): r for r in job.contour_roles}
    for drawing, x, y in places:
        chosen[drawing, x, y] = ContourRole(drawing=drawing, x=x, y=y, role=role)
    return replace(job, contour_roles=tuple(chosen.values()))


def swaps_ends(outcome: Outcome, number: int) -> bool:
    """Return whether a feature is a slit with two ends, at either of which it may begin."""
    cut = cut_of(outcome, number)
    return cut is not None and cut.kind == "slit" and not feature_of(outcome, number).contour.path.closed


def flipped(job: Job, outcome: Outcome, bench: LeadBench, numbers: Iterable[int]) -> Job:
    """Return the job in which contours are cut the other way round, so that their leads come from the other side.

    Slits begin at their other end.
    """
    for number in numbers:
        old, cut = pin_index(job, outcome, number), cut_of(outcome, number)
        if cut is None:
            continue
        if swaps_ends(outcome, number):
            path = feature_of(outcome, number).contour.path
            x, y = max(path.start, path.end, key=lambda end: math.dist(end, cut.contour.start))
            job = with_pin(job, outcome, number, _pin(outcome, number, (float(x), float(y))))
            continue
        if not bench.knows(number):
            continue
        if old is not None:
            pin = job.pins[old]
        else:
            x, y = cut.contour.start
            pin = pin_at(outcome, number, bench.judge(number, (float(x), float(y))))
        job = with_pin(job, outcome, number, replace(pin, reverse=not pin.reverse))
    return job


# --- tabs ---------------------------------------------------------------------------------------------------

TAB_REACH = 6.0
"""A tab is taken away by a click within this of it, mm."""


def with_tab(job: Job, outcome: Outcome, number: int, near: tuple[float, float]) -> Job:
    """Return the job with a tab on the outline of a feature where it passes nearest to a place of the plate.

    Raises
    ------
    KerfproofError
        If the feature is no outline: a hole's slug needs no tab.
    """
    from kerfproof.geom.distance import closest_points
    from kerfproof.job.placing import in_drawing
    from kerfproof.parts.model.part import FeatureKind

    feature = feature_of(outcome, number)
    if feature.kind is not FeatureKind.OUTLINE:
        what = say("{label} is no outline; tabs hold parts in the sheet", label=named(feature.label))
        raise KerfproofError(what)
    s = feature.contour.path.segments()
    there = closest_points(np.tile(np.array(near), (len(s), 1)), s, np.arange(len(s)))
    best = there[int(np.argmin(np.hypot(*(there - near).T)))]
    place = in_drawing(outcome.job, outcome.copies, number, (float(best[0]), float(best[1])))
    return replace(job, tab_places=(*job.tab_places, TabPlace(drawing=place.drawing, x=place.x, y=place.y)))


def without_tab(job: Job, outcome: Outcome, number: int, near: tuple[float, float]) -> Job:
    """Return the job without the tab by hand that lies nearest to a place; the very same if none is near."""
    from kerfproof.job.placing import in_drawing

    place = in_drawing(outcome.job, outcome.copies, number, near)
    away = [
        math.dist((tab.x, tab.y), (place.x, place.y)) if tab.drawing == place.drawing else math.inf
        for tab in job.tab_places
    ]
    if not away or min(away) > TAB_REACH + outcome.process.kerf:
        return job
    k = away.index(min(away))
    return replace(job, tab_places=(*job.tab_places[:k], *job.tab_places[k + 1 :]))


# --- roles by what things look like ---------------------------------------------------------------------------


def literal(name: str) -> str:
    """Return the shell pattern that matches this name alone."""
    return re.sub(r"([*?\[])", r"[\1]", name)


def rule_for(job: Job, kind: str, name: str) -> RoleRule | None:
    """Return the job's own rule for one ``layer``, ``color`` or ``linetype``, None if there is none."""
    wanted = _rule(kind, name, "")
    return next((rule for rule in job.roles if replace(rule, role="") in wanted), None)


def with_rule(job: Job, kind: str, name: str, role: str) -> Job:
    """Return the job with a rule for one layer, colour or line type before all others; an empty role takes it back."""
    wanted = _rule(kind, name, "")
    kept = tuple(rule for rule in job.roles if replace(rule, role="") not in wanted)
    new = (RoleRule(**{kind: _pattern(kind, name)}, role=role),) if role else ()
    return replace(job, roles=(*new, *kept))


def _pattern(kind: str, name: str) -> str:
    return name if kind == "color" else literal(name)


def _rule(kind: str, name: str, role: str) -> tuple[RoleRule, ...]:
    """Return the ways in which a rule for this name alone may be written."""
    return tuple(RoleRule(**{kind: text}, role=role) for text in dict.fromkeys((_pattern(kind, name), name)))


def without_drawing(job: Job, number: int) -> Job:
    """Return the job without a drawing and all that was chosen on it; the last one can't go."""
    if not 0 <= number < len(job.drawings) or len(job.drawings) == 1:
        return job
    name = job.drawings[number].name
    kept: dict[str, Any] = {"drawings": tuple(use for k, use in enumerate(job.drawings) if k != number)}
    for field in ("pins", "contour_roles", "sequence", "tab_places"):
        kept[field] = tuple(item for item in getattr(job, field) if item.drawing != name)
    return replace(job, **kept)
