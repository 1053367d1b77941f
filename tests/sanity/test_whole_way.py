"""The whole way on every dialect, unit and start kind: what a fabricator would check before standing beside it.

Expected figures are worked out by hand or by plain numpy here; the machine is played by the interpreter on a flat
plate that trips the switch a float below contact.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

import numpy as np
import pytest

from kerfproof.cut_plan import Cut
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.trace import Probed, StartState, Step, Trace
from kerfproof.geom.path import Bundle
from kerfproof.job.job import DrawingUse, Mode
from kerfproof.shop.profile import Machine, TouchOff
from support.shop.shop import DEMOS, DIALECTS, built_in, cut, demo, dxf, starts


def known(space) -> None:  # type: ignore[no-untyped-def]
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
    space.add_circle((50, 30), 10)


KNOWN = dxf(known)


VARIANTS = [(start, dialect, inches) for start in starts() for dialect in DIALECTS for inches in (False, True)]


def variant(start: str, dialect: str, inches: bool) -> Machine:
    return replace(starts()[start], dialect=dialect, inches=inches)


@dataclass
class FlatPlate:
    """The plate's top at machine height 0; the axis stops where the switch trips (common practice: float 0.75 in)."""

    depth: float

    def probe(self, start, target, feed_mm_min):  # type: ignore[no-untyped-def]
        if target[2] > -self.depth:
            return Probed(False, target, target)
        at = (start[0], start[1], min(start[2], -self.depth))
        return Probed(True, at, at)


def played(outcome) -> Trace:  # type: ignore[no-untyped-def]
    machine = outcome.machine
    lines = {
        key: line
        for key, line in (
            ("sense_on", machine.sense_on), ("sense_off", machine.sense_off), ("arc_wait", machine.arc_wait),
            ("height_control_on", machine.height_control_on), ("height_control_off", machine.height_control_off),
        )
        if line
    }  # fmt: skip
    homed = -100.0 if machine.z_homed else 0.0
    start = StartState(position=(0.0, 0.0, 0.0 if machine.z_homed else 30.0 + homed))
    world = FlatPlate(machine.trip_depth - homed)
    if machine.touch_off is TouchOff.NONE:
        start = StartState(position=(0.0, 0.0, 30.0))
    return interpret(outcome.program.text, control_of(machine), world=world, start=start, lines=lines)


def lit_motion(trace: Trace) -> np.ndarray:
    rows = trace.torch & np.isin(trace.kind, [Step.FEED, Step.ARC])
    return np.column_stack([trace.start[rows, :2], trace.end[rows, :2], trace.feed[rows], trace.sweep[rows]])


@pytest.mark.parametrize(("start", "dialect", "inches"), VARIANTS)
def test_a_plate_with_a_hole_is_proven_on_every_control_and_start(start, dialect, inches):
    outcome = cut(KNOWN, variant(start, dialect, inches))
    assert outcome.proof is not None
    assert outcome.ok, [f.sentence() for f in outcome.findings if f.severity == "error"]
    assert outcome.proof.verdict.startswith("PROVEN")
    # Books balance: starts = torch-offs = features cut.
    trace = outcome.proof.trace
    lit = int((trace.kind == Step.TORCH_ON).sum())
    off_after_on = int(np.sum((trace.kind == Step.TORCH_OFF) & trace.torch))
    assert lit == off_after_on == 2 == len(outcome.proof.runs)
    assert "on" not in trace.modes["torch"]


def contour_length(plan, kind: str) -> float:  # type: ignore[no-untyped-def]
    (one,) = [c for c in plan.cuts if c.kind == kind]
    return one.contour.length()


