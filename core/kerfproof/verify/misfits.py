"""What the comparison with the drawing tells, kind by kind."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Bools, Floats, Segments
from kerfproof.verify.edges import Edges
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.kept import Kept
from kerfproof.verify.limits import DEVIATION_ERROR, DEVIATION_SEEN
from kerfproof.verify.match import Match
from kerfproof.verify.measure import Measured, most_left, surplus_rings, worst_of
from kerfproof.verify.rule import Hit, as_findings
from kerfproof.verify.sweep import ON_SLIT, Sweep


def misfits(
    evidence: Evidence, kept: Kept, swept: Sweep, edges: Edges, found: Match, measured: Measured
) -> tuple[Finding, ...]:
    """Return what is wrong, each kind as one rule."""
    lead = evidence.path.leads()
    kinds = (
        ("feature-not-cut", Severity.ERROR, _missing(kept, found)),
        ("wrong-side", Severity.ERROR, _wrong_side(evidence, kept, found)),
        ("surplus-cut", Severity.ERROR, _surplus(evidence, swept, found)),
        ("not-free", Severity.ERROR, _not_free(kept, found)),
        ("gouge", Severity.ERROR, _gouges(evidence, swept, found, measured, lead)),
        ("metal-left", Severity.ERROR, _leftovers(evidence, edges, found, measured)),
        ("corner-not-reached", Severity.WARNING, _unreached(evidence, kept, measured)),
        ("slit-not-cut", Severity.ERROR, _slits(evidence)),
    )
    return tuple(finding for name, severity, hits in kinds for finding in as_findings(name, severity, hits))


def _name(kept: Kept, contour: int) -> str:
    """Return what to call a contour: its kind, and its diameter where it is round."""
    box = kept.contours[contour].path.bounds()
    kind = "outline" if kept.depth[contour] % 2 == 0 else "hole"
    return f"{kind} of {box[2] - box[0]:.4g} x {box[3] - box[1]:.4g} mm"


def _place(kept: Kept, contour: int) -> tuple[float, float]:
    x, y = kept.contours[contour].path.start
    return float(x), float(y)


def _missing(kept: Kept, found: Match) -> Iterator[Hit]:
    for contour in np.flatnonzero(~found.near).tolist():
        yield Hit(
            f"the {_name(kept, contour)} is not cut",
            "cut it, or leave it out of the job on purpose",
            at=_place(kept, contour),
        )


def _wrong_side(evidence: Evidence, kept: Kept, found: Match) -> Iterator[Hit]:
    for contour in np.flatnonzero(found.wrong >= 0).tolist():
        run = evidence.runs[int(evidence.path.ring_run[found.wrong[contour]])]
        yield Hit(
            f"the {_name(kept, contour)} is cut on the side to keep: it comes out a whole kerf wrong",
            "put the path on the scrap side",
            run.light_line,
            run.start,
        )


def _surplus(evidence: Evidence, swept: Sweep, found: Match) -> Iterator[Hit]:
    """Tell closed cuts inside kept metal, and closed cuts in scrap, that no contour asks for."""
    path = evidence.path
    inside = surplus_rings(path, swept, found)
    for ring in inside.tolist():
        run = evidence.runs[int(path.ring_run[ring])]
        yield Hit("a closed cut inside metal to keep that is not drawn", "take it out", run.light_line, run.start)
    others = np.setdiff1d(np.arange(len(path.rings)), np.concatenate([inside, found.ring, found.wrong]))
    for ring in others.tolist():
        stretch = slice(int(path.ring_first[ring]), int(path.ring_stop[ring]))
        if swept.depth[stretch].max() <= 0 and not swept.on_slit[stretch].any():
            run = evidence.runs[int(path.ring_run[ring])]
            advice = "nothing to do if it is meant"
            yield Hit("a closed cut in scrap that is not drawn", advice, run.light_line, run.start, Severity.NOTE)


def _not_free(kept: Kept, found: Match) -> Iterator[Hit]:
    for contour in np.flatnonzero(found.near & ~found.free & (found.wrong < 0)).tolist():
        piece = "part" if kept.depth[contour] % 2 == 0 else "slug"
        yield Hit(
            f"the {_name(kept, contour)} is cut in places, but no closed cut lets the {piece} go",
            "close the cut, or expect to finish it by hand",
            at=_place(kept, contour),
        )


def _gouges(evidence: Evidence, swept: Sweep, found: Match, measured: Measured, lead: Bools) -> Iterator[Hit]:
    path = evidence.path
    depth = np.where(lead, -np.inf, measured.depth)
    worst, where = worst_of(depth, swept.contour, len(found.ring))
    for contour in np.flatnonzero((worst > DEVIATION_SEEN) & (found.wrong < 0)).tolist():
        segment = where[contour]
        x, y = _deepest(evidence, swept, segment)
        size = float(worst[contour])
        yield Hit(
            f"the kerf reaches {_size(size)} into metal to keep",
            "move the path away from the drawn edge, or check the kerf it was made for",
            evidence.line(int(path.segments.index[segment])),
            (x, y),
            Severity.ERROR if size > DEVIATION_ERROR else Severity.WARNING,
        )


def _deepest(evidence: Evidence, swept: Sweep, segment: int) -> tuple[float, float]:
    """Return the place of a torch segment that comes nearest to the drawn edges, or lies deepest inside them."""
    kept = evidence.kept
    points = evidence.path.segments.points(np.full(65, segment), np.linspace(0.0, 1.0, 65))
    if kept is None:
        raise ValueError("without a drawing nothing is deep")
    away, _ = nearest(points, kept.edges, np.inf, kept.index)
    x, y = points[int((away if swept.within[segment] else -away).argmax())]
    return float(x), float(y)


def _leftovers(evidence: Evidence, edges: Edges, found: Match, measured: Measured) -> Iterator[Hit]:
    told = found.near & (found.wrong < 0) & (measured.left > DEVIATION_SEEN + measured.fit)
    for contour in np.flatnonzero(told).tolist():
        sample = measured.left_at[contour]
        size = float(measured.left[contour])
        segment = int(edges.torch[sample])
        x, y = edges.points[sample]
        how_much = "uncut metal" if size >= most_left(evidence.path) else f"{_size(size)} of metal"
        yield Hit(
            f"{how_much} is left on the drawn edge",
            "move the path to the drawn edge, or check the kerf it was made for",
            evidence.line(int(evidence.path.segments.index[segment])) if segment >= 0 else None,
            (float(x), float(y)),
            Severity.ERROR if size > DEVIATION_ERROR else Severity.WARNING,
        )


def _unreached(evidence: Evidence, kept: Kept, measured: Measured) -> Iterator[Hit]:
    for contour in np.flatnonzero(measured.unreached > 4 * evidence.half_kerf).tolist():
        yield Hit(
            f"a notch or corner of the {_name(kept, contour)} is too narrow for the kerf: "
            f"{_size(float(measured.unreached[contour]))} stays uncut",
            "saw or file it, or widen it in the drawing",
            at=_place(kept, contour),
        )


def _slits(evidence: Evidence) -> Iterator[Hit]:
    """Tell slits that the torch does not follow; their last kerf at both ends is not judged."""
    slits = evidence.slits
    if slits is None:
        return
    torch = evidence.path.segments
    for number in range(int(slits.owner.max()) + 1):
        points = _along(slits.take(slits.owner == number), 2 * evidence.half_kerf)
        away, _ = nearest(points, torch, ON_SLIT)
        missed = np.flatnonzero(~np.isfinite(away))
        if len(missed):
            x, y = points[missed[0]]
            yield Hit("a slit is not cut here", "cut it on its line", at=(float(x), float(y)))


def _along(s: Segments, margin: float) -> Floats:
    """Return points every half millimetre along one open path, `margin` left out at both ends."""
    lengths = s.lengths()
    total = float(lengths.sum())
    places = np.linspace(min(margin, total / 2), max(total - margin, total / 2), max(2, int(total / 0.5)))
    ends = np.cumsum(lengths)
    which = np.minimum(np.searchsorted(ends, places), len(s) - 1)
    share = np.clip((places - (ends - lengths)[which]) / lengths[which], 0.0, 1.0)
    return s.points(which, share)


def _size(mm: float) -> str:
    return f"{mm * 1000:.0f} um" if mm < 0.1 else f"{mm:.2f} mm"
