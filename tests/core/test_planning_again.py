"""A bench gives what planning from nothing gives, and does again only what has to be done."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from types import ModuleType

import pytest
from ezdxf.layouts import Modelspace

from kerfproof import api
from kerfproof.cut_plan import Cut
from kerfproof.errors import Cancelled, KerfproofError, no_watch
from kerfproof.gcode.writer import cut_block
from kerfproof.gcode.writer.run import Run, run_of
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.job import inspect_drawing, reading
from kerfproof.job.job import ContourRole, DrawingUse, Job, Mode, Order, Pin, Turn
from kerfproof.job.reading import read_once
from kerfproof.memo import Memo
from kerfproof.outcome import Outcome
from kerfproof.planning import plan_job, write_and_prove
from support.shop.shop import built_in, chart, demo, dxf

JOB = Job(drawings=(DrawingUse(name="p.dxf"),), machine="m", chart="c", material="mild steel", thickness=3.0)
SHOP = api.Shop(built_in(), chart())


def plate(msp: Modelspace) -> None:
    msp.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    for x in (30, 60, 90):
        msp.add_circle((x, 40), 10)


SOURCES = {"p.dxf": dxf(plate)}
MOVED = replace(JOB, pins=(Pin(drawing="p.dxf", x=60.0, y=0.0),))


def told(outcome: Outcome) -> tuple[object, ...]:
    """Everything of an outcome that a person may see or a machine may read."""
    assert outcome.program is not None and outcome.plan is not None and outcome.proof is not None
    return (
        outcome.program,
        outcome.findings,
        outcome.plan.heading,
        [cut.pierce for cut in outcome.plan.cuts],
        outcome.pinned,
        outcome.copies,
        outcome.proof.findings,
        outcome.proof.edge_deviation,
        outcome.proof.holds_for,
    )


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """Count which stages were done."""
    count: Counter[str] = Counter()

    def counted(home: ModuleType, name: str) -> None:
        stage = getattr(home, name)

        def run(*args: object, **named: object) -> object:
            count[name] += 1
            return stage(*args, **named)

        monkeypatch.setattr(home, name, run)

    counted(reading, "read_dxf")
    for name in ("join_contours", "build_parts"):
        counted(inspect_drawing, name)
    for name in ("place", "prepare", "plan_cuts"):
        counted(plan_job, name)
    for name in ("write", "prove"):
        counted(write_and_prove, name)
    return count


@pytest.mark.parametrize("name", ["gusset", "pump-flange", "sluice-sheet"])
def test_the_first_time_it_is_what_planning_gives(name: str) -> None:
    sources = {"p.dxf": demo(name)}
    assert told(api.Bench().plan(JOB, sources, SHOP)) == told(api.plan(JOB, sources, SHOP))


def test_a_moved_lead_gives_what_planning_from_nothing_gives_without_reading_joining_or_offsetting(
    done: Counter[str],
) -> None:
    bench = api.Bench()
    before = told(bench.plan(JOB, SOURCES, SHOP))
    done.clear()
    moved = told(bench.plan(MOVED, SOURCES, SHOP))
    assert done == {"plan_cuts": 1, "write": 1, "prove": 1}
    assert moved != before
    assert moved == told(api.plan(MOVED, SOURCES, SHOP))
    assert told(bench.plan(JOB, SOURCES, SHOP)) == before


def test_a_contour_run_the_other_way_round_is_offset_again(done: Counter[str]) -> None:
    bench = api.Bench()
    bench.plan(MOVED, SOURCES, SHOP)
    done.clear()
    back = replace(MOVED, pins=(replace(MOVED.pins[0], reverse=True),))
    turned = told(bench.plan(back, SOURCES, SHOP))
    assert done["prepare"] == 1
    assert done["read_dxf"] == done["place"] == 0
    assert turned == told(api.plan(back, SOURCES, SHOP))


def test_a_bench_through_many_edits_writes_what_planning_from_nothing_writes() -> None:
    pin, at = Pin(drawing="p.dxf", x=40.0, y=40.0), MOVED.pins
    turns = tuple(Turn(drawing="p.dxf", x=x, y=40.0) for x in (100.0, 40.0, 20.0))
    edits: list[dict[str, object]] = [
        {"pins": at},
        {"pins": (replace(at[0], shape="straight"), pin)},
        {"pins": (replace(at[0], size=4.0), replace(pin, reverse=True))},
        {"pins": at, "sequence": turns[1:]},
        {"sequence": turns[:2], "order": Order.HOLES_FIRST},
        {"tabs": 2, "pins": (pin,)},
        {"contour_roles": (ContourRole(drawing="p.dxf", x=40.0, y=40.0, role="ignore"),), "pins": at},
        {"drawings": (DrawingUse(name="p.dxf", count=2),), "pins": at},
        {"mode": Mode.DRY, "pins": at},
        {},
    ]
    bench = api.Bench()
    for edit in edits:
        job = replace(JOB, **edit)  # type: ignore[arg-type]
        assert told(bench.plan(job, SOURCES, SHOP)) == told(api.plan(job, SOURCES, SHOP)), edit


def test_of_a_moved_lead_only_its_cut_and_the_way_to_it_are_written_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    bench, labels = api.Bench(), list[str]()

    def counted(cut: Cut, given: WriteContext) -> Run:
        labels.append(cut.label)
        return run_of(cut, given)

    monkeypatch.setattr(cut_block, "run_of", counted)
    first = bench.plan(JOB, SOURCES, SHOP)
    assert first.plan is not None and len(labels) == len(first.plan.cuts) == 4
    labels.clear()
    moved = bench.plan(MOVED, SOURCES, SHOP)
    assert moved.plan is not None and first.plan.cuts[:3] == moved.plan.cuts[:3], "the same cuts, not only equal ones"
    assert labels == [cut.label for cut in moved.plan.cuts[2:]]


@pytest.mark.parametrize(
    ("change", "again"),
    [
        ({"kerf": 1.1}, {"place", "prepare"}),
        ({"join_tolerance": 0.2}, {"join_contours", "build_parts", "place", "prepare"}),
        ({"spread": True}, {"place", "prepare"}),
    ],
)
def test_any_other_choice_gives_what_planning_from_nothing_gives(
    change: dict[str, object], again: set[str], done: Counter[str]
) -> None:
    bench = api.Bench()
    bench.plan(JOB, SOURCES, SHOP)
    done.clear()
    changed = replace(JOB, **change)  # type: ignore[arg-type]
    now = told(bench.plan(changed, SOURCES, SHOP))
    assert {name for name in done if name not in ("plan_cuts", "write", "prove")} == again
    assert now == told(api.plan(changed, SOURCES, SHOP))


def test_a_drawing_saved_anew_is_read_again_and_the_others_are_not(done: Counter[str]) -> None:
    bench = api.Bench()
    job = replace(JOB, drawings=(DrawingUse(name="p.dxf"), DrawingUse(name="q.dxf", count=2)))
    bench.plan(job, {"p.dxf": SOURCES["p.dxf"], "q.dxf": demo("gusset")}, SHOP)
    done.clear()
    sources = {"p.dxf": bytes(bytearray(SOURCES["p.dxf"])), "q.dxf": demo("pump-flange")}
    now = told(bench.plan(job, sources, SHOP))
    assert done["read_dxf"] == 1
    assert now == told(api.plan(job, sources, SHOP))


def test_a_drawing_that_was_read_before_the_plan_is_not_read_again_for_it(done: Counter[str]) -> None:
    memo = Memo()
    read_once(memo, SOURCES["p.dxf"], "p.dxf", api.ReadSettings(), no_watch)
    bench = api.Bench(memo)
    assert told(bench.plan(JOB, SOURCES, SHOP)) == told(api.Bench().plan(JOB, SOURCES, SHOP))
    assert done["read_dxf"] == 2, "once before the plan, once by the other bench"
    larger = replace(JOB, drawings=(DrawingUse(name="p.dxf", mm_per_unit=2.0),))
    assert told(bench.plan(larger, SOURCES, SHOP)) == told(api.plan(larger, SOURCES, SHOP)), "another unit is read anew"


def test_another_machine_is_planned_for_anew() -> None:
    bench = api.Bench()
    bench.plan(JOB, SOURCES, SHOP)
    other = api.Shop(built_in("pilot-ohmic-mm"), chart())
    assert told(bench.plan(JOB, SOURCES, other)) == told(api.plan(JOB, SOURCES, other))


def test_a_refused_or_stopped_job_leaves_the_bench_fit_for_the_next() -> None:
    bench = api.Bench()
    with pytest.raises(KerfproofError):
        bench.plan(replace(JOB, material="cheese"), SOURCES, SHOP)
    with pytest.raises(KerfproofError):
        bench.plan(JOB, {"p.dxf": b""}, SHOP)

    def stop(name: str, share: float) -> None:
        if name == "writing":
            raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        bench.plan(MOVED, SOURCES, SHOP, watch=stop)
    assert told(bench.plan(MOVED, SOURCES, SHOP)) == told(api.plan(MOVED, SOURCES, SHOP))
