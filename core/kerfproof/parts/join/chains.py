"""Joining by ends: edges between nodes become chains, loose ends meet within a tolerance.

Terms: an *edge* is an open path between two *nodes*; a node's degree counts the edge ends there; degree 1 is a
*loose end*, degree 3 or more a *branch point*; a *chain* runs over nodes of degree 2.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerfproof.geom.index import Index
from kerfproof.geom.path import Bools, Floats, Ints, Path

GRID = 1e-6
"""Ends that agree to this many mm are one node."""


@dataclass(frozen=True, slots=True)
class Link:
    """One edge in a chain, `forward` or backward."""

    edge: int
    forward: bool


@dataclass(frozen=True, slots=True)
class Chain:
    """Edges end to end; `closed` when the last meets the first."""

    links: tuple[Link, ...]
    closed: bool


@dataclass(frozen=True, slots=True)
class Joint:
    """A gap that was closed: nodes `a` and `b` became one, `size` mm apart; `loop` when both end one chain."""

    a: int
    b: int
    size: float
    loop: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Graph:
    """Edges and nodes: `ends` (m, 2) node of each edge's start and end, `places` (k, 2) of the nodes."""

    ends: Ints
    places: Floats

    def degrees(self) -> Ints:
        """Return how many edge ends meet at each node."""
        return np.bincount(self.ends.ravel(), minlength=len(self.places))


def graph_of(edges: Sequence[Path]) -> Graph:
    """Return the graph of open paths, ends on a grid of `GRID` being one node."""
    if not edges:
        return Graph(np.empty((0, 2), dtype=np.int64), np.empty((0, 2)))
    ends = np.array([(*e.start, *e.end) for e in edges]).reshape(-1, 2)
    _, first, node = np.unique(np.round(ends / GRID), axis=0, return_index=True, return_inverse=True)
    return Graph(node.reshape(-1, 2).astype(np.int64), ends[first])


LONGER = 4.0
"""A chain closes on itself only if it is so many times longer than its gap."""


def close_gaps(graph: Graph, lengths: Floats, tolerance: float) -> tuple[Graph, tuple[Joint, ...]]:
    """Return the graph with loose ends within `tolerance` made one node, nearest pairs first.

    `lengths` (m,) are those of the edges, mm. Only loose ends take part, each at most once; both ends of one chain
    only if that is longer by far than its gap.
    """
    loose = np.flatnonzero(graph.degrees() == 1)
    if len(loose) < 2:
        return graph, ()
    spots = graph.places[loose]
    boxes = np.hstack([spots, spots])
    a, b = Index(boxes).pairs(boxes, tolerance)
    ahead = a < b
    a, b = loose[a[ahead]], loose[b[ahead]]
    sizes = np.hypot(*(graph.places[a] - graph.places[b]).T)
    near = sizes <= tolerance
    a, b, sizes = a[near], b[near], sizes[near]
    chains = Groups.of(graph, lengths)
    joints: list[Joint] = []
    used: set[int] = set()
    for k in np.lexsort((b, a, np.round(sizes, 9))).tolist():
        one, two, size = int(a[k]), int(b[k]), float(sizes[k])
        loop = chains.find(one) == chains.find(two)
        if one in used or two in used or (loop and chains.length_at(one) < LONGER * size):
            continue
        used.update((one, two))
        chains.unite(one, two)
        joints.append(Joint(one, two, size, loop))
    target = np.arange(len(graph.places))
    for joint in joints:
        target[joint.b] = joint.a
    return Graph(target[graph.ends], graph.places), tuple(joints)


class Groups:
    """Nodes that hang together, with the length of all edges between them."""

    __slots__ = ("_length", "_parent")

    def __init__(self, count: int) -> None:
        self._parent = list(range(count))
        self._length = [0.0] * count

    @staticmethod
    def of(graph: Graph, lengths: Floats) -> Groups:
        """Return the groups of a graph; `lengths` (m,) of its edges, mm."""
        groups = Groups(len(graph.places))
        for (start, end), length in zip(graph.ends.tolist(), lengths.tolist(), strict=True):
            groups.unite(start, end)
            groups._length[groups.find(start)] += length
        return groups

    def find(self, node: int) -> int:
        """Return the node that stands for the group of `node`."""
        parent = self._parent
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    def unite(self, one: int, two: int) -> None:
        """Make the groups of two nodes one."""
        a, b = sorted((self.find(one), self.find(two)))
        if a != b:
            self._parent[b] = a
            self._length[a] += self._length[b]

    def length_at(self, node: int) -> float:
        """Return the length of all edges of the group of `node`, mm."""
        return self._length[self.find(node)]


def core_edges(graph: Graph) -> Bools:
    """Return which edges (m,) lie on a loop or between loops: those left when loose ends are taken off again and again.

    The others are tails: open chains, alone or hanging on a loop.
    """
    keep = np.ones(len(graph.ends), dtype=np.bool_)
    counts = graph.degrees()
    if not (counts == 1).any():
        return keep
    degrees = counts.tolist()
    at: dict[int, list[int]] = defaultdict(list)
    ends = graph.ends.tolist()
    for edge, (start, end) in enumerate(ends):
        at[start].append(edge)
        at[end].append(edge)
    todo = [node for node, degree in enumerate(degrees) if degree == 1]
    while todo:
        node = todo.pop()
        for edge in at[node]:
            if keep[edge] and degrees[node] == 1:
                keep[edge] = False
                start, end = ends[edge]
                other = end if start == node else start
                degrees[node] -= 1
                degrees[other] -= 1
                if degrees[other] == 1:
                    todo.append(other)
    return keep


def walk(graph: Graph) -> tuple[tuple[Chain, ...], tuple[int, ...]]:
    """Return all chains and the nodes that are branch points (where chains end)."""
    degrees = graph.degrees()
    at: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for edge, (start, end) in enumerate(graph.ends.tolist()):
        at[start].append((edge, 0))
        at[end].append((edge, 1))
    used = [False] * len(graph.ends)
    chains = []
    ends = graph.ends.tolist()
    single = degrees == 2
    # Chains with ends first (from loose ends and branch points), then what is left: closed chains.
    begins = [
        (edge, side) for node in np.flatnonzero((degrees != 2) & (degrees > 0)).tolist() for edge, side in at[node]
    ]
    begins += [(edge, 0) for edge in range(len(ends))]
    for edge, side in begins:
        if used[edge]:
            continue
        first = ends[edge][side]
        links = []
        while not used[edge]:
            used[edge] = True
            links.append(Link(edge, side == 0))
            node = ends[edge][1 - side]
            if not single[node]:
                break
            others = [(e, s) for e, s in at[node] if (e, s) != (edge, 1 - side)]
            edge, side = others[0]
        chains.append(Chain(tuple(links), node == first and bool(single[node])))
    return tuple(chains), tuple(np.flatnonzero(degrees > 2).tolist())
