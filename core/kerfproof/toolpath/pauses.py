"""Which pauses the machine asks for between cuts: looks, the witness mark, new tips between parts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from kerfproof.cutplan import Cut, Pause, PauseKind, Point
from kerfproof.errors import Finding, Severity
from kerfproof.machine.chart import Process
from kerfproof.machine.profile import Machine
from kerfproof.parts.part import Parts
from kerfproof.toolpath.travel import may_tip


def planned_pauses(
    cuts: Sequence[Cut], parts: Parts, machine: Machine, process: Process
) -> tuple[tuple[Pause, ...], tuple[Finding, ...]]:
    """Return the pauses between `cuts`, in order, and what could not be done.

    A new tip comes between two parts, as late as the tip life of the chart allows: a part begun is finished first.
    """
    last = len(cuts) - 1
    pauses = [Pause(after=k, kind=PauseKind.LOOK) for k in range(min(machine.first_looks, len(cuts)))]
    if machine.witness_every:
        mark = (machine.witness_x, machine.witness_y)
        every = range(machine.witness_every - 1, last, machine.witness_every)
        pauses += [Pause(after=k, kind=PauseKind.WITNESS, at=mark) for k in every]
    findings: tuple[Finding, ...] = ()
    if machine.tip_changes and process.starts_per_tip > 0:
        changes, findings = _tips(cuts, parts, process.starts_per_tip)
        pauses += [Pause(after=k, kind=PauseKind.TIP, at=_tip_place(machine)) for k in changes]
    kinds, tall = list(PauseKind), _first_tall(cuts, machine)
    pauses = [replace(p, look=p.at is not None and p.after >= tall) for p in pauses]
    return tuple(sorted(pauses, key=lambda p: (p.after, kinds.index(p.kind)))), findings


def _first_tall(cuts: Sequence[Cut], machine: Machine) -> int:
    """Return the number of the first cut that frees a piece which may stand up higher than a raised torch."""
    for k, cut in enumerate(cuts):
        x0, y0, x1, y1 = cut.contour.bounds()
        if cut.kind != "slit" and may_tip(math.hypot(x1 - x0, y1 - y0), machine.park_height_max):
            return k
    return len(cuts)


def _tip_place(machine: Machine) -> Point | None:
    if machine.tip_change_x is None or machine.tip_change_y is None:
        return None
    return machine.tip_change_x, machine.tip_change_y


def _tips(cuts: Sequence[Cut], parts: Parts, life: int) -> tuple[list[int], tuple[Finding, ...]]:
    """Return after which cuts the tip is changed; a warning where a part needs more starts than a tip lasts."""
    between = _between_parts(cuts, parts)
    changes: list[int] = []
    begun, findings = 0, []
    while begun + life < len(cuts):
        fitting = [k for k in between if begun <= k < begun + life and k < len(cuts) - 1]
        if fitting:
            at = fitting[-1]
        else:
            later = [k for k in between if k >= begun + life and k < len(cuts) - 1]
            cut = cuts[begun + life]
            what = f"a tip lasts about {life} starts, but from cut {begun + 1} on no part ends within them"
            advice = "watch the kerf there, or change the tip by hand"
            x, y = cut.pierce
            findings.append(Finding("tip-outrun", Severity.WARNING, what, advice, x=x, y=y))
            if not later:
                break
            at = later[0]
        changes.append(at)
        begun = at + 1
    return changes, tuple(findings)


def _between_parts(cuts: Sequence[Cut], parts: Parts) -> list[int]:
    """Return the cuts after which every part that was begun is finished."""
    part_of = {feature.number: feature.part for feature in parts.features}
    left: dict[int, int] = {}
    for cut in cuts:
        left[part_of[cut.feature]] = left.get(part_of[cut.feature], 0) + 1
    open_parts: set[int] = set()
    out = []
    for k, cut in enumerate(cuts):
        part = part_of[cut.feature]
        open_parts.add(part)
        left[part] -= 1
        if not left[part]:
            open_parts.discard(part)
        if not open_parts:
            out.append(k)
    return out