def test_the_known_plate_has_the_published_paths_and_directions():
    # 100 x 60 with a D20 hole at kerf 1.5: outline path 324.712 without leads, hole path 58.119 (Steiner formula
    # and circle arithmetic). An outline begun at a corner leaves the rolled corner there out for the sharp one:
    # 2 x 0.75 - pi / 2 x 0.75 longer.
    outcome = cut(KNOWN, kerf=1.5)
    outline, hole = (contour_length(outcome.plan, kind) for kind in ("outline", "hole"))
    assert min(abs(outline - 324.712), abs(outline - 324.712 - 0.75 * (2 - math.pi / 2))) < 1e-3
    assert hole == pytest.approx(58.119, abs=1e-3)
    assert [c.kind for c in outcome.plan.cuts] == ["hole", "outline"]
    closed = [c.contour.vertices for c in outcome.plan.cuts]
    areas = [float(np.sum(v[:-1, 0] * v[1:, 1] - v[1:, 0] * v[:-1, 1])) for v in closed]
    assert areas[0] > 0 > areas[1], "the hole runs counter-clockwise, the outline clockwise (square edge right)"
    turned = cut(KNOWN, replace(built_in(), swirl_clockwise=False), kerf=1.5)
    closed = [c.contour.vertices for c in turned.plan.cuts]
    areas = [float(np.sum(v[:-1, 0] * v[1:, 1] - v[1:, 0] * v[:-1, 1])) for v in closed]
    assert areas[0] < 0 < areas[1], "with the swirl turned all are reversed"
    assert turned.ok


def test_the_known_plate_cut_with_a_worn_tip_is_reported_as_what_it_makes():
    # Swept with 1.9 instead of 1.5: part 99.6 x 59.6, hole 20.4: 0.2 mm gouged all round.
    outcome = cut(KNOWN, kerf=1.5)
    from kerfproof import api

    drawn, slits = api.drawn_contours(outcome.parts, ())
    worn = replace(outcome.process, kerf=1.9)
    proof = api.prove(
        outcome.program.text,
        api.Against(
            control=control_of(outcome.machine),
            machine=outcome.machine,
            process=worn,
            drawn=drawn,
            plate=outcome.plan.plate,
        ),
    )
    assert not proof.ok and not slits
    assert proof.worst_gouge == pytest.approx(0.2, abs=1e-3)


@pytest.mark.parametrize(
    ("start", "dialect", "name"),
    [(start, dialect, DEMOS[(k + m) % 3]) for k, start in enumerate(starts()) for m, dialect in enumerate(DIALECTS)],
)  # every drawing on every start and in every dialect
def test_inch_programs_do_the_same_as_millimetre_programs(name, dialect, start):
    mm, inch = (cut(demo(name), variant(start, dialect, inches), kerf=1.45) for inches in (False, True))
    assert mm.ok and inch.ok, [f.sentence() for f in (*mm.findings, *inch.findings) if f.severity == "error"]
    a, b = played(mm), played(inch)
    assert a.stopped is None and b.stopped is None
    one, two = lit_motion(a), lit_motion(b)
    assert one.shape == two.shape
    assert np.abs(one[:, :4] - two[:, :4]).max() <= 0.001, "paths agree within 0.001 mm"
    assert (np.abs(one[:, 4] / two[:, 4] - 1) <= 0.001).all(), "feeds agree within 0.1 %"
    dwell_a, dwell_b = (t.value[t.kind == Step.DWELL] for t in (a, b))
    assert dwell_a.shape == dwell_b.shape and np.abs(dwell_a - dwell_b).max() <= 0.002
    assert int((a.kind == Step.TORCH_ON).sum()) == int((b.kind == Step.TORCH_ON).sum()) == len(mm.plan.cuts)


def test_all_dialects_cut_the_same_path():
    paths = [lit_motion(played(cut(demo("gusset"), variant("contact float", d, False), kerf=1.45))) for d in DIALECTS]
    for path in paths[1:]:
        assert path.shape == paths[0].shape
        assert np.abs(path[:, :4] - paths[0][:, :4]).max() <= 0.001


def seconds_of(cut_: Cut) -> float:
    """Return how long a cut takes at its feeds, its long straights at their own where they have one."""
    fast = 0.0
    if cut_.flank_feed_mm_min is not None:
        v = cut_.contour.vertices
        steps = np.hypot(*np.diff(v[:, :2], axis=0).T)
        fast = float(steps[(v[:-1, 2] == 0) & (steps > 3.0)].sum())
    return 60 * ((cut_.length() - fast) / cut_.feed_mm_min + fast / (cut_.flank_feed_mm_min or 1.0))


