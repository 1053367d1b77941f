"""Small holes: how large one is, whether it is worth cutting, how fast."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle, Floats
from kerfproof.geom.region import path_areas
from kerfproof.job.job import SmallHoles
from kerfproof.parts.model.part import Feature, FeatureKind
from kerfproof.sentence import Phrase, mm, named, option, say
from kerfproof.shop.chart import Process

SLACK = 1e-6
"""A hole this much (mm) under a limit still meets it: drawings are rounded."""


@dataclass(frozen=True, slots=True, eq=False)
class Measures:
    """Signed area (mm2, counter-clockwise positive) and length (mm) of many paths, each (n,)."""

    area: Floats
    length: Floats

    @property
    def width(self) -> Floats:
        """Four times area over length (n,): a circle's diameter, a square's side, at most twice a slot's width."""
        return 4.0 * np.abs(self.area) / self.length


def measure(paths: Bundle) -> Measures:
    """Return area and length of each path; an open one is closed by its chord for the area."""
    s = paths.segments()
    return Measures(path_areas(paths), np.bincount(s.owner, s.lengths(), len(paths)).astype(np.float64))


def is_slow(feature: Feature, width: float, process: Process) -> bool:
    """Return whether `feature` is a hole that is cut at one lower feed."""
    return feature.kind is FeatureKind.HOLE and width < process.slow_hole_below - SLACK


def slow_feed(width: float, kerf: float, process: Process, acceleration_mm_s2: float) -> float:
    """Return the one feed (mm/min) of a slowed hole of this diameter or width, lead included."""
    return process.hole_feed(max(width - kerf, 0.1) / 2, acceleration_mm_s2)


def small_hole_finding(feature: Feature, width: float, process: Process, choice: SmallHoles) -> Finding | None:
    """Return what to say about a hole under the smallest of the process, None about any other feature.

    Refused: an error. To be drilled (round ones only): a warning. Of those that are cut all the same, as are slots that
    no drill makes, the proof tells.
    """
    if feature.kind is not FeatureKind.HOLE or width >= process.min_hole - SLACK:
        return None
    x0, y0, x1, y1 = feature.contour.path.bounds()
    round_one = feature.diameter is not None
    narrow = "" if round_one else say("{width} wide, ", width=mm(width))
    least = say(
        "under {min_hole}, the smallest hole for {thickness} plate",
        min_hole=mm(process.min_hole, "g"),
        thickness=mm(process.thickness, "g"),
    )
    if choice is SmallHoles.CUT or (choice is SmallHoles.DRILL and not round_one):
        return None
    advice: Phrase = "drill it"
    if choice is SmallHoles.DRILL:
        rule, severity, ending = "hole-to-drill", Severity.WARNING, "is left out"
    else:
        rule, severity, ending = "hole-too-small", Severity.ERROR, "is not cut"
        advice = say(
            "{small_holes} drill leaves it out, {small_holes} cut cuts it roughly; or draw it larger",
            small_holes=option("small-holes"),
        )
    return Finding(
        rule,
        severity,
        say(
            "{label} is {narrow}{least}, and {ending}",
            label=named(feature.label),
            narrow=narrow,
            least=least,
            ending=ending,
        ),
        advice,
        x=(x0 + x1) / 2,
        y=(y0 + y1) / 2,
        handle="/".join(feature.contour.handles[:1]),
    )


def left_to_drill(feature: Feature, process: Process) -> Finding | None:
    """Return what is said of a hole that a job leaves to the drill, None for any feature that no job leaves out."""
    width = feature.diameter
    if width is None:
        return None
    found = small_hole_finding(feature, width, process, SmallHoles.DRILL)
    return found if found is not None and found.severity is Severity.WARNING else None
