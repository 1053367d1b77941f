"""From contours to parts: which contour is an outline, which a hole, and what belongs together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle
from kerfproof.geom.region import containers, nesting, path_boxes
from kerfproof.parts.model.bands import band_findings, doubled_findings
from kerfproof.parts.model.contour import Contour, Role
from kerfproof.parts.model.part import Feature, FeatureKind, Part, Parts
from kerfproof.parts.model.round_hole import diameters_of
from kerfproof.units import exactly


def build_parts(contours: Sequence[Contour], opened: Sequence[Contour], name: str) -> Parts:
    """Return the parts that closed `contours` make, outlines at even depth, holes at odd depth.

    Slits and marks (by role, open or closed) go to the innermost part around their first point; a slit or a
    mark outside all parts is a finding. Parts count in the order in which their outlines were drawn.
    """
    cut = [c for c in contours if c.role is Role.CUT]
    extra = [c for c in (*contours, *opened) if c.role in (Role.SLIT, Role.MARK)]
    if not cut:
        return Parts(())
    bundle = Bundle.of([c.path for c in cut])
    depth, parent = nesting(bundle)
    outlines = [i for i in range(len(cut)) if depth[i] % 2 == 0]
    part_of = {i: n for n, i in enumerate(outlines)}
    for i in range(len(cut)):
        if depth[i] % 2 == 1:
            part_of[i] = part_of[int(parent[i])]
    features = _closed_features(cut, bundle, depth.tolist(), parent.tolist(), part_of)
    homes, findings = _homes(extra, bundle, depth, part_of)
    lines = _open_features(extra, homes, len(features))
    inside: list[list[Feature]] = [[] for _ in outlines]
    for feature in (*features, *lines):
        if feature.kind is not FeatureKind.OUTLINE:
            inside[feature.part].append(feature)
    parts = tuple(_part(n, features[i], inside[n], name, len(outlines)) for n, i in enumerate(outlines))
    return Parts(parts, (*findings, *band_findings(parts), *doubled_findings(parts)))


def _closed_features(
    cut: Sequence[Contour], paths: Bundle, depth: Sequence[int], parent: Sequence[int], part_of: dict[int, int]
) -> list[Feature]:
    diameters, sizes = diameters_of(paths), path_boxes(paths)
    out = []
    for i, (contour, diameter, box) in enumerate(zip(cut, diameters, sizes.tolist(), strict=True)):
        kind = FeatureKind.HOLE if depth[i] % 2 else FeatureKind.OUTLINE
        above = None if parent[i] < 0 else parent[i]
        out.append(Feature(i, kind, contour, depth[i], above, part_of[i], diameter, _size(diameter, box)))
    return out


def _open_features(extra: Sequence[Contour], homes: Sequence[int | None], first: int) -> list[Feature]:
    lines: list[Feature] = []
    for contour, home in zip(extra, homes, strict=True):
        if home is not None:
            kind = FeatureKind.SLIT if contour.role is Role.SLIT else FeatureKind.MARK
            label = f"{exactly(round(contour.path.length(), 1))} mm long"
            lines.append(Feature(first + len(lines), kind, contour, 0, None, home, None, label))
    return lines


def _homes(
    extra: Sequence[Contour], bundle: Bundle, depth: np.ndarray, part_of: dict[int, int]
) -> tuple[list[int | None], list[Finding]]:
    """Return for each open contour the part it lies on (None: outside all)."""
    if not extra:
        return [], []
    places = np.array([c.path.segments().points(np.array([0]), np.array([0.5]))[0] for c in extra])
    inner: dict[int, int] = {}
    for point, path in zip(*(a.tolist() for a in containers(bundle, places)), strict=True):
        if point not in inner or depth[path] > depth[inner[point]]:
            inner[point] = path
    homes: list[int | None] = []
    findings = []
    for k, contour in enumerate(extra):
        home = inner.get(k)
        homes.append(None if home is None or depth[home] % 2 else part_of[home])
        if homes[-1] is None:
            x, y = places[k].tolist()
            what = "slit" if contour.role is Role.SLIT else "mark"
            crosses, _ = _lies(contour, bundle)
            where = "runs from the open across the edge of a part" if crosses else "lies on no part"
            finding = Finding(
                f"{what}-outside-parts",
                Severity.WARNING,
                f"a {what} {where} and is left out",
                f"{'end it at the edge' if crosses else 'move it onto a part'} or put it on an ignored layer",
                x=x,
                y=y,
                handle="/".join(contour.handles[:3]),
            )
            findings.append(finding)
        elif contour.role is Role.SLIT and _lies(contour, bundle)[1]:
            x, y = contour.path.end.tolist()
            what = "a slit runs into a hole: the arc goes out over it, or the hole finds no sound plate to start on"
            advice, handle = "end it at the edge of the hole, or put it on an ignored layer", contour.handles[:3]
            findings.append(
                Finding("slit-meets-hole", Severity.WARNING, what, advice, x=x, y=y, handle="/".join(handle))
            )
    return homes, findings


def _lies(contour: Contour, bundle: Bundle) -> tuple[bool, bool]:
    """Return whether any stretch of a slit or mark lies on a part, and whether any lies in a hole."""
    s = contour.path.segments()
    every, shares = np.arange(len(s)), np.linspace(0.05, 0.95, 10)
    points = s.points(np.repeat(every, len(shares)), np.tile(shares, len(s)))
    around, _ = containers(bundle, points)
    deep = np.bincount(around, minlength=len(points))
    return bool((deep % 2 == 1).any()), bool(((deep % 2 == 0) & (deep > 0)).any())


def _part(number: int, outline: Feature, inside: Sequence[Feature], name: str, count: int) -> Part:
    return Part(
        number,
        name if count == 1 else f"{name}-{number + 1}",
        _labelled(outline, f"outline {outline.label}"),
        _numbered(inside, FeatureKind.HOLE),
        _numbered(inside, FeatureKind.SLIT),
        _numbered(inside, FeatureKind.MARK),
        outline.parent,
    )


def _numbered(features: Sequence[Feature], kind: FeatureKind) -> tuple[Feature, ...]:
    """Return the features of a kind with labels that name kind, count within the part and size."""
    mine = [f for f in features if f.kind is kind]
    return tuple(_labelled(f, f"{kind} {k} {f.label}") for k, f in enumerate(mine, 1))


def _labelled(f: Feature, label: str) -> Feature:
    return Feature(f.number, f.kind, f.contour, f.depth, f.parent, f.part, f.diameter, label)


def _size(diameter: float | None, box: Sequence[float]) -> str:
    if diameter is not None:
        return f"D{exactly(diameter)}"
    return f"{exactly(box[2] - box[0])} x {exactly(box[3] - box[1])}"
