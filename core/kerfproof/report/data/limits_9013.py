"""Limit deviations of thermal cuts by ISO 9013, and the class that the geometry of a proof alone would allow.

The numbers are those of ISO 9013:2017 as a metalwork shop reprints them, not taken from the standard itself. Class 2 is
given where the reprint is complete and its columns are sure: above 1 and up to 20 mm. That the limits hold for cuts of
at least 350 mm and parts up to 4 : 1 is from memory of the edition of 2002. So this is no claim of conformity.
"""

from __future__ import annotations

import bisect
from collections.abc import Sequence

import numpy as np

from kerfproof.geom.path import Bundle, Path
from kerfproof.geom.region import nesting
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.proof import Proof
from kerfproof.report.data.facts import counted
from kerfproof.shop.chart import Process

SIZES = (0.0, 3.0, 10.0, 35.0, 125.0, 315.0, 1000.0, 2000.0, 4000.0, 6000.0, 8000.0)
"""A column reaches from one of these sizes (included) to the next, mm."""
THICKNESSES = (0.0, 1.0, 3.15, 6.3, 10.0, 15.0, 20.0, 25.0, 32.0, 50.0, 100.0, 150.0)
"""A row reaches from above one of these thicknesses to the next (included), mm."""
Row = tuple[float | None, ...]
NONE = None
CLASS_1: tuple[Row, ...] = (
    (0.075, 0.10, 0.10, 0.20, 0.20, 0.30, 0.40, 0.65, 0.90, 1.60),
    (0.10, 0.15, 0.20, 0.25, 0.25, 0.35, 0.40, 0.65, 1.00, 1.75),
    (0.20, 0.20, 0.25, 0.25, 0.30, 0.40, 0.45, 0.70, 1.10, 1.90),
    (NONE, 0.25, 0.30, 0.30, 0.35, 0.45, 0.55, 0.75, 1.25, 2.20),
    (NONE, 0.30, 0.35, 0.40, 0.45, 0.55, 0.65, 0.85, 1.50, 2.50),
    (NONE, 0.40, 0.40, 0.45, 0.55, 0.75, 0.85, 1.20, 1.90, 2.80),
    (NONE, 0.45, 0.50, 0.60, 0.70, 0.90, 1.10, 1.60, 2.40, 3.25),
    (NONE, NONE, 0.70, 0.70, 0.80, 1.00, 1.60, 2.25, 3.00, 4.00),
    (NONE, NONE, 0.70, 0.70, 0.80, 1.00, 1.60, 2.50, 3.80, 5.00),
    (NONE, NONE, 1.30, 1.30, 1.40, 1.70, 2.20, 3.10, 4.40, 5.60),
    (NONE, NONE, 1.90, 2.00, 2.10, 2.30, 2.90, 3.80, 5.10, 6.30),
)
CLASS_2: tuple[Row, ...] = (
    (),
    (0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1.0, 1.1, 1.4, 1.4),
    (0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3, 1.3, 1.6, 1.6),
    (NONE, 1.0, 1.1, 1.3, 1.4, 1.5, 1.6, 1.7, 1.9, 2.0),
    (NONE, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2, 4.3, 4.5),
    (NONE, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0, 4.2, 4.3, 4.5),
)
LIMITS = (CLASS_1, CLASS_2)
THINNEST = 0.5
"""Plasma cuts are in the scope from this thickness on, mm."""
OPEN = "what machine and arc add is not in it; size limits of the 2017 edition from a reprint, no claim of conformity"
SHORTEST_CUT, LONGEST_SHAPE = 350.0, 4.0


def limit(tolerance_class: int, thickness: float, size: float) -> float | None:
    """Return how far a size may be off, plus or minus, mm; None where the tables give nothing."""
    rows = LIMITS[tolerance_class - 1]
    row = bisect.bisect_left(THICKNESSES, thickness) - 1
    column = bisect.bisect_right(SIZES, size) - 1
    if thickness < THINNEST or not 0 <= row < len(rows) or not 0 <= column < len(rows[row]):
        return None
    return rows[row][column]


def allowed_class(thickness: float, paths: Sequence[Path], deviation: float) -> int | None:
    """Return the best class for a part whose edges are off by at most `deviation`; None outside the tables.

    A size lies between two edges, so it can be off by twice that. Contours too short or too slender are left out.
    """
    sizes = [size for path in paths if _in_scope(path) for size in _size(path)]
    if not sizes:
        return None
    for tolerance_class in (1, 2):
        limits = [limit(tolerance_class, thickness, size) for size in sizes]
        if all(most is not None and 2 * deviation <= most for most in limits):
            return tolerance_class
    return None


def class_line(proof: Proof, drawn: Sequence[Contour], process: Process) -> str:
    """Return one line on the classes that the geometry of all parts would allow, empty without a comparison."""
    if not proof.parts or not drawn:
        return ""
    _, parent = nesting(Bundle.of([contour.path for contour in drawn]))
    classes = []
    for part in proof.parts:
        outline = part.contour % len(drawn)  # a drawing found several times stands once in `drawn`
        own = [drawn[k] for k in (outline, *np.flatnonzero(parent == outline).tolist())]
        off = max(part.worst_gouge, part.worst_leftover) + max(contour.fit_error for contour in own)
        paths = [contour.path for contour in own]
        classes.append(allowed_class(process.thickness, paths, off) if part.comes_free else None)
    told = [f"class {k} for {counted(classes.count(k), 'part')}" for k in (1, 2) if k in classes]
    if None in classes:
        told.append(f"none or out of scope for {counted(classes.count(None), 'part')}")
    return f"by the path alone {', '.join(told)}; {OPEN}"


def _in_scope(path: Path) -> bool:
    long, short = sorted(_size(path), reverse=True)
    return path.length() >= SHORTEST_CUT and long <= LONGEST_SHAPE * short


def _size(path: Path) -> tuple[float, float]:
    x0, y0, x1, y1 = path.bounds()
    return float(x1 - x0), float(y1 - y0)
