"""From contours to parts: which contour is an outline, which a hole, and what belongs together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle, Path
from kerfproof.geom.region import containers, nesting
from kerfproof.parts.contour import Contour, Role
from kerfproof.parts.part import Feature, FeatureKind, Part, Parts

ROUND = 0.01
"""Arcs whose centres and radii agree to this many mm make a round hole."""


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
    features = [_closed_feature(cut[i], i, int(depth[i]), int(parent[i]), part_of[i]) for i in range(len(cut))]
    homes, findings = _homes(extra, bundle, depth, part_of)
    lines = _open_features(extra, homes, len(features))
    parts = tuple(_part(n, i, features, lines, name, len(outlines)) for n, i in enumerate(outlines))
    return Parts(_numbered_labels(parts), tuple(findings))


def _closed_feature(contour: Contour, number: int, depth: int, parent: int, part: int) -> Feature:
    kind = FeatureKind.HOLE if depth % 2 else FeatureKind.OUTLINE
    return Feature(
        number,
        kind,
        contour,
        depth,
        None if parent < 0 else parent,
        part,
        diameter_of(contour.path),
        _size(contour.path),
    )


def _open_features(extra: Sequence[Contour], homes: Sequence[int | None], first: int) -> list[Feature]:
    lines: list[Feature] = []
    for contour, home in zip(extra, homes, strict=True):
        if home is not None:
            kind = FeatureKind.SLIT if contour.role is Role.SLIT else FeatureKind.MARK
            label = f"{contour.path.length():.0f} mm long"
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
            findings.append(
                Finding(
                    f"{what}-outside-parts",
                    Severity.WARNING,
                    f"a {what} lies on no part and is left out",
                    "move it onto a part or put it on an ignored layer",
                    x=x,
                    y=y,
                    handle="/".join(contour.handles[:3]),
                )
            )
    return homes, findings


def _part(number: int, outline: int, features: list[Feature], lines: list[Feature], name: str, count: int) -> Part:
    mine = [f for f in features if f.part == number and f.kind is FeatureKind.HOLE]
    return Part(
        number,
        name if count == 1 else f"{name}-{number + 1}",
        features[outline],
        tuple(mine),
        tuple(f for f in lines if f.part == number and f.kind is FeatureKind.SLIT),
        tuple(f for f in lines if f.part == number and f.kind is FeatureKind.MARK),
        features[outline].parent,
    )


def _numbered_labels(parts: Sequence[Part]) -> tuple[Part, ...]:
    """Return the parts with labels that name kind, count within the part and size."""
    out = []
    for part in parts:
        named = {
            group: tuple(replace(f, label=f"{kind} {k + 1} {f.label}") for k, f in enumerate(getattr(part, group)))
            for group, kind in (("holes", "hole"), ("slits", "slit"), ("marks", "mark"))
        }
        outline = replace(part.outline, label=f"outline {part.outline.label}")
        out.append(replace(part, outline=outline, **named))  # type: ignore[arg-type]
    return tuple(out)


def diameter_of(path: Path) -> float | None:
    """Return the diameter of a closed path that is a circle within `ROUND`, else None."""
    s = path.segments()
    if not path.closed or not s.is_arc.all():
        return None
    same = (np.ptp(s.radius) <= ROUND) and (np.ptp(s.center, axis=0) <= ROUND).all()
    full = abs(abs(float(s.sweep.sum())) - 2 * np.pi) < 1e-6
    return 2 * float(s.radius.mean()) if same and full else None


def _size(path: Path) -> str:
    diameter = diameter_of(path)
    if diameter is not None:
        return f"D{_short(diameter)}"
    x0, y0, x1, y1 = path.bounds()
    return f"{_short(x1 - x0)} x {_short(y1 - y0)}"


def _short(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
