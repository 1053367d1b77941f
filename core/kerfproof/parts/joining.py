"""Contours of a drawing: doubles out, ends joined, chains of short lines turned back into arcs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from kerfproof.drawing.drawing import Drawing, Entity
from kerfproof.errors import Finding, Severity, Watch, no_watch
from kerfproof.geom.fit import refit
from kerfproof.geom.path import Floats, Path
from kerfproof.parts.chains import Chain, Graph, close_gaps, graph_of, walk
from kerfproof.parts.contour import Contour, Contours, Mend, Role
from kerfproof.parts.crossing import crossing_findings
from kerfproof.parts.open_chains import open_findings
from kerfproof.parts.overlaps import without_doubles
from kerfproof.parts.roles import LayerRule, role_of

BIT = 0.01
"""Segments shorter than this (mm) are drawing noise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinSettings:
    """How ends are joined: `tolerance` mm, `refit_tolerance` mm for chains of short lines, layer `rules`."""

    tolerance: float = 0.05
    refit_tolerance: float = 0.005
    rules: tuple[LayerRule, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Edge:
    path: Path
    entity: Entity


def join_contours(drawing: Drawing, settings: JoinSettings | None = None, watch: Watch = no_watch) -> Contours:
    """Return the closed and open contours of a drawing in mm, with every mend and what can't be used.

    Entities with role ignore are left out. Only loose ends are joined, nearest pairs first; closed chains are
    never touched. Roles are kept apart: a mark never joins a cut.
    """
    settings = settings or JoinSettings()
    closed: list[Contour] = []
    opened: list[Contour] = []
    mends: list[Mend] = []
    findings: list[Finding] = []
    for role in (Role.CUT, Role.SLIT, Role.MARK):
        entities = [e for e in drawing.entities if e.path is not None and role_of(e.layer, settings.rules) is role]
        if not entities:
            continue
        watch("joining", 0.0)
        edges, found = _edges(entities)
        mends += found
        loops = [e for e in edges if e.path.closed]
        closed += [_tidy(_contour_of([e], e.path, role), settings, mends) for e in loops]
        made_closed, made_open, gaps, branches = _join([e for e in edges if not e.path.closed], role, settings, watch)
        closed += [_tidy(c, settings, mends) for c in made_closed]
        opened += made_open
        mends += gaps
        findings += branches
    cut = tuple(c for c in closed if c.role is Role.CUT)
    findings += open_findings([c for c in opened if c.role is Role.CUT], cut, settings.tolerance)
    bad, crossing = crossing_findings(cut)
    findings += crossing
    findings += _mend_notes(mends)
    watch("joining", 1.0)
    points = tuple(e.point for e in drawing.entities if e.point is not None and _kept(e, settings))
    keep = tuple(c for c in closed if not any(c is cut[k] for k in bad))
    return Contours(keep, tuple(opened), points, tuple(mends), tuple(findings))


def _kept(entity: Entity, settings: JoinSettings) -> bool:
    return role_of(entity.layer, settings.rules) is not Role.IGNORE


def _edges(entities: Sequence[Entity]) -> tuple[list[_Edge], list[Mend]]:
    """Return the paths of the entities with every doubled stretch kept once."""
    paths = [e.path for e in entities if e.path is not None]
    pieces = without_doubles(paths)
    edges = [_Edge(path, entities[source]) for path, source in zip(pieces.paths, pieces.sources, strict=True)]
    mends = [
        Mend(
            "duplicate removed" if piece.whole else "overlap removed",
            piece.x,
            piece.y,
            piece.length,
            (entities[piece.source].handle,),
        )
        for piece in pieces.removed
    ]
    return edges, mends


def _join(
    edges: list[_Edge], role: Role, settings: JoinSettings, watch: Watch
) -> tuple[list[Contour], list[Contour], list[Mend], list[Finding]]:
    graph = graph_of([e.path for e in edges])
    edges, graph, bits = _without_loose_bits(edges, graph)
    graph, joints = close_gaps(graph, settings.tolerance)
    mends = bits
    for joint in joints:
        x, y = (graph.places[joint.a] + graph.places[joint.b]) / 2
        if joint.size > 1e-4:
            mends.append(Mend("gap closed", float(x), float(y), joint.size))
    chains, branches = walk(graph)
    closed: list[Contour] = []
    opened: list[Contour] = []
    for number, chain in enumerate(chains):
        if number % 500 == 0:
            watch("joining", 0.9 * number / len(chains))
        used = [edges[link.edge] for link in chain.links]
        path = _assemble(chain, [e.path for e in used])
        if path is not None:
            (closed if chain.closed else opened).append(_contour_of(used, path, role))
    findings = _branch_findings(graph, branches, edges, role)
    return closed, opened, mends, findings


def _without_loose_bits(edges: list[_Edge], graph: Graph) -> tuple[list[_Edge], Graph, list[Mend]]:
    """Return the edges without tiny ones that hang loose at a joint (they would make it a branch point)."""
    degrees = graph.degrees()
    keep, mends = [], []
    for edge, (a, b) in zip(edges, graph.ends.tolist(), strict=True):
        short = edge.path.length() < BIT if len(edge.path.vertices) < 4 else False
        if short and ((degrees[a] == 1) != (degrees[b] == 1) and max(degrees[a], degrees[b]) > 2):
            x, y = edge.path.start
            mends.append(Mend("bit dropped", float(x), float(y), edge.path.length(), (edge.entity.handle,)))
        else:
            keep.append(edge)
    return (keep, graph_of([e.path for e in keep]), mends) if mends else (edges, graph, [])


def _contour_of(edges: Sequence[_Edge], path: Path, role: Role) -> Contour:
    handles = tuple(dict.fromkeys(e.entity.handle for e in edges))
    samples = [e.entity.samples for e in edges if e.entity.samples is not None]
    return Contour(
        path,
        handles,
        edges[0].entity.layer,
        role,
        max(e.entity.fit_error for e in edges),
        np.vstack(samples) if samples else None,
    )


# --- making one path of a chain ---------------------------------------------------------------------------


def _assemble(chain: Chain, paths: Sequence[Path]) -> Path | None:
    """Return the chain as one path; where ends lie apart they meet. None if nothing of length is left."""
    runs = [
        np.array(p.vertices if link.forward else p.reversed().vertices)
        for link, p in zip(chain.links, paths, strict=True)
    ]
    pairs = list(pairwise(runs))
    if chain.closed:
        pairs.append((runs[-1], runs[0]))
    for before, after in pairs:
        meet = _meeting(before, after)
        before[-1, :2] = meet
        after[0, :2] = meet
    vertices = np.vstack([run[:-1] for run in runs] + ([] if chain.closed else [runs[-1][-1:]]))
    return _without_bits(vertices, chain.closed)[0]


def _meeting(before: Floats, after: Floats) -> Floats:
    """Return where the end of one run and the start of the next meet.

    Two straight ends meet where their lines cross if that is near; a straight end goes to an arc's end, so
    that the arc stays as drawn; else they meet in the middle.
    """
    p, q = before[-1, :2], after[0, :2]
    gap = float(np.hypot(*(p - q)))
    if gap <= 1e-9:
        return np.array(p)
    straight_before, straight_after = before[-2, 2] == 0, after[0, 2] == 0
    if straight_before and straight_after:
        crossing = _line_crossing(before[-2, :2], p, q, after[1, :2])
        if crossing is not None and max(np.hypot(*(crossing - p)), np.hypot(*(crossing - q))) <= 2 * gap:
            return crossing
    if straight_before != straight_after:
        return np.array(q if straight_before else p)
    return np.asarray((p + q) / 2)


def _line_crossing(a: Floats, b: Floats, c: Floats, d: Floats) -> Floats | None:
    u, v = b - a, d - c
    cross = u[0] * v[1] - u[1] * v[0]
    if abs(cross) < 0.02 * np.hypot(*u) * np.hypot(*v):  # about a degree: the crossing would run away
        return None
    w = c - a
    return np.asarray(a + u * ((w[0] * v[1] - w[1] * v[0]) / cross))


def _without_bits(vertices: Floats, closed: bool) -> tuple[Path | None, int]:
    """Return the path without segments shorter than `BIT`, and how many were dropped."""
    kept = [vertices[0]]
    dropped = 0
    for row in vertices[1:]:
        if np.hypot(*(row[:2] - kept[-1][:2])) < BIT and abs(kept[-1][2]) < 0.9:
            kept[-1] = np.array([*_corner(kept, row), row[2]])
            dropped += 1
        else:
            kept.append(row)
    if closed and len(kept) > 2 and np.hypot(*(kept[0][:2] - kept[-1][:2])) < BIT and abs(kept[-1][2]) < 0.9:
        kept.pop()
        dropped += 1
    if len(kept) < 2 or (closed and len(kept) == 2 and kept[0][2] == 0 == kept[1][2]):
        return None, dropped
    if not dropped:
        return Path(vertices, closed), 0
    return Path(np.array(kept), closed), dropped


def _corner(kept: list[Floats], row: Floats) -> Floats:
    return np.asarray((kept[-1][:2] + row[:2]) / 2 if len(kept) > 1 else kept[-1][:2])


def _tidy(contour: Contour, settings: JoinSettings, mends: list[Mend]) -> Contour:
    """Return the contour without bits and with chains of short lines turned back into arcs and lines."""
    path, dropped = _without_bits(contour.path.vertices, True)
    if path is None:
        return contour
    if dropped:
        x, y = path.start
        mends.append(Mend("bit dropped", float(x), float(y), BIT, contour.handles[:1]))
    fitted, error = refit(path, settings.refit_tolerance)
    if fitted is path:
        return contour if not dropped else replace(contour, path=path)
    samples = path.vertices[:, :2]
    if contour.samples is not None:
        samples = np.vstack([samples, contour.samples])
    return replace(contour, path=fitted, fit_error=max(error, contour.fit_error), samples=samples)


# --- findings -------------------------------------------------------------------------------------------------


def _branch_findings(graph: Graph, branches: Sequence[int], edges: Sequence[_Edge], role: Role) -> list[Finding]:
    if role is not Role.CUT:
        return []
    findings = []
    for node in branches[:20]:
        x, y = graph.places[node].tolist()
        touching = np.flatnonzero((graph.ends == node).any(axis=1))
        handles = "/".join(dict.fromkeys(edges[int(k)].entity.handle for k in touching[:4]))
        findings.append(
            Finding(
                "branch-point",
                Severity.ERROR,
                f"{len(touching)} lines or arcs meet in one point, so the contour is ambiguous",
                "draw each part as a closed contour of its own, or put what is not cut on an ignored layer",
                x=x,
                y=y,
                handle=handles,
            )
        )
    if len(branches) > 20:
        findings.append(
            Finding("branch-point", Severity.ERROR, f"{len(branches) - 20} more points where three or more lines meet")
        )
    return findings


def _mend_notes(mends: Sequence[Mend]) -> list[Finding]:
    notes = []
    for what in ("gap closed", "duplicate removed", "overlap removed", "bit dropped"):
        these = [m for m in mends if m.what == what]
        if these:
            worst = max(these, key=lambda m: (round(m.size, 6), m.x, m.y))
            notes.append(
                Finding(
                    what.replace(" ", "-"),
                    Severity.NOTE,
                    f"{what}: {len(these)} times, the largest {worst.size:.3f} mm",
                    x=worst.x,
                    y=worst.y,
                )
            )
    return notes
