"""Which pauses the machine asks for between cuts: looks, the witness mark, new tips between parts."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from kerfproof.cut_plan import Cut, Pause, PauseKind, Point
from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle, Path
from kerfproof.geom.region import inside
from kerfproof.plan.order.travel import may_tip
from kerfproof.sentence import counted, named, say
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine


def planned_pauses(
    cuts: Sequence[Cut], owners: Sequence[Hashable], machine: Machine, process: Process, used: int = 0
) -> tuple[tuple[Pause, ...], tuple[Finding, ...]]:
    """Return the pauses between `cuts`, in order, and what could not be done.

    A new tip comes between two parts, as late as the tip life of the chart allows: a part begun is finished first.
    `owners` tells the part of each cut; `used` is how many starts the tip has behind it.
    """
    last = len(cuts) - 1
    pauses = [Pause(after=k, kind=PauseKind.LOOK) for k in range(min(machine.first_looks, len(cuts)))]
    if machine.witness_every:
        mark = (machine.witness_x, machine.witness_y)
        every = range(machine.witness_every - 1, last, machine.witness_every)
        pauses += [Pause(after=k, kind=PauseKind.WITNESS, at=mark) for k in every]
    findings: tuple[Finding, ...] = ()
    worn: tuple[Finding, ...] = ()
    if machine.witness_every:
        findings = tuple(_loose_mark(cuts, (machine.witness_x, machine.witness_y)))
    if machine.tip_changes and process.starts_per_tip > 0:
        changes, worn = _tips(cuts, owners, process.starts_per_tip, used)
        pauses += [Pause(after=k, kind=PauseKind.TIP, at=_tip_place(machine)) for k in changes]
    elif used and 0 < process.starts_per_tip < used + len(cuts):
        worn = (_used_up(cuts[process.starts_per_tip - min(used, process.starts_per_tip)], cuts, process, used),)
    kinds, tall = list(PauseKind), _first_tall(cuts, machine)
    pauses = [replace(p, look=p.at is not None and p.after >= tall) for p in pauses]
    return tuple(sorted(pauses, key=lambda p: (p.after, kinds.index(p.kind)))), (*findings, *worn)


def _loose_mark(cuts: Sequence[Cut], mark: Point) -> Iterator[Finding]:
    """Yield a warning if the witness mark lies on metal that the program cuts loose or away."""
    for cut in cuts:
        ring = cut.contour
        if np.abs(ring.start - ring.end).max() > 1e-6:
            continue
        closed = Path(ring.opened().vertices[:-1], True)
        if inside(Bundle.of([closed]), np.array([mark]))[0]:
            where = f'"{cut.part}"' if cut.part else "the plate"
            what = say(
                "the witness mark lies on {label} of {where}, which is cut loose", label=named(cut.label), where=where
            )
            advice = "put it on metal that stays (machine file: witness_x, witness_y)"
            yield Finding("witness-on-loose-metal", Severity.WARNING, what, advice, x=mark[0], y=mark[1])
            return


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


def _tips(
    cuts: Sequence[Cut], owners: Sequence[Hashable], life: int, used: int
) -> tuple[list[int], tuple[Finding, ...]]:
    """Return after which cuts the tip is changed; a warning where a part needs more starts than a tip lasts."""
    between = _between_parts(owners)
    changes: list[int] = []
    findings = []
    begun = -min(used, life)  # the cut, counted from 0, that the tip in use lit first
    while begun + life < len(cuts):
        fitting = [k for k in between if max(begun, 0) <= k < begun + life and k < len(cuts) - 1]
        if fitting:
            at = fitting[-1]
        else:
            later = [k for k in between if k >= begun + life and k < len(cuts) - 1]
            findings.append(_outrun(cuts[begun + life], begun + life, life, begun < 0))
            if not later:
                break
            at = later[0]
        changes.append(at)
        begun = at + 1
    return changes, tuple(findings)


def _outrun(cut: Cut, number: int, life: int, worn: bool) -> Finding:
    """Return a warning that the tip is worn at a cut (from 0) before a part ends; `worn`: it was when it began."""
    x, y = cut.pierce
    if worn:
        what = f"the tip has starts behind it and is used up at cut {number + 1}, before a part ends"
        return Finding("tip-outrun", Severity.WARNING, what, "begin with a new tip", x=x, y=y)
    what = f"a tip lasts about {counted(life, 'start')}, but from cut {number + 1} on no part ends within them"
    advice = "watch the kerf there, or change the tip by hand"
    return Finding("tip-outrun", Severity.WARNING, what, advice, x=x, y=y)


def _used_up(cut: Cut, cuts: Sequence[Cut], process: Process, used: int) -> Finding:
    """Return a warning that the tip is used up at `cut`, and no change of it is planned."""
    left = max(0, process.starts_per_tip - used)
    times = counted(len(cuts), "time")
    what = f"the tip has about {left} of {process.starts_per_tip} starts left, the program lights {times}"
    advice = "begin with a new tip, or have changes planned (machine file: watch.tip_changes)"
    return Finding("tip-outrun", Severity.WARNING, what, advice, x=cut.pierce[0], y=cut.pierce[1])


def _between_parts(owners: Sequence[Hashable]) -> list[int]:
    """Return the cuts after which every part that was begun is finished."""
    left = Counter(owners)
    open_parts: set[Hashable] = set()
    out = []
    for k, part in enumerate(owners):
        open_parts.add(part)
        left[part] -= 1
        if not left[part]:
            open_parts.discard(part)
        if not open_parts:
            out.append(k)
    return out
