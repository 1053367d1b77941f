"""From parts to cuts in order: the planner's one verb."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from kerfproof.box import Box
from kerfproof.cut_plan import Cut, Point
from kerfproof.errors import Finding, Severity, Watch, no_watch
from kerfproof.geom.path import Bundle, Floats, Ints, Path
from kerfproof.geom.region import path_boxes
from kerfproof.job.job import Job, Pin
from kerfproof.memo import Memo
from kerfproof.parts.model.part import Feature, FeatureKind, Parts, inside_of
from kerfproof.plan.clearance import Clearances, Ground, Runs
from kerfproof.plan.closure import close_contours, contour_length
from kerfproof.plan.kerf import KerfLoop, KerfLoops, kerf_loops, side_of_scrap
from kerfproof.plan.leads.choose import Leads, choose_leads
from kerfproof.plan.leads.starts import KerfSheet
from kerfproof.plan.order.order import CutPlace, directions_to_bulk, order_stops, part_order, provisional_ranks
from kerfproof.plan.order.tip_places import on_sound_plate
from kerfproof.plan.order.travel import FreedPiece, Leg, freed_pieces, hops, may_tip, route
from kerfproof.plan.slits import SlitRun, cut_slits
from kerfproof.plan.tabs import tab_width, with_tabs
from kerfproof.plan.unordered_cuts import drafts
from kerfproof.sentence import mm, named, say
from kerfproof.shop.chart import PierceRating, Process
from kerfproof.shop.profile import Machine


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """The cuts of a plate in order, what was noticed, and the numbers of features that are not cut by choice.

    `drilled` are those of them that are holes for the drill.
    """

    cuts: tuple[Cut, ...]
    findings: tuple[Finding, ...]
    left_out: tuple[int, ...]
    drilled: tuple[int, ...] = ()
    tabs: tuple[Path, ...] = ()
    """Pieces of the torch's path that are left uncut on purpose."""


@dataclass(frozen=True, slots=True, eq=False)
class LeadSetting:
    """What leads are judged and chosen on: the sheet of closed kerf paths, the ground, the provisional ranks."""

    loops: KerfLoops
    sheet: KerfSheet
    ground: Ground
    ranks: Ints
    roots: list[int]


def plan_cuts(
    parts: Parts,
    plate: Box,
    machine: Machine,
    process: Process,
    job: Job,
    pins: Mapping[int, Pin] | None = None,
    watch: Watch = no_watch,
    wanted: Sequence[int] = (),
    setting: LeadSetting | None = None,
    tab_places: Mapping[int, Sequence[Point]] | None = None,
    memo: Memo | None = None,
) -> Planned:
    """Return the cuts of all parts, in plate coordinates and in the order of cutting.

    `plate` is xmin, ymin, xmax, ymax in the coordinates of `parts`; so are the places of `pins`, by feature number.
    A feature that can't be cut has an error finding and no cut. `wanted` are feature numbers in the order by hand.
    `setting` is what `prepare` gave for the same parts, plate, machine, process, job (pins may differ but in which
    run the other way round). `tab_places` are where tabs are wanted, by feature number. With the `memo` of the plan
    before only what changed is worked on; the cuts are the same as without.

    Raises
    ------
    KerfproofError
        If the job names a lead shape that does not exist.
    """
    memo, pins = memo or Memo(holds=False), pins or {}
    setting = setting or prepare(parts, plate, machine, process, job, watch, pins, memo)
    sheet = setting.sheet
    leads = choose_leads(sheet, setting.ground, machine, process, job, pins, setting.ranks, watch, memo)
    closures = close_contours(sheet, leads, setting.ground, process, job.leads, watch, memo)
    watch("leads", 1.0)
    clear = Clearances.of(process, machine)
    slits = [loop for loop in setting.loops.loops if loop.feature.kind is FeatureKind.SLIT]
    slit_pins = {loop.feature.number: pins[loop.feature.number] for loop in slits if loop.feature.number in pins}
    closed = [f for f in parts.features if f.kind in (FeatureKind.OUTLINE, FeatureKind.HOLE)]
    slit_runs, slit_findings = memo.result(
        "slits",
        (setting,),
        (machine, process, slit_pins),
        lambda: cut_slits(slits, closed, setting.ground, machine, process, clear, slit_pins),
    )
    drawn = drafts(parts, sheet, leads, closures, slit_runs, machine, process, memo)
    uncut = _uncut(parts, drawn, setting.loops.left_out) if job.leave_out else set()
    drawn = [cut for cut in drawn if cut.feature not in uncut]
    watch("leads", 1.0)
    before = _before(leads, slit_runs, setting, clear)
    watch("order", 0.0)
    several = {number for number, count in Counter(cut.feature for cut in drawn).items() if count > 1}
    stops = [
        CutPlace(cut.feature, cut.pierce, contour_length(cut.contour) if cut.feature in several else 0.0)
        for cut in drawn
    ]
    sequence = order_stops(
        stops, parts, plate, roots=setting.roots, order=job.order, spread=job.spread, before=before, wanted=wanted,
        watch=watch, memo=memo,
    )  # fmt: skip
    ordered = [drawn[i] for i in sequence]
    watch("order", 1.0)
    width = tab_width(process, job.tab_width)
    tabbed = with_tabs(ordered, sheet.loops, setting.ground, clear, job.tabs, width, tab_places or {})
    cuts = with_travel(tabbed.cuts, machine, plate, watch, memo=memo)
    findings = (
        *_pierce_findings(process),
        *setting.loops.findings,
        *_off_plate(setting.loops.loops, plate),
        *_turned_notes(setting.loops, pins),
        *leads.findings,
        *slit_findings,
        *tabbed.findings,
    )
    left_out = (*setting.loops.left_out, *sorted(uncut))
    return Planned(tuple(cuts), findings, left_out, setting.loops.drilled, tabbed.tabs)