@pytest.mark.parametrize("name", DEMOS)
def test_the_books_balance(name):
    outcome = cut(demo(name))
    trace = played(outcome)
    machine = outcome.machine
    lengths = sum(seconds_of(c) for c in outcome.plan.cuts)
    on = np.flatnonzero(trace.kind == Step.TORCH_ON)
    off = [int(np.flatnonzero((trace.kind == Step.TORCH_OFF) & (np.arange(len(trace)) > k))[0]) for k in on]
    lit = sum(float(trace.seconds[a:b].sum()) for a, b in zip(on, off, strict=True))
    # Torch on = cutting + light delay + pierce delay (the rise to cut height is taken out of the pierce delay).
    expected = lengths + len(on) * (machine.light_delay_s + outcome.process.pierce_delay_s)
    rise = (machine.preload + max(outcome.process.pierce_height, outcome.process.cut_height)) * 2 / 900 * 60
    assert expected - 0.01 * expected <= lit <= expected + len(on) * rise + 0.01 * expected
    assert len(on) == len(outcome.plan.cuts) == len(outcome.parts.features) - len(outcome.left_out)
    last = trace.kind != Step.END
    assert not trace.torch[-1] and trace.end[last][-1, 2] >= machine.travel_height - 1e-6, "off and raised at the end"


@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME, Mode.TOUR])
@pytest.mark.parametrize("inches", [False, True])
@pytest.mark.parametrize("dialect", DIALECTS)
def test_dry_frame_and_tour_hold_no_torch_word_and_never_come_down(dialect, inches, mode):
    machine = variant("contact float", dialect, inches)
    outcome = cut(demo("gusset"), machine, mode=mode)
    assert outcome.ok, [f.sentence() for f in outcome.findings if f.severity == "error"]
    words = [line.split("(")[0] for line in outcome.program.text.splitlines()]
    assert not any(re.search(r"M0*[34](?!\d)|G38|G31", w) for w in words)
    trace = interpret(
        outcome.program.text, control_of(machine), start=StartState(position=(0.0, 0.0, machine.travel_height))
    )
    assert not trace.torch.any() and (trace.kind != Step.TORCH_ON).all()
    assert trace.end[:, 2].min() >= machine.travel_height - 1e-6
    if mode is Mode.DRY:
        lit = lit_motion(played(cut(demo("gusset"), machine)))
        ends = trace.end[np.isin(trace.kind, [Step.FEED, Step.ARC, Step.RAPID]), :2]
        for x, y in lit[::7, 2:4]:
            assert np.abs(ends - [x, y]).sum(axis=1).min() < 1e-3, "the dry run passes every place of the cut"


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("mirror", [False, True])
def test_an_unlike_handed_part_is_proven_however_it_is_laid(turn, mirror):
    def letter_f(space) -> None:  # type: ignore[no-untyped-def]
        space.add_lwpolyline(
            [(0, 0), (25, 0), (25, 40), (60, 40), (60, 60), (25, 60), (25, 80), (80, 80), (80, 100), (0, 100)],
            close=True,
        )
        space.add_circle((12.5, 12), 4)

    use = DrawingUse(name="part.dxf", turn_deg=turn, mirror=mirror)
    outcome = cut(dxf(letter_f), drawings=(use,))
    assert outcome.ok
    (hole,) = [f for f in outcome.parts.features if f.kind == "hole"]
    box = np.array(outcome.parts.parts[0].outline.contour.path.bounds())
    x, y = Bundle.of([hole.contour.path]).segments().center[0] - box[:2]
    u, v = (80 - 12.5 if mirror else 12.5), 12.0
    expected = {0: (u, v), 90: (100 - v, u), 180: (80 - u, 100 - v), 270: (v, 80 - u)}[turn]
    assert (x, y) == pytest.approx(expected, abs=1e-6)


def test_the_same_job_gives_the_same_bytes():
    one, two = cut(demo("sluice-sheet")), cut(demo("sluice-sheet"))
    assert one.program == two.program
