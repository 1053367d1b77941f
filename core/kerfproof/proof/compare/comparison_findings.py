"""What the comparison with the drawing tells, kind by kind."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.along import stretches_near
from kerfproof.geom.distance import nearest
from kerfproof.geom.path import Bools, Ints
from kerfproof.proof.compare.copies import DrawnCopies
from kerfproof.proof.compare.edges import SampledEdges
from kerfproof.proof.compare.match import Match
from kerfproof.proof.compare.measure import Measured, most_left, surplus_rings, worst_of
from kerfproof.proof.compare.sizes import cut_as, differing, drawn_as, surplus_pieces
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.kept_metal import Kept
from kerfproof.proof.evidence.runs import ON_SLIT
from kerfproof.proof.evidence.sweep import Sweep
from kerfproof.proof.limits import DEVIATION_ERROR, DEVIATION_SEEN
from kerfproof.proof.rule import Hit, as_findings
from kerfproof.sentence import Measure, Phrase, mm, say, um

SURPLUS = "take it out, or give the drawing that it is cut from"
BESIDE = 0.2
"""A path this much beyond half a kerf from a drawn edge is taken to follow it, mm."""
NOTCH_TOLD = 0.3
"""A notch of which less stays uncut is lost in what air plasma holds in the shop, 0.3 to 0.5 mm (common practice, no
source): drawings hold small steps, and a round kerf fills the corner of each. It excuses nothing but what no round
kerf could reach; where the torch could come nearer, `DEVIATION_ERROR` holds as on any edge."""


def misfits(
    evidence: Evidence, kept: Kept, swept: Sweep, edges: SampledEdges, found: Match, measured: Measured
) -> tuple[Finding, ...]:
    """Return what is wrong, each kind as one rule."""
    lead, other = evidence.path.leads(), differing(kept, evidence.path, found)
    by_size = other < 0  # what is cut as another feature is told as that alone
    wrong = np.where(by_size, found.wrong, -1)
    by_edge = by_size & (wrong < 0)
    kinds = (
        ("feature-not-cut", Severity.ERROR, _missing(kept, by_size & ~found.near)),
        ("feature-differs", Severity.ERROR, _differing(evidence, kept, other)),
        ("wrong-side", Severity.ERROR, _wrong_side(evidence, kept, wrong)),
        (
            "surplus-cut",
            Severity.ERROR,
            [*_surplus(evidence, kept, swept, found, measured, other), *_open_surplus(evidence, kept, swept)],
        ),
        ("not-free", Severity.ERROR, _not_free(kept, by_edge & found.near & ~found.free)),
        ("gouge", Severity.ERROR, _gouges(evidence, kept, swept, found, measured, lead, by_edge)),
        ("metal-left", Severity.ERROR, _leftovers(evidence, kept, edges, found, measured, by_edge)),
        ("corner-not-reached", Severity.WARNING, _unreached(evidence, kept, edges, found.near & by_edge)),
        ("slit-not-cut", Severity.ERROR, _slits(evidence)),
    )
    return tuple(finding for name, severity, hits in kinds for finding in as_findings(name, severity, hits))


def _place(kept: Kept, contour: int) -> tuple[float, float]:
    x, y = kept.contours[contour].path.start
    return float(x), float(y)


def _missing(kept: Kept, missing: Bools) -> Iterator[Hit]:
    for contour in np.flatnonzero(missing).tolist():
        yield Hit(
            say("the {name} is not cut", name=drawn_as(kept, contour).name),
            "cut it, or leave it out of the job on purpose",
            at=_place(kept, contour),
        )


def _differing(evidence: Evidence, kept: Kept, other: Ints) -> Iterator[Hit]:
    for contour in np.flatnonzero(other >= 0).tolist():
        run = evidence.runs[int(evidence.path.ring_run[other[contour]])]
        drawn = drawn_as(kept, contour)
        message = cut_as(evidence.path, int(other[contour]), drawn.outline).beside(drawn)
        yield Hit(
            message or say("the {name} comes out in another shape", name=drawn.name),
            "cut it as drawn",
            run.light_line,
            run.start,
        )


def _wrong_side(evidence: Evidence, kept: Kept, wrong: Ints) -> Iterator[Hit]:
    for contour in np.flatnonzero(wrong >= 0).tolist():
        run = evidence.runs[int(evidence.path.ring_run[wrong[contour]])]
        yield Hit(
            say(
                "the {name} is cut on the side to keep: it comes out a whole kerf wrong",
                name=drawn_as(kept, contour).name,
            ),
            "put the path on the scrap side",
            run.light_line,
            run.start,
        )


def _surplus(
    evidence: Evidence, kept: Kept, swept: Sweep, found: Match, measured: Measured, other: Ints
) -> Iterator[Hit]:
    """Tell closed cuts inside kept metal, and closed cuts in scrap, that no contour asks for."""
    path = evidence.path
    inside = np.setdiff1d(surplus_rings(path, swept, found), other)
    for ring in inside.tolist():
        run = evidence.runs[int(path.ring_run[ring])]
        hole = cut_as(path, ring, False).name
        yield Hit(
            say("a {hole} inside metal to keep that is not drawn", hole=hole), "take it out", run.light_line, run.start
        )
    rest = np.setdiff1d(np.arange(len(path.rings)), np.concatenate([inside, found.ring, found.wrong, other]))
    scrap = [ring for ring in rest.tolist() if _in_scrap(evidence, swept, ring)]
    copies = DrawnCopies(kept, path, evidence.slits) if scrap else None
    for piece in surplus_pieces(path, np.array(scrap, dtype=np.int64)):
        run = evidence.runs[int(path.ring_run[piece.ring])]
        holes = f" with {len(piece.holes)} hole{'s' if len(piece.holes) > 1 else ''}" if len(piece.holes) else ""
        cut = say("{article} {name}{holes}", article=piece.shape.article, name=piece.shape.name, holes=holes)
        copy = copies.of(piece.ring, piece.holes) if copies is not None and piece.shape.outline else None
        severity = None
        if copy is None:
            message, severity = say("{cut} lies in scrap and is not drawn", cut=cut), Severity.WARNING
        elif copy.worst <= DEVIATION_ERROR + measured.fit[copy.contour]:
            message, severity = say("{cut} is cut once more than drawn", cut=cut), Severity.WARNING
        elif copy.edge <= DEVIATION_ERROR + measured.fit[copy.contour]:
            message = say("{cut} is cut once more than drawn, but what is cut in it is not as drawn", cut=cut)
        else:
            drawn = drawn_as(kept, copy.contour).name
            message = say(
                "{cut} is cut beside the drawn {drawn}, and its edge is {size} off",
                cut=cut,
                drawn=drawn,
                size=_size(copy.edge),
            )
        yield Hit(message, SURPLUS, run.light_line, run.start, severity)


def _open_surplus(evidence: Evidence, kept: Kept, swept: Sweep) -> Iterator[Hit]:
    """Tell open cuts through scrap that follow neither a drawn edge nor a slit."""
    path, count = evidence.path, len(evidence.runs)
    which = np.flatnonzero(~np.isin(path.segments.owner, path.ring_run))
    if not len(which):
        return
    s, half = path.segments.take(which), float(path.half_kerf.max())
    length = np.bincount(s.owner, s.lengths(), minlength=count)
    followed = np.zeros(count)
    targets = [(kept.edges, half + BESIDE)] + ([(evidence.slits, ON_SLIT)] if evidence.slits is not None else [])
    for target, reach in targets:
        along = stretches_near(s, target, reach)
        part = along.near * (along.high - along.low) * s.lengths()[along.which]
        followed += np.bincount(s.owner[along.which], part, minlength=count)
    deep = np.full(count, -np.inf)
    np.maximum.at(deep, s.owner, swept.depth[which])
    told = (length > 2 * half) & (followed < np.minimum(4 * half, length / 2)) & (deep <= DEVIATION_SEEN)
    for run in (evidence.runs[k] for k in np.flatnonzero(told).tolist()):
        message = say(
            "an open cut of {length} runs through scrap and is not drawn", length=mm(length[run.number], ".0f")
        )
        yield Hit(message, SURPLUS, run.light_line, run.start, Severity.WARNING)


def _in_scrap(evidence: Evidence, swept: Sweep, ring: int) -> bool:
    """Return whether a closed cut keeps away from metal to keep, as far as that is told, and cuts more than slits."""
    stretch = slice(int(evidence.path.ring_first[ring]), int(evidence.path.ring_stop[ring]))
    return bool(swept.depth[stretch].max() <= DEVIATION_SEEN and not swept.on_slit[stretch].all())


def _not_free(kept: Kept, held: Bools) -> Iterator[Hit]:
    for contour in np.flatnonzero(held).tolist():
        piece = "part" if kept.depth[contour] % 2 == 0 else "slug"
        yield Hit(
            say(
                "the {name} is cut in places, but no closed cut lets the {piece} go",
                name=drawn_as(kept, contour).name,
                piece=piece,
            ),
            "close the cut, or expect to finish it by hand",
            at=_place(kept, contour),
        )


def _gouges(
    evidence: Evidence, kept: Kept, swept: Sweep, found: Match, measured: Measured, lead: Bools, by_edge: Bools
) -> Iterator[Hit]:
    path = evidence.path
    depth = np.where(lead, -np.inf, measured.depth)
    worst, where = worst_of(depth, swept.contour, len(found.ring))
    for contour in np.flatnonzero((worst > DEVIATION_SEEN) & by_edge).tolist():
        segment = where[contour]
        x, y = _deepest(evidence, swept, segment)
        size = float(worst[contour])
        yield Hit(
            say(
                "the kerf reaches {size} into metal to keep{whole}",
                size=_size(size),
                whole=_size_of_all(evidence, kept, found, contour),
            ),
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


def _size_of_all(evidence: Evidence, kept: Kept, found: Match, contour: int) -> Phrase:
    """Return what the whole contour comes out as, empty where that is much as drawn."""
    if found.ring[contour] < 0:
        return ""
    drawn = drawn_as(kept, contour)
    said = cut_as(evidence.path, int(found.ring[contour]), drawn.outline).beside(drawn)
    return say(": {what}", what=said) if said else ""


def _leftovers(
    evidence: Evidence, kept: Kept, edges: SampledEdges, found: Match, measured: Measured, by_edge: Bools
) -> Iterator[Hit]:
    told = found.near & by_edge & (measured.left > DEVIATION_SEEN + measured.fit)
    for contour in np.flatnonzero(told).tolist():
        sample = measured.left_at[contour]
        size = float(measured.left[contour])
        segment = int(edges.torch[sample])
        x, y = edges.points[sample]
        how_much = "uncut metal" if size >= most_left(evidence.path) else say("{size} of metal", size=_size(size))
        gouged = measured.gouge[contour] > DEVIATION_SEEN  # then its size was told with that
        yield Hit(
            say(
                "{how_much} is left on the drawn edge{whole}",
                how_much=how_much,
                whole="" if gouged else _size_of_all(evidence, kept, found, contour),
            ),
            "move the path to the drawn edge, or check the kerf it was made for",
            evidence.line(int(evidence.path.segments.index[segment])) if segment >= 0 else None,
            (float(x), float(y)),
            Severity.ERROR if size > DEVIATION_ERROR else Severity.WARNING,
        )


def _unreached(evidence: Evidence, kept: Kept, edges: SampledEdges, by_edge: Bools) -> Iterator[Hit]:
    """Tell notches narrower than the kerf, each once, and corners of which more than two kerfs stay uncut."""
    owner = kept.edges.owner[edges.edge]
    told = edges.fair & by_edge[owner]
    told &= (edges.notch & (edges.left > NOTCH_TOLD)) | (edges.left > 4 * evidence.half_kerf)
    which = np.flatnonzero(told)
    place = kept.along[edges.edge[which]] + edges.share[which] * kept.edges.lengths()[edges.edge[which]]
    order = np.lexsort((place, owner[which]))
    which, place = which[order], place[order]
    new = np.ones(len(which), dtype=np.bool_)
    new[1:] = (np.diff(owner[which]) != 0) | (np.diff(place) > 4 * evidence.half_kerf)
    for pocket in np.split(which, np.flatnonzero(new)[1:]) if len(which) else ():
        deepest = int(pocket[edges.left[pocket].argmax()])
        x, y = edges.points[deepest]
        what = "notch" if edges.notch[pocket].any() else "corner"
        yield Hit(
            say(
                "a {what} of the {name} is too narrow for the kerf: {size} of its depth stays uncut",
                what=what,
                name=drawn_as(kept, int(owner[deepest])).name,
                size=_size(float(edges.left[deepest])),
            ),
            "saw or file it, or widen it in the drawing",
            at=(float(x), float(y)),
            severity=Severity.ERROR if what == "notch" and edges.left[deepest] > 2 * evidence.half_kerf else None,
        )


def _slits(evidence: Evidence) -> Iterator[Hit]:
    """Tell slits that the torch does not follow all along; their last kerf at both ends is not judged."""
    slits = evidence.slits
    if slits is None:
        return
    every = np.arange(len(slits))
    found = stretches_near(slits, evidence.path.segments, ON_SLIT)
    never = np.setdiff1d(every, found.which)
    which = np.concatenate([found.which[~found.near], never])
    low = np.concatenate([found.low[~found.near], np.zeros(len(never))])
    high = np.concatenate([found.high[~found.near], np.ones(len(never))])
    lengths = slits.lengths()
    total = np.concatenate([[0.0], np.cumsum(lengths)])
    start = total[np.searchsorted(slits.owner, slits.owner[which])]  # of the slit that each piece belongs to
    stop = total[np.searchsorted(slits.owner, slits.owner[which], side="right")]
    margin = np.minimum(2 * evidence.half_kerf, (stop - start) / 2 - 2 * ON_SLIT)
    begin = np.maximum(total[which] + low * lengths[which], start + margin)
    end = np.minimum(total[which] + high * lengths[which], stop - margin)
    missed = np.flatnonzero(end - begin > 2 * ON_SLIT - 1e-6)
    for number in np.unique(slits.owner[which[missed]]).tolist():
        k = missed[slits.owner[which[missed]] == number]
        first = k[int(np.argmin(begin[k]))]
        share = (begin[first] - total[which[first]]) / lengths[which[first]]
        x, y = slits.points(which[first : first + 1], np.array([share]))[0]
        yield Hit("a slit is not cut here", "cut it on its line", at=(float(x), float(y)))


def _size(length: float) -> Measure:
    return um(length * 1000) if length < 0.1 else mm(length, ".2f")
