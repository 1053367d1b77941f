"""Entities by role: the person's rules, then line types, then the words of layer names, with what is left out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.drawing.drawing import Drawing, Entity
from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bools, Floats
from kerfproof.parts.classify.roles import (
    LayerRule,
    RolePattern,
    as_rules,
    chosen_role,
    role_of,
    type_means,
    usual_role,
)
from kerfproof.parts.join.chains import graph_of, walk
from kerfproof.parts.model.contour import Role
from kerfproof.sentence import option, say

ENTITY_FAULTS = frozenset({"entity-broken", "entity-not-read", "entity-tilted"})
"""Rules of findings on single entities that could not be read."""
DRAWN = {"axis": "axes and the like", "hidden": "hidden or bend lines"}


@dataclass(frozen=True, slots=True, eq=False)
class Sorted:
    """The curves of a drawing by role, the points that are not ignored, and what was left out."""

    by_role: dict[Role, list[Entity]]
    points: tuple[tuple[float, float], ...]
    findings: tuple[Finding, ...]
    aside: tuple[Entity, ...] = ()
    """Curves that are ignored, by their layer, a rule or their line type."""


def sorted_out(drawing: Drawing, rules: Sequence[RolePattern], tolerance: float) -> Sorted:
    """Return the entities by role.

    Without a rule of the person, lines and open chains of line types that mean axes, hidden or bend lines are not
    cut, closed curves of axis types neither; unless all is drawn so, or a contour needs them to close.
    """
    by_role: dict[Role, list[Entity]] = {role: [] for role in Role}
    points = []
    doubtful: list[Entity] = []
    ignored: dict[str, list[tuple[Entity, bool]]] = defaultdict(list)
    for entity in drawing.entities:
        chosen = chosen_role(entity, rules)
        role = chosen if chosen is not None else usual_role(entity.layer)
        if role is Role.IGNORE:
            ignored[entity.layer].append((entity, chosen is None))
        elif entity.path is None:
            points.append(entity.point)
        elif chosen is None and role is Role.CUT and _doubtful(entity):
            doubtful.append(entity)
        else:
            by_role[role].append(entity)
    used = _needed(by_role[Role.CUT], doubtful, tolerance)
    by_role[Role.CUT] += [e for e, needed in zip(doubtful, used, strict=True) if needed]
    aside = [e for e, needed in zip(doubtful, used, strict=True) if not needed]
    findings = [*_ignored(ignored), *_aside(aside), *_dashed([e for e in by_role[Role.CUT] if e.path], rules)]
    order = {id(e): k for k, e in enumerate(drawing.entities)}
    by_role[Role.CUT].sort(key=lambda e: order[id(e)])
    unseen = [e for entries in ignored.values() for e, _ in entries]
    return Sorted(
        by_role,
        tuple(p for p in points if p is not None),
        (*findings, *_unused(drawing, rules)),
        tuple(e for e in (*unseen, *aside) if e.path is not None),
    )


def settled_findings(drawing: Drawing, rules: Sequence[LayerRule | RolePattern]) -> tuple[Finding, ...]:
    """Return what was noticed while reading, with faults of entities on ignored layers made notes.

    What nobody wants to cut may be unreadable.
    """
    wanted = as_rules(rules)
    layers = {s.handle: s.layer for s in drawing.skipped if s.handle}

    def settled(finding: Finding) -> Finding:
        layer = layers.get(finding.handle)
        if finding.rule not in ENTITY_FAULTS or layer is None or role_of(layer, wanted) is not Role.IGNORE:
            return finding
        return replace(finding, severity=Severity.NOTE)

    return tuple(map(settled, drawing.findings))


def _doubtful(entity: Entity) -> bool:
    meaning = type_means(entity.linetype)
    return meaning == "axis" or (meaning == "hidden" and entity.path is not None and not entity.path.closed)


def _needed(cut: Sequence[Entity], doubtful: Sequence[Entity], tolerance: float) -> list[bool]:
    """Return which doubtful entities are cut all the same: all if nothing else is, else those that close a chain."""
    if not doubtful:
        return []
    if not cut:
        return [True] * len(doubtful)
    loose = _loose_ends([e for e in cut if e.path is not None and not e.path.closed])
    used = [False] * len(doubtful)
    opened = [k for k, e in enumerate(doubtful) if e.path is not None and not e.path.closed]
    graph = graph_of([e.path for k in opened if (e := doubtful[k]).path is not None])
    for chain in walk(graph)[0]:
        if chain.closed:
            continue
        first, last = chain.links[0], chain.links[-1]
        start = graph.places[graph.ends[first.edge][0 if first.forward else 1]]
        end = graph.places[graph.ends[last.edge][1 if last.forward else 0]]
        at_start, at_end = _near(loose, start, tolerance), _near(loose, end, tolerance)
        if at_start.any() and at_end.any() and (at_start | at_end).sum() > 1:
            for link in chain.links:
                used[opened[link.edge]] = True
    return used


def _loose_ends(entities: Sequence[Entity]) -> Floats:
    graph = graph_of([e.path for e in entities if e.path is not None])
    return np.asarray(graph.places[graph.degrees() == 1])


def _near(places: Floats, at: Floats, tolerance: float) -> Bools:
    return np.asarray(np.hypot(*(places - at).T) <= max(tolerance, 1e-6))


# --- findings -------------------------------------------------------------------------------------------------


def _ignored(by_layer: dict[str, list[tuple[Entity, bool]]]) -> list[Finding]:
    """Return a note for each layer that is not cut; a warning where its name alone decided over closed curves."""
    found = []
    for layer, entries in sorted(by_layer.items()):
        closed = [e for e, by_name in entries if by_name and e.path is not None and e.path.closed]
        why = "its name" if entries[0][1] else "your rule"
        message = f"Not cut: {len(entries)} on layer {layer}, which is ignored by {why}"
        message += f"; {_closed(len(closed))}" if closed else ""
        advice = (
            say("cut it all the same with {role} {layer}=cut", role=option("role"), layer=layer)
            if entries[0][1]
            else ""
        )
        severity = Severity.WARNING if closed else Severity.NOTE
        handle = closed[0].handle if closed else ""
        found.append(Finding("layer-ignored", severity, message, advice, handle=handle, layer=layer))
    return found


def _aside(aside: Sequence[Entity]) -> list[Finding]:
    """Return what to say of entities that their line type keeps from being cut."""
    by_type: dict[str, list[Entity]] = defaultdict(list)
    for entity in aside:
        by_type[entity.linetype].append(entity)
    found = []
    for name, entities in sorted(by_type.items()):
        closed = [e for e in entities if e.path is not None and e.path.closed]
        what = DRAWN[type_means(name)]
        message = f"Not cut: {len(entities)} drawn in line type {name}, which means {what}"
        message += f"; {_closed(len(closed))}" if closed else ""
        severity = Severity.WARNING if closed else Severity.NOTE
        x, y = _place((closed or entities)[0])
        advice = say("cut them all the same with {role} linetype:{name}=cut", role=option("role"), name=name)
        handle = (closed or entities)[0].handle
        found.append(Finding("linetype-not-cut", severity, message, advice, x=x, y=y, handle=handle))
    return found


def _closed(count: int) -> str:
    return "1 of them is a closed curve" if count == 1 else f"{count} of them are closed curves"


def _place(entity: Entity) -> tuple[float | None, float | None]:
    if entity.path is None:
        return None, None
    x, y = entity.path.start.tolist()
    return x, y


def _dashed(cut: Sequence[Entity], rules: Sequence[RolePattern]) -> list[Finding]:
    """Return what to say of entities that are cut although they are drawn dashed."""
    by_type: dict[str, list[Entity]] = defaultdict(list)
    for entity in cut:
        if type_means(entity.linetype) and chosen_role(entity, rules) is None:
            by_type[entity.linetype].append(entity)
    found = []
    for name, entities in sorted(by_type.items()):
        x, y = _place(entities[0])
        message = f"{len(entities)} drawn in line type {name} are cut: they are closed, or close a contour"
        advice = say("if they are not meant to be cut: {role} linetype:{name}=ignore", role=option("role"), name=name)
        handle = entities[0].handle
        found.append(Finding("linetype-cut", Severity.WARNING, message, advice, x=x, y=y, handle=handle))
    return found


def _unused(drawing: Drawing, rules: Sequence[RolePattern]) -> list[Finding]:
    """Return a warning for each rule that nothing in the drawing matches."""
    looks = {(e.layer, e.color, e.rgb, e.linetype, e.kind) for e in drawing.entities}
    layers = {s.layer for s in drawing.skipped}
    found = []
    for rule in rules:
        plain = not (rule.color or rule.linetype or rule.kind)
        if any(rule.matches(*look) for look in looks) or (plain and any(rule.matches(x, 7, "", "") for x in layers)):
            continue
        message = f"nothing is drawn on {rule.words()}, so the rule that it is {rule.role.value} has no effect"
        known = f"the layers are {', '.join(drawing.layers[:12])}" if drawing.layers else ""
        found.append(Finding("role-unused", Severity.WARNING, message, known))
    return found
