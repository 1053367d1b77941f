"""Contours of a drawing: doubles out, ends joined, chains of short lines turned back into arcs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.drawing.drawing import Drawing, Entity
from kerfproof.errors import Finding, Severity, Watch, no_watch
from kerfproof.geom.path import Path
from kerfproof.parts.assemble import BIT, assemble
from kerfproof.parts.chains import Graph, close_gaps, graph_of, walk
from kerfproof.parts.contour import Contour, Contours, Mend, Role
from kerfproof.parts.crossing import crossing_findings
from kerfproof.parts.open_chains import open_findings
from kerfproof.parts.overlaps import without_doubles
from kerfproof.parts.roles import LayerRule, role_of
from kerfproof.parts.tidy import tidy


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
        loops = [_contour_of([e], e.path, role) for e in edges if e.path.closed]
        made_closed, made_open, gaps, branches = _join([e for e in edges if not e.path.closed], role, settings, watch)
        tidied, bits = tidy([*loops, *made_closed], settings.refit_tolerance)
        closed += tidied
        opened += made_open
        mends += gaps + bits
        findings += branches
    cut = tuple(c for c in closed if c.role is Role.CUT)
    findings += open_findings([c for c in opened if c.role is Role.CUT], cut, settings.tolerance)
    bad, crossing = crossing_findings(cut)
    findings += crossing
    findings += _ignored_notes(drawing, settings) + _mend_notes(mends)
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
        path = assemble(chain, [e.path for e in used])
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


def _ignored_notes(drawing: Drawing, settings: JoinSettings) -> list[Finding]:
    """Return a note for each layer with entities that its name or the person keeps from being cut."""
    counts = Counter(e.layer for e in drawing.entities if not _kept(e, settings))
    return [
        Finding(
            "layer-ignored",
            Severity.NOTE,
            f"Not cut: {count} on layer {layer}, which is ignored by its name or by your rule",
            f"cut it all the same with --role {layer}=cut",
        )
        for layer, count in sorted(counts.items())
    ]


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
