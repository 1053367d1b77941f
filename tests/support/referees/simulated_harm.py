"""What a simulated run did to sheet, torch and part, in plain numbers: harm, doubt, or neither.

By shapely and the drawn contours alone, nothing of the product. Between what ruins (harm) and what changes nothing lies
a grey zone (doubt), which neither must be told nor must pass.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely import LineString, MultiPolygon, Point, Polygon, box, prepare, unary_union
from shapely.geometry.base import BaseGeometry

from support.referees.simulated_table import Dialect, Rig, Table, random_table
from support.referees.table_simulator import Burn, Simulator, Told

Ring = Sequence[tuple[float, float]]
DEVIATION, DOUBTFUL = 0.1, 0.03
"""Kept metal gouged or left uncut by more than the first is harm, by less than the second nothing, mm."""
HEIGHT, HEIGHT_DOUBT, HEIGHT_LENGTH = 1.0, 0.15, 4.0
FEED, FEED_DOUBT = 1.6, 1.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """What a right cut of this process is."""

    kerf: float
    feed: float
    cut_height: float
    light_height: float
    """Of the tip over the plate when the torch is lit."""
    pierce_height: float
    pierce_delay: float
    light_delay: float
    slag: float
    """So far from the start the torch may still stand at pierce height, mm."""
    arc_wait: bool = False


@dataclass(frozen=True, slots=True)
class Harm:
    """What is wrong: kinds with their lines. `unsure` says what could not be simulated."""

    harms: tuple[tuple[str, int, str], ...] = ()
    doubts: tuple[tuple[str, int, str], ...] = ()
    unsure: str = ""

    @property
    def word(self) -> str:
        """``harm``, ``doubt``, ``unsure`` or ``none``."""
        if self.harms:
            return "harm"
        return "unsure" if self.unsure else "doubt" if self.doubts else "none"

    def joined(self, other: Harm) -> Harm:
        """Return both."""
        return Harm(self.harms + other.harms, self.doubts + other.doubts, self.unsure or other.unsure)


@dataclass(slots=True)
class State:
    """The sheet after some burns: metal still held by its frame, pieces that dropped, all kerfs."""

    held: BaseGeometry
    dropped: list[Polygon] = field(default_factory=list)
    kerfs: list[BaseGeometry] = field(default_factory=list)
    told: list[tuple[bool, str]] = field(default_factory=list)
    """Harm (or doubt) of the last burn."""


class Sheet:
    """A sheet with what is drawn on it, and what becomes of it burn by burn; kept from run to run."""

    def __init__(
        self,
        plate: tuple[float, float, float, float],
        closed: Sequence[Ring],
        slits: Sequence[Ring],
        kerf: float,
        before: Sequence[Ring] = (),
        tip_radius: float = 6.0,
    ) -> None:
        self.plate, self.kerf, self.tip = plate, kerf, tip_radius
        kept: BaseGeometry = Polygon()
        for ring in closed:
            kept = kept.symmetric_difference(Polygon(ring))
        self.compared = bool(closed) or bool(slits)
        self.parts = [g for g in getattr(kept, "geoms", [kept]) if not g.is_empty]
        self.slits = [LineString(s) for s in slits]
        allowed = unary_union([s.buffer(kerf / 2 + DEVIATION + 0.02) for s in self.slits])
        self.core = [kept.buffer(-d).difference(allowed) for d in (DEVIATION, DOUBTFUL)]
        r = kerf / 2
        reach = [p.buffer(r + 1e-4, quad_segs=32).buffer(-r + 1e-4, quad_segs=32) for p in self.parts]
        self.limits = [[p.buffer(d) for p in reach] for d in (DEVIATION, DOUBTFUL)]
        edges = [LineString([*ring, ring[0]]) for ring in closed]
        self.corridor = unary_union([e.buffer(r + 0.3) for e in edges] + [s.buffer(0.4) for s in self.slits])
        first = State(box(*plate))
        self.states: dict[tuple[bytes, ...], State] = {(): first}
        if before:
            for path in before:
                first = self._burned(first, _line(path), path[0])
            first.told = []
            self.states[()] = first
        self.finals: dict[tuple[bytes, ...], list[tuple[bool, str]]] = {}

    def _line(self, burn: Burn) -> BaseGeometry:
        return _line(burn.points)

    def state(self, burns: Sequence[Burn]) -> State:
        """Return the sheet after these burns."""
        key = tuple(_key(b) for b in burns)
        known = self.states.get(key)
        if known is None:
            before = self.state(burns[:-1])
            known = self._burned(before, self._line(burns[-1]), burns[-1].start)
            if len(self.states) > 600:
                self.states = {(): self.states[()]}
            self.states[key] = known
        return known

    def _burned(self, before: State, line: BaseGeometry, start: tuple[float, float]) -> State:
        kerf = line.buffer(self.kerf / 2, quad_segs=16)
        told: list[tuple[bool, str]] = []
        at = Point(start)
        if not before.held.contains(at):
            gone = unary_union(before.dropped) if before.dropped else Polygon()
            told.append((True, "lit over a dropped piece" if gone.contains(at) else "lit over a void"))
        for piece in before.dropped:
            if line.length and line.intersection(piece).length > 1.0:
                told.append((True, "cut after it came free"))
                break
        new = kerf.intersection(before.held).area
        if new < 0.4 * kerf.area and line.length > 3.0:
            told.append((True, "cut in a cut"))
        if self.compared and line.length > 0.5 and line.intersection(self.corridor).length < 0.2 * line.length:
            told.append((True, "a cut where nothing is drawn"))
        elif self.compared and line.length <= 0.5:
            told.append((True, "a pierce without a cut"))
        left = before.held.difference(kerf)
        frame = box(*self.plate).exterior
        pieces = list(left.geoms) if isinstance(left, MultiPolygon) else [left]
        held = [p for p in pieces if p.distance(frame) < 1e-6]
        dropped = [p for p in pieces if p.distance(frame) >= 1e-6 and p.area > 0.05]
        out: BaseGeometry = MultiPolygon(held) if len(held) != 1 else held[0]
        prepare(out)
        return State(out, [*before.dropped, *dropped], [*before.kerfs, kerf], told)

    def sound(self, burns: Sequence[Burn], x: float, y: float) -> str:
        """Return what the tip finds at a place: ``sound`` metal, a place ``near`` a void, or ``void``."""
        held, at = self.state(burns).held, Point(x, y)
        if not held.contains(at):
            return "void"
        return "near" if held.boundary.distance(at) < self.tip else "sound"

    def final(self, burns: Sequence[Burn]) -> list[tuple[bool, str]]:
        """Return what is wrong with the parts in the end."""
        key = tuple(_key(b) for b in burns)
        if key not in self.finals:
            if len(self.finals) > 600:
                self.finals.clear()
            self.finals[key] = self._final(self.state(burns))
        return self.finals[key]

    def _final(self, state: State) -> list[tuple[bool, str]]:
        out: list[tuple[bool, str]] = []
        if not self.compared:
            return out
        burned = unary_union(state.kerfs) if state.kerfs else Polygon()
        for harm, core in zip((True, False), self.core, strict=True):
            if burned.intersection(core).area > 0.01:
                out.append((harm, "kept metal gouged"))
                break
        pieces = [*state.dropped, *getattr(state.held, "geoms", [state.held])]
        for part, *limits in zip(self.parts, *self.limits, strict=True):
            overlap = [p.intersection(part).area for p in pieces]
            if not overlap or max(overlap) < 0.5 * part.area:
                out.append((True, "the part is in pieces or gone"))
                continue
            piece = pieces[int(np.argmax(overlap))]
            for harm, limit in zip((True, False), limits, strict=True):
                if piece.difference(limit).area > 0.02:
                    free = "left uncut" if piece in state.dropped else "not cut free"
                    out.append((harm, free))
                    break
        reach = burned.buffer(0.1)
        if any(s.difference(reach).length > 0.2 for s in self.slits):
            out.append((True, "slit not cut"))
        return out


def _line(points: Ring) -> BaseGeometry:
    kept = [points[0]] + [b for a, b in itertools.pairwise(points) if math.dist(a, b) > 1e-6]
    return LineString(kept) if len(kept) > 1 else Point(kept[0])


def _key(burn: Burn) -> bytes:
    return np.round(np.asarray(burn.points, dtype=float), 3).astype(np.float32).tobytes()


def judge_cut(told: Told, sheet: Sheet, cutting: Cutting, reference: Sequence[Burn] = ()) -> Harm:
    """Return the harm of one run of a cutting program. `reference` are the burns of the right program."""
    if told.unsure:
        return Harm(unsure=told.unsure)
    harms = [(e.kind, e.line, e.text) for e in told.events if e.harm]
    doubts = [(e.kind, e.line, e.text) for e in told.events if not e.harm]
    for number, burn in enumerate(told.burns):
        for harm, kind, text in _burn_judged(burn, cutting, _like(burn, reference)):
            (harms if harm else doubts).append((kind, burn.line, text))
        for harm, kind in sheet.state(told.burns[: number + 1]).told:
            (harms if harm else doubts).append((kind, burn.line, ""))
    for harm, kind in sheet.final(told.burns):
        (harms if harm else doubts).append((kind, told.ended_at, ""))
    return Harm(tuple(harms), tuple(doubts))


def _like(burn: Burn, reference: Sequence[Burn]) -> Burn | None:
    """Return the burn of the right program that begins at the same place."""
    near = [r for r in reference if math.dist(r.start, burn.start) < 1.0]
    return near[0] if near else None


def _burn_judged(burn: Burn, cutting: Cutting, right: Burn | None) -> list[tuple[bool, str, str]]:
    out: list[tuple[bool, str, str]] = []
    light = cutting.light_height if right is None else right.height
    off = burn.height - light
    if cutting.light_height <= 0.0:
        if burn.height > 0.2 or off < -2.0:
            out.append((True, "arc start not in contact", f"{burn.height:.2f} mm"))
        elif abs(off) > HEIGHT_DOUBT:
            out.append((False, "arc start at another height", f"{burn.height:.2f} mm"))
    elif abs(off) > 1.0 or burn.height < 1.0:
        out.append((True, "arc start not at pilot height", f"{burn.height:.2f} mm"))
    elif abs(off) > HEIGHT_DOUBT:
        out.append((False, "arc start at another height", f"{burn.height:.2f} mm"))
    steps = list(zip(burn.points, burn.points[1:], burn.heights[1:], burn.heights, burn.feeds, strict=False))
    if not steps:
        return out
    still, cut = burn.still or 0.0, burn.before_cut or 0.0
    contact, allow = cutting.light_height <= 0.0, 0.0 if cutting.arc_wait else cutting.light_delay
    delay = cutting.pierce_delay if right is None else max(0.0, (right.before_cut or 0.0) - allow)
    if contact and still < 0.5 * allow:
        out.append((True, "moves before the arc is lit", f"{still:.2f} s"))
    elif contact and still < 0.9 * allow:
        out.append((False, "moves early", f"{still:.2f} s"))
    if delay > 0.05 and cut < allow + 0.5 * delay:
        out.append((True, "no pierce delay", f"{cut:.2f} s"))
    elif delay > 0.05 and cut < allow + 0.9 * delay:
        out.append((False, "pierce delay short", f"{cut:.2f} s"))
    long = cut - allow - max(delay, cutting.pierce_delay)
    if long > 20.0:
        out.append((True, "burns standing still", f"{cut:.1f} s"))
    elif long > 0.2:
        out.append((False, "waits longer than needed", f"{cut:.1f} s"))
    if burn.late > 0.05:
        out.append((burn.late > 3.0, "burns standing still in the cut", f"{burn.late:.1f} s"))
    if contact and right is not None and burn.top < right.top - 0.5:
        out.append((False, "pierces lower than it should", f"{burn.top:.1f} mm"))
    if contact and right is not None and burn.top > right.top + 0.5:
        out.append((burn.top > right.top + 5.0, "pierces higher than it should", f"{burn.top:.1f} mm"))
    return out + _along(steps, cutting, burn, right)


def _along(steps: list, cutting: Cutting, burn: Burn, right: Burn | None) -> list[tuple[bool, str, str]]:
    out: list[tuple[bool, str, str]] = []
    a = np.array([s[0] for s in steps])
    b = np.array([s[1] for s in steps])
    heights = np.array([(s[2], s[3]) for s in steps])
    length = np.hypot(*(b - a).T)
    done = np.cumsum(length)
    off = np.abs(heights - cutting.cut_height).max(axis=1)
    between = (heights.max(axis=1) <= max(cutting.pierce_height, cutting.cut_height) + 0.3) & (done <= cutting.slag)
    off = np.where(between & (heights.min(axis=1) > 0.3), 0.0, off)
    if length[off > HEIGHT].sum() > HEIGHT_LENGTH:
        out.append((True, "cut height off", f"by {off.max():.1f} mm"))
    elif length[off > HEIGHT_DOUBT].sum() > 1.0:
        out.append((False, "cut height somewhat off", f"by {off.max():.1f} mm"))
    feeds = np.array([s[4] for s in steps])
    wanted = np.full(len(feeds), cutting.feed)
    if right is not None and right.feeds:
        wanted[:] = _median_feed(right)
    ratio = np.maximum(feeds / wanted, wanted / np.maximum(feeds, 1e-9))
    if right is None:
        ratio = np.where((feeds <= cutting.feed * 1.02) & (feeds > cutting.feed * 0.3), 1.0, ratio)
    if length[ratio > FEED].sum() > HEIGHT_LENGTH:
        out.append((True, "feed off", f"by a factor {ratio.max():.2f}"))
    elif length[ratio > FEED_DOUBT].sum() > 0.5:
        out.append((False, "feed somewhat off", f"by a factor {ratio.max():.2f}"))
    return out


def _median_feed(burn: Burn) -> float:
    length = [math.dist(p, q) for p, q in zip(burn.points, burn.points[1:], strict=False)]
    order = np.argsort(burn.feeds)
    total = np.cumsum(np.array(length)[order])
    return float(np.array(burn.feeds)[order][int(np.searchsorted(total, total[-1] / 2))])


def judge_like(told: Told, right: Told, cutting: Cutting) -> Harm:
    """Return the harm of a run that should do what the right program did on the same table (test pieces)."""
    if told.unsure:
        return Harm(unsure=told.unsure)
    known = {(e.harm, e.kind) for e in right.events}
    harms = [(e.kind, e.line, e.text) for e in told.events if e.harm and (True, e.kind) not in known]
    doubts = [(e.kind, e.line, e.text) for e in told.events if not e.harm and (False, e.kind) not in known]
    if len(told.burns) != len(right.burns):
        worse = harms if len(told.burns) > len(right.burns) else doubts
        worse.append(("another number of cuts", told.ended_at, f"{len(told.burns)} for {len(right.burns)}"))
        return Harm(tuple(harms), tuple(doubts))
    for burn in told.burns:  # in whatever order
        wanted = min(right.burns, key=lambda r: math.dist(r.start, burn.start))
        ours, theirs = _line(burn.points), _line(wanted.points)
        away = ours.hausdorff_distance(theirs)
        if away > DEVIATION:
            harms.append(("the cut lies elsewhere", burn.line, f"by {away:.2f} mm"))
        elif away > DOUBTFUL:
            doubts.append(("the cut lies elsewhere", burn.line, f"by {away:.2f} mm"))
        for harm, kind, text in _against(burn, wanted, cutting):
            (harms if harm else doubts).append((kind, burn.line, text))
    return Harm(tuple(harms), tuple(doubts))


def _against(burn: Burn, right: Burn, cutting: Cutting) -> list[tuple[bool, str, str]]:
    out = []
    for kind, have, wanted, most, least in (
        ("arc start at another height", burn.height, right.height, 1.2, 0.1),
        ("waits otherwise before it moves", burn.still or 0, right.still or 0, 5.0, 0.02),
        ("waits otherwise before the cut", burn.before_cut or 0, right.before_cut or 0, 5.0, 0.05),
        ("pierces at another height", burn.top, right.top, 2.0, 0.3),
    ):
        if abs(have - wanted) > least:
            out.append((abs(have - wanted) > most, kind, f"{have:.2f} for {wanted:.2f}"))
    if cutting.light_height <= 0 and burn.height > 0.2 and right.height <= 0.2:
        out.append((True, "arc start not in contact", f"{burn.height:.2f} mm"))
    if (right.before_cut or 0) > 0.3 and (burn.before_cut or 0) < 0.5 * (right.before_cut or 0):
        out.append((True, "no pierce delay", ""))
    if burn.feeds and right.feeds:
        ratio = _median_feed(burn) / _median_feed(right)
        ratio = max(ratio, 1 / ratio)
        if ratio > 1.05:
            out.append((ratio > FEED, "feed off", f"by a factor {ratio:.2f}"))
        high = max(abs(np.median(burn.heights) - np.median(right.heights)), 0.0)
        if high > 0.1:
            out.append((bool(high > HEIGHT), "cut height off", f"by {high:.2f} mm"))
    return out


def judge_unlit(told: Told, right: Told) -> Harm:
    """Return the harm of a dry run, a frame or a walk-through: it lights nothing, searches nothing, stays up."""
    if told.unsure:
        return Harm(unsure=told.unsure)
    harms = [(e.kind, e.line, e.text) for e in told.events if e.harm]
    doubts = [(e.kind, e.line, e.text) for e in told.events if not e.harm]
    for burn in told.burns:
        harms.append(("torch lit in a dry run", burn.line, ""))
    if _elsewhere(told.visited, right.visited):
        doubts.append(("goes to other places", told.ended_at, ""))
    harms += [("search in a dry run", line, "") for line, _ in told.searches]
    harms += [("goes down in a dry run", line, "") for line in told.downs if line not in right.downs]
    return Harm(tuple(harms), tuple(doubts))


def _elsewhere(ours: Sequence[tuple[float, float]], theirs: Sequence[tuple[float, float]]) -> bool:
    if not ours or not theirs:
        return bool(ours) != bool(theirs)
    a, b = np.asarray(ours), np.asarray(theirs)
    away = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    return bool(max(away.min(axis=0).max(), away.min(axis=1).max()) > 0.5)


def tables_for(
    rig: Rig, dialect: Dialect, plate: tuple[float, float, float, float], seed: int, count: int
) -> list[Table]:
    """Return some random tables."""
    return [random_table(rig, dialect, plate, seed * 1009 + k) for k in range(count)]


def run_on(text: str, rig: Rig, dialect: Dialect, table: Table, sheet: Sheet | None = None) -> Told:
    """Return what a program does on a table."""
    return Simulator(rig, dialect, table, None if sheet is None else sheet.sound).run(text)