def _uncut(parts: Parts, cuts: Sequence[Cut], left_out: Collection[int]) -> set[int]:
    """Return the features without a cut that nobody left out, those of a part without an outline with it."""
    cut = {draft.feature for draft in cuts} | set(left_out)
    kinds = (FeatureKind.OUTLINE, FeatureKind.HOLE, FeatureKind.SLIT)
    missing = [f for f in parts.features if f.kind in kinds and f.number not in cut]
    outlines = [f.number for f in missing if f.kind is FeatureKind.OUTLINE]
    return {f.number for f in missing} | {f.number for f in inside_of(parts.features, outlines)} - set(left_out)


def prepare(
    parts: Parts,
    plate: Box,
    machine: Machine,
    process: Process,
    job: Job,
    watch: Watch = no_watch,
    pins: Mapping[int, Pin] | None = None,
    memo: Memo | None = None,
) -> LeadSetting:
    """Return what leads are chosen on; kept, it lets single leads be judged at once (`leadbench`)."""
    features = parts.features
    turned = {number for number, pin in (pins or {}).items() if pin.reverse}
    unled = replace(job, pins=(), sequence=())
    loops = (memo or Memo(holds=False)).result(
        "offset", (parts,), (machine, process, unled), lambda: kerf_loops(features, machine, process, job, watch)
    )
    loops = _turned(loops, turned)
    closed = [loop for loop in loops.loops if loop.feature.kind is not FeatureKind.SLIT]
    sheet = KerfSheet(
        closed, side_of_scrap(machine), _bulk(closed, plate), [loop.feature.number in turned for loop in closed]
    )
    watch("leads", 0.0)
    ranks = np.zeros(max((f.number for f in features), default=-1) + 1, dtype=np.int64)
    roots = part_order(parts.parts, plate)
    for number, rank in provisional_ranks(parts, roots).items():
        ranks[number] = rank
    watch("leads", 0.0)
    ground = Ground(features, loops.loops, plate)
    watch("leads", 0.0)
    return LeadSetting(loops, sheet, ground, ranks, roots)


def _turned(loops: KerfLoops, numbers: Collection[int]) -> KerfLoops:
    """Return the loops with those of some features run the other way round, slits left as they are."""
    if not numbers:
        return loops
    new = tuple(
        replace(loop, path=loop.path.reversed()) if loop.feature.number in numbers and loop.path.closed else loop
        for loop in loops.loops
    )
    return replace(loops, loops=new)


def _bulk(loops: Sequence[KerfLoop], plate: Box) -> Floats:
    if not loops:
        return np.empty((0, 2))
    boxes = path_boxes(Bundle.of([loop.path for loop in loops]))
    return directions_to_bulk((boxes[:, :2] + boxes[:, 2:]) / 2, plate)


# --- order and ways -------------------------------------------------------------------------------------------


def _before(leads: Leads, slits: Sequence[SlitRun], setting: LeadSetting, clear: Clearances) -> set[tuple[int, int]]:
    """Return (first, then): whose tip face would rest on whose kerf if that were cut already."""
    runs = leads.chosen.runs.take(leads.chosen.pierced)
    pairs = leads.chosen.order_pairs()
    if slits:
        runs = runs.joined(_slit_pierces(slits, clear))
    judged = setting.ground.judge(runs, clear)
    first = runs.feature[judged.beside]
    late = setting.ranks[first] < setting.ranks[judged.other]  # a slit's pierce has no other place to go
    return pairs | set(zip(first[late].tolist(), judged.other[late].tolist(), strict=True))


def _slit_pierces(slits: Sequence[SlitRun], clear: Clearances) -> Runs:
    face = np.full(len(slits), clear.face)
    far = np.array([run.pierce for run in slits])
    near = np.array([(run.lead_in or run.contour).vertices[1, :2] for run in slits])
    numbers = np.array([run.loop.feature.number for run in slits])
    return Runs(far, near, np.zeros(len(slits)), numbers, np.array([run.loop.kerf for run in slits]), face)


