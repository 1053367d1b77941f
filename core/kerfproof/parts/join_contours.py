"""Contours of a drawing: doubles out, ends joined, chains of short lines turned back into arcs.

Over 300 lines because each step hands on the same edges; what needs no edges is in `parts.join`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from kerfproof.drawing.drawing import Drawing, Entity
from kerfproof.errors import Finding, Watch, no_watch
from kerfproof.geom.path import Bundle, Floats, Ints, Path
from kerfproof.parts.classify import notes
from kerfproof.parts.classify.choices import PageFrames
from kerfproof.parts.classify.drill_marks import DrillMarks, drill_marks
from kerfproof.parts.classify.left_aside import nothing_left, outline_findings
from kerfproof.parts.classify.page_frames import without_page
from kerfproof.parts.classify.roles import LayerRule, RolePattern, as_rules
from kerfproof.parts.classify.sorting import sorted_out
from kerfproof.parts.join.assemble import BIT, assemble
from kerfproof.parts.join.chains import Chain, Graph, close_gaps, core_edges, graph_of, walk
from kerfproof.parts.join.crossing import crossing_findings
from kerfproof.parts.join.faces import Branch, face_path, faces_of
from kerfproof.parts.join.open_chains import open_findings
from kerfproof.parts.join.overlaps import without_doubles
from kerfproof.parts.join.tidy import tidy
from kerfproof.parts.model.contour import Contour, ContourFault, Contours, Mend, Role
from kerfproof.parts.model.contour_spots import Spot, with_roles


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinSettings:
    """How ends are joined: `tolerance` mm, `refit_tolerance` mm for chains of short lines.

    `rules` are the person's on layers, colours and line types, `spots` those on single contours, `drill` what
    becomes of points and small circles, `page` what of a rectangle round everything, `bridges` how wide (mm) the
    bridges are that hold middles of stencils (0: none).
    """

    tolerance: float = 0.05
    refit_tolerance: float = 0.005
    rules: tuple[LayerRule | RolePattern, ...] = ()
    spots: tuple[Spot, ...] = ()
    drill: DrillMarks = field(default_factory=DrillMarks)
    page: PageFrames = PageFrames.AUTO
    bridges: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class _Edge:
    path: Path
    entity: Entity
    copies: int = 1


@dataclass(slots=True, eq=False)
class _Made:
    closed: list[Contour] = field(default_factory=list)
    open: list[Contour] = field(default_factory=list)
    mends: list[Mend] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    tangled: list[Contour] = field(default_factory=list)
    branches: list[ContourFault] = field(default_factory=list)


def join_contours(drawing: Drawing, settings: JoinSettings | None = None, watch: Watch = no_watch) -> Contours:
    """Return the closed and open contours of a drawing in mm, with every mend and what can't be used.

    Entities with role ignore are left out. Only loose ends are joined, nearest pairs first; closed chains are
    never touched. Roles are kept apart: a mark never joins a cut. Chains that branch are split into the faces
    between them where that can be read in one way only.
    """
    settings = settings or JoinSettings()
    rules = as_rules(settings.rules)
    sorted_entities = sorted_out(drawing, rules, settings.tolerance)

    def loops(entities: Sequence[Entity]) -> list[Path]:
        trial = _Made()
        _join_role(entities, Role.CUT, settings, trial, watch)
        return [c.path for c in trial.closed]

    cut, page = without_page(sorted_entities.by_role[Role.CUT], drawing, rules, settings.page, loops)
    made = _Made()
    for role in (Role.CUT, Role.SLIT, Role.MARK):
        entities = cut if role is Role.CUT else sorted_entities.by_role[role]
        if entities:
            watch("joining", 0.0)
            _join_role(entities, role, settings, made, watch)
    watch("joining", 0.95)
    ignored = _ignored(sorted_entities.aside, settings, watch)
    closed, opened, lost = with_roles([*made.closed, *ignored.closed], [*made.open, *ignored.open], settings.spots)
    aside = tuple(c for c in (*closed, *opened, *ignored.tangled) if c.role is Role.IGNORE)
    drilled = drill_marks(closed, sorted_entities.points, settings.drill)
    closed = list(drilled.closed)
    cuts = tuple(c for c in closed if c.role is Role.CUT)
    watch("joining", 0.97)
    bad, crossing, faults = crossing_findings(cuts)
    watch("joining", 0.99)
    opens = [c for c in opened if c.role is Role.CUT]
    made.findings += open_findings(opens, cuts, settings.tolerance)
    nothing: list[Finding] = []
    if not cuts and not made.tangled:
        nothing = notes.nothing_closed(len(opens)) if opens else nothing_left(sorted_entities.aside)
    elif settings.page is not PageFrames.IGNORE:
        nothing = outline_findings(sorted_entities.aside, cuts, rules, loops)
    findings = [*nothing, *page, *sorted_entities.findings, *made.findings, *lost, *crossing, *drilled.findings]
    watch("joining", 1.0)
    refused = {id(cuts[k]) for k in bad}
    kept = tuple(c for c in closed if c.role is not Role.IGNORE and id(c) not in refused)
    findings += notes.mend_notes(made.mends)
    for c in opened:
        if c.role is Role.CUT:
            faults += [ContourFault("open end", float(x), float(y)) for x, y in (c.path.start, c.path.end)]
    return Contours(
        kept,
        (*(c for c in opened if c.role is not Role.IGNORE), *drilled.marks),
        drilled.points,
        tuple(made.mends),
        tuple(findings),
        (*(cuts[k] for k in sorted(bad)), *made.tangled),
        (*faults, *made.branches),
        aside,
    )


def usually_cut(drawing: Drawing, settings: JoinSettings, watch: Watch = no_watch) -> list[Entity]:
    """Return the curves of a drawing that are cut where nobody chooses anything."""

    def loops(entities: Sequence[Entity]) -> list[Path]:
        trial = _Made()
        _join_role(entities, Role.CUT, settings, trial, watch)
        return [c.path for c in trial.closed]

    entities = sorted_out(drawing, (), settings.tolerance).by_role[Role.CUT]
    return [e for e in without_page(entities, drawing, (), PageFrames.AUTO, loops)[0] if e.path is not None]


def _ignored(entities: Sequence[Entity], settings: JoinSettings, watch: Watch) -> _Made:
    """Return what is ignored: joined where a person chose single contours, which may be among them."""
    made = _Made()
    if settings.spots:
        _join_role(entities, Role.IGNORE, settings, made, watch)
        return made
    for entity in entities:
        if entity.path is not None:
            (made.closed if entity.path.closed else made.open).append(
                Contour(entity.path, (entity.handle,), entity.layer, Role.IGNORE, entity.fit_error, entity.samples)
            )
    return made


def _join_role(entities: Sequence[Entity], role: Role, settings: JoinSettings, made: _Made, watch: Watch) -> None:
    """Join the entities of one role and add what comes out to `made`."""
    edges, mends = _edges(entities)
    made.mends += mends
    loops = [_contour_of([e], e.path, role) for e in edges if e.path.closed]
    joined = _Made()
    watch("joining", 0.2)
    _join([e for e in edges if not e.path.closed], role, settings, joined, watch)
    tidied, bits = tidy([*loops, *joined.closed], settings.refit_tolerance, watch)
    made.closed += tidied
    made.open += joined.open
    made.mends += joined.mends + bits
    made.findings += joined.findings
    made.tangled += joined.tangled
    made.branches += joined.branches


def _edges(entities: Sequence[Entity]) -> tuple[list[_Edge], list[Mend]]:
    """Return the paths of the entities with every doubled stretch kept once."""
    paths = [e.path for e in entities if e.path is not None]
    pieces = without_doubles(paths)
    edges = [
        _Edge(path, entities[source], copies)
        for path, source, copies in zip(pieces.paths, pieces.sources, pieces.copies, strict=True)
    ]
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


def _join(edges: list[_Edge], role: Role, settings: JoinSettings, made: _Made, watch: Watch) -> None:
    graph = graph_of([e.path for e in edges])
    edges, graph, made.mends = _without_loose_bits(edges, graph)
    graph, joints = close_gaps(graph, _lengths(edges), settings.tolerance)
    at_node = _edges_at(graph, [node for joint in joints for node in (joint.a, joint.b)])
    for joint in joints:
        x, y = (graph.places[joint.a] + graph.places[joint.b]) / 2
        if joint.size > 1e-4:
            handles = tuple(dict.fromkeys(edges[k].entity.handle for k in at_node.get(joint.a, ())))
            what = "loop closed" if joint.loop else "gap closed"
            made.mends.append(Mend(what, float(x), float(y), joint.size, handles))
    core = core_edges(graph)
    on_loops, tails = np.flatnonzero(core), np.flatnonzero(~core)
    chains, branches = walk(Graph(graph.ends[core], graph.places))
    own = [edges[k] for k in on_loops.tolist()]
    for number, chain in enumerate(chains):
        if number % 500 == 0:
            watch("joining", 0.9 * number / len(chains))
        if chain.closed:
            _add(chain, own, role, made, BIT)
    if branches:
        _split(Graph(graph.ends[core], graph.places), [c for c in chains if not c.closed], own, role, made)
    loose = [edges[k] for k in tails.tolist()]
    for chain in walk(Graph(graph.ends[~core], graph.places))[0]:
        _add(chain, loose, role, made, max(BIT, settings.tolerance))


def _add(chain: Chain, edges: Sequence[_Edge], role: Role, made: _Made, bit: float) -> None:
    """Add the contour that a chain is, or the mend if it is only a bit; open ones shorter than `bit` mm are."""
    used = [edges[link.edge] for link in chain.links]
    path = assemble(chain, [e.path for e in used])
    if path is not None and (chain.closed or path.length() > bit):
        (made.closed if chain.closed else made.open).append(_contour_of(used, path, role))
        return
    x, y = used[0].path.start.tolist()
    made.mends.append(Mend("bit dropped", x, y, sum(e.path.length() for e in used), (used[0].entity.handle,)))


def _split(graph: Graph, chains: Sequence[Chain], edges: Sequence[_Edge], role: Role, made: _Made) -> None:
    """Split the chains between branch points into faces, one lump of connected chains after the other."""
    branches: list[Branch] = []
    used: list[Chain] = []
    for chain in chains:
        ends = [graph.ends[link.edge] if link.forward else graph.ends[link.edge][::-1] for link in chain.links]
        path = assemble(chain, [edges[link.edge].path for link in chain.links])
        if path is not None:
            copies = min(edges[link.edge].copies for link in chain.links)
            branches.append(Branch(path, int(ends[0][0]), int(ends[-1][1]), copies))
            used.append(chain)
    for lump in _lumps(branches):
        faces = faces_of([branches[k] for k in lump])
        mine = [[edges[link.edge] for link in used[k].links] for k in lump]
        if not faces.clear:
            lot = [branches[k] for k in lump]
            handles = [[e.entity.handle for e in group] for group in mine]
            made.findings += notes.branch_findings(lot, handles, role, graph.places)
            if role is Role.CUT:
                made.tangled += [_contour_of(group, b.path, role) for group, b in zip(mine, lot, strict=True)]
                nodes = sorted({node for b in lot for node in (b.start, b.end)})
                made.branches += [ContourFault("branch", *graph.places[node].tolist()) for node in nodes]
            continue
        for face in faces.metal:
            group = [e for b, _ in face.branches for e in mine[b]]
            made.closed.append(_contour_of(group, face_path([branches[k] for k in lump], face), role))
        for link in faces.links:
            made.open.append(_contour_of(mine[link], branches[lump[link]].path, role))


def _lumps(branches: Sequence[Branch]) -> list[list[int]]:
    """Return the numbers of branches that hang together."""
    home: dict[int, int] = {}
    lumps: dict[int, list[int]] = {}
    for number, branch in enumerate(branches):
        found = sorted({home[node] for node in (branch.start, branch.end) if node in home})
        root = found[0] if found else number
        mine = lumps.setdefault(root, [])
        for other in found[1:]:
            mine += lumps.pop(other)
        mine.append(number)
        for member in mine:
            home[branches[member].start] = home[branches[member].end] = root
    return [sorted(lump) for lump in lumps.values()]


def _edges_at(graph: Graph, nodes: Sequence[int]) -> dict[int, list[int]]:
    """Return the edges that end at each of some nodes."""
    wanted = np.isin(graph.ends, np.array(sorted(set(nodes)), dtype=np.int64))
    found: dict[int, list[int]] = {}
    rows: Ints = np.flatnonzero(wanted.any(axis=1))
    for row in rows.tolist():
        for node in graph.ends[row].tolist():
            found.setdefault(node, []).append(row)
    return found


def _without_loose_bits(edges: list[_Edge], graph: Graph) -> tuple[list[_Edge], Graph, list[Mend]]:
    """Return the edges without tiny ones that hang loose at a joint (they would make it a branch point)."""
    degrees = graph.degrees()
    short = _lengths(edges) < BIT
    if not short.any():
        return edges, graph, []
    keep, mends = [], []
    for edge, tiny, (a, b) in zip(edges, short.tolist(), graph.ends.tolist(), strict=True):
        if tiny and ((degrees[a] == 1) != (degrees[b] == 1) and max(degrees[a], degrees[b]) > 2):
            x, y = edge.path.start
            mends.append(Mend("bit dropped", float(x), float(y), edge.path.length(), (edge.entity.handle,)))
        else:
            keep.append(edge)
    return (keep, graph_of([e.path for e in keep]), mends) if mends else (edges, graph, [])


def _lengths(edges: Sequence[_Edge]) -> Floats:
    segments = Bundle.of([e.path for e in edges]).segments()
    return np.bincount(segments.owner, segments.lengths(), minlength=len(edges)).astype(np.float64)


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
