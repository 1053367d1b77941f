"""Small holes: how wide one is, whether it is cut, cut roughly or left to the drill, how fast.

The width of a hole is the diameter of the largest circle inside: that of a round one, the width of a slot. Three
bands (common practice, no source, but for the job-shop guideline of 1.5 t as the smallest hole): at or over the
chart's smallest hole it is cut; under the plate's thickness or 2.5 kerfs it is drilled whatever is asked; between,
it is listed for the drill or cut roughly, as the shop chooses. A slot is cut from 2.5 kerfs up: it is not its width
that the arc has to turn in, but its ends.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from enum import Enum, auto

from kerfproof.errors import Finding, Severity
from kerfproof.geom.inscribed_circle import is_long
from kerfproof.geom.path import Bundle
from kerfproof.job.job import SmallHoles
from kerfproof.parts.model.part import Feature, FeatureKind, inside_of
from kerfproof.parts.model.round_hole import hole_widths
from kerfproof.sentence import Phrase, joined_phrases, mm, named, option, say
from kerfproof.shop.chart import Process

SLACK = 1e-6
"""A hole this much (mm) under a limit still meets it: drawings are rounded."""
MOST_SIZES = 8
"""So many sizes of holes to drill are told in one sentence; all of them stand in picture, sheet and report."""


class HoleBand(Enum):
    """What a hole of some width is good for."""

    CUT = auto()
    ROUGH = auto()
    DRILL = auto()


def hole_band(width: float, area: float, process: Process) -> HoleBand:
    """Return what a hole of this width and area (mm, mm2) is good for in this plate."""
    if width < process.least_width - SLACK:
        return HoleBand.DRILL
    if width >= process.min_hole - SLACK or is_long(width, area):
        return HoleBand.CUT
    return HoleBand.ROUGH


def is_drilled(band: HoleBand, choice: SmallHoles) -> bool:
    """Return whether the shop's choice leaves a hole of this band out, for the drill."""
    return band is HoleBand.DRILL or (band is HoleBand.ROUGH and choice is SmallHoles.DRILL)


def is_slow(feature: Feature, width: float, process: Process) -> bool:
    """Return whether `feature` is a hole that is cut at one lower feed."""
    return feature.kind is FeatureKind.HOLE and width < process.slow_hole_below - SLACK


def slow_feed(width: float, kerf: float, process: Process, acceleration_mm_s2: float) -> float:
    """Return the one feed (mm/min) of a slowed hole of this diameter or width, lead included."""
    return process.hole_feed(max(width - kerf, 0.1) / 2, acceleration_mm_s2)


def too_small(feature: Feature, width: float, area: float, process: Process) -> Finding:
    """Return what to say where the shop wants no hole left out."""
    x, y = middle(feature)
    long = is_long(width, area)
    least = process.least_width if long else process.min_hole
    what = say(
        "{label} is {narrow}under {least}, the smallest {thing} for {thickness} plate, and is not cut",
        label=named(feature.label),
        narrow="" if feature.diameter is not None else say("{width} wide, ", width=mm(width)),
        least=mm(least, "g"),
        thing="slot" if long else "hole",
        thickness=mm(process.thickness, "g"),
    )
    advice = say(
        "{small_holes} drill leaves it out for the drill, {small_holes} rough cuts it roughly; or draw it larger",
        small_holes=option("small-holes"),
    )
    handle = "/".join(feature.contour.handles[:1])
    return Finding("hole-too-small", Severity.ERROR, what, advice, x=x, y=y, handle=handle)


def holes_to_drill(features: Sequence[Feature], widths: Sequence[float]) -> tuple[Finding, ...]:
    """Return the one warning that holes are left out for the drill, with their sizes; nothing without any."""
    if not features:
        return ()
    sizes = Counter((f.diameter is not None, round(width, 2)) for f, width in zip(features, widths, strict=True))
    told: list[Phrase] = [
        say("{n} of {size}" if is_round else "{n} of {size} width", n=n, size=mm(size))
        for (is_round, size), n in sorted(sizes.items(), key=lambda item: (not item[0][0], -item[0][1]))
    ]
    if len(told) > MOST_SIZES:
        told = [*told[: MOST_SIZES - 1], f"{len(told) - MOST_SIZES + 1} more sizes"]
    one = len(features) == 1
    x, y = middle(features[0])
    what = say(
        "{many} to drill, left out: {sizes}",
        many="1 hole" if one else f"{len(features)} holes",
        sizes=joined_phrases(told),
    )
    advice: Phrase = "drill it" if one else "drill them"
    if any(not is_round for is_round, _ in sizes):
        advice = say("{drill}; drill and file what is not round, or draw a narrow slot as one line", drill=advice)
    handle = "/".join(features[0].contour.handles[:1])
    return (Finding("hole-to-drill", Severity.WARNING, what, advice, x=x, y=y, handle=handle),)


def middle(feature: Feature) -> tuple[float, float]:
    """Return the middle of a contour's box."""
    x0, y0, x1, y1 = feature.contour.path.bounds()
    return (x0 + x1) / 2, (y0 + y1) / 2


def may_be_drilled(features: Sequence[Feature], process: Process) -> tuple[list[Feature], list[float]]:
    """Return those holes among some features that a job may leave to the drill, with their widths (mm).

    What lies in one of them is not told: it goes with it (`inside_of`).
    """
    holes = [f for f in features if f.kind is FeatureKind.HOLE]
    widths = hole_widths(Bundle.of([f.contour.path for f in holes])).tolist()
    small = [
        (f, width)
        for f, width in zip(holes, widths, strict=True)
        if hole_band(width, f.contour.path.area(), process) is not HoleBand.CUT
    ]
    scrap = {f.number for f in inside_of(holes, [f.number for f, _ in small])}
    small = [(f, width) for f, width in small if f.number not in scrap]
    return [f for f, _ in small], [width for _, width in small]