def with_travel(
    cuts: Sequence[Cut],
    machine: Machine,
    plate: Box,
    watch: Watch = no_watch,
    whole: Sequence[Cut] | None = None,
    memo: Memo | None = None,
) -> list[Cut]:
    """Return the cuts, which are made in this order, with their ways around freed pieces.

    `whole` are the same cuts as they would be alone, where some of `cuts` are only the rest of one.
    """
    if not cuts:
        return []
    watch("travel", 0.0)
    memo = memo or Memo(holds=False)
    freeing = whole or cuts
    with memo.pieces("freed", (machine.travel_height,)) as known:
        keys = [(cut.contour, cut.kerf) for cut in freeing]
        pieces = known.all(keys, lambda new: _pieces([freeing[k] for k in new], machine))
    legs = route([cut.pierce for cut in cuts], [cut.end for cut in cuts], pieces, plate, watch)
    high = hops(legs, cuts, [_frees(cut.contour) for cut in freeing], machine)
    sound = on_sound_plate(cuts, machine.tip_face_radius) if machine.leave_touch_off_out else [True] * len(cuts)
    with memo.pieces("led", ()) as known:
        return [
            cut
            if leg == Leg() and hop is None and tip_sound
            else known.one((cut, leg, hop, tip_sound), partial(_with_leg, cut, leg, hop, tip_sound))
            for cut, leg, hop, tip_sound in zip(cuts, legs, high, sound, strict=True)
        ]


def _pieces(cuts: Sequence[Cut], machine: Machine) -> list[FreedPiece | None]:
    boxes = path_boxes(Bundle.of([cut.contour for cut in cuts]))
    diagonal = np.hypot(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    tall = [may_tip(size, machine.travel_height) and _frees(c.contour) for c, size in zip(cuts, diagonal, strict=True)]
    freeing = [cut for cut, may in zip(cuts, tall, strict=True) if may]
    pieces = iter(freed_pieces([cut.contour for cut in freeing], [cut.kerf for cut in freeing]))
    found = [next(pieces) if may else None for may in tall]
    return [piece if piece is not None and may_tip(piece.chord, machine.travel_height) else None for piece in found]


def _frees(contour: Path) -> bool:
    return bool(np.abs(contour.start - contour.end).max() < 1e-6)


def _with_leg(cut: Cut, leg: Leg, hop: float | None, tip_sound: bool) -> Cut:
    fields = {name: getattr(cut, name) for name in Cut.__slots__}
    return Cut(**{**fields, "via": leg.via, "full_raise": leg.full_raise, "hop": hop, "tip_sound": tip_sound})


# --- findings -------------------------------------------------------------------------------------------------


def _pierce_findings(process: Process) -> list[Finding]:
    """Return an error where the plate can't be pierced; what is at the limit the proof tells."""
    if process.pierce is not PierceRating.NO:
        return []
    plate = say(
        "{thickness} {material} at {amps:g} A",
        thickness=mm(process.thickness, "g"),
        material=process.material,
        amps=process.amps,
    )
    advice = "take thinner plate or more current; starts from the plate's edge are not planned here"
    return [Finding("pierce-too-thick", Severity.ERROR, say("{plate} can't be pierced", plate=plate), advice)]


def _turned_notes(loops: KerfLoops, pins: Mapping[int, Pin]) -> list[Finding]:
    """Return a note for each contour that the person has cut the other way round."""
    turned = {number for number, pin in pins.items() if pin.reverse}
    return [
        Finding(
            "cut-other-way-round",
            Severity.NOTE,
            say(
                "{label} is cut the other way round, so the squarer side of the kerf lies on the scrap",
                label=named(loop.feature.label),
            ),
            "look at its edge before you make many",
            x=pins[loop.feature.number].x,
            y=pins[loop.feature.number].y,
        )
        for loop in loops.loops
        if loop.feature.number in turned
    ]


def _off_plate(loops: Sequence[KerfLoop], plate: Box) -> list[Finding]:
    """Return a finding for each kerf that leaves the plate: the arc goes out there."""
    if not loops:
        return []
    boxes = path_boxes(Bundle.of([loop.path for loop in loops]))
    half = np.array([loop.kerf / 2 for loop in loops])[:, None]
    x0, y0, x1, y1 = plate
    beyond = np.concatenate(
        [np.array([x0, y0]) + half - boxes[:, :2], boxes[:, 2:] + half - np.array([x1, y1])], axis=1
    )
    out = []
    for i in np.flatnonzero((beyond > 1e-6).any(axis=1)).tolist():
        feature: Feature = loops[i].feature
        at: Point = (float(boxes[i, 0]), float(boxes[i, 1]))
        what = say(
            "the cut of {label} leaves the plate by {beyond}",
            label=named(feature.label),
            beyond=mm(float(beyond[i].max()), ".1f"),
        )
        out.append(
            Finding("cut-off-plate", Severity.ERROR, what, "move the part or use a larger plate", x=at[0], y=at[1])
        )
    return out
