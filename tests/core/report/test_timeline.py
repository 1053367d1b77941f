from __future__ import annotations

import numpy as np
import pytest

from kerfproof import api
from kerfproof.errors import KerfproofError
from kerfproof.gcode.timing import cut_times
from kerfproof.job.job import Mode
from kerfproof.outcome import Outcome
from support.shop import shop


@pytest.fixture(scope="module")
def cut() -> Outcome:
    return shop.cut(shop.demo("sluice-sheet"))


@pytest.fixture(scope="module")
def line(cut: Outcome) -> api.Timeline:
    assert cut.proof is not None
    return api.timeline_of(cut.proof.trace, cut.machine)


def test_it_lasts_as_long_as_the_program(cut: Outcome, line: api.Timeline) -> None:
    assert line.seconds == pytest.approx(cut_times(cut.proof.trace, cut.machine).sum())
    assert (np.diff(line.end) >= 0).all()
    assert np.allclose(line.begin[1:], line.end[:-1])


def test_each_moment_lies_on_the_row_that_runs(cut: Outcome, line: api.Timeline) -> None:
    trace = cut.proof.trace
    for seconds in np.linspace(0, line.seconds, 400):
        m = line.at(float(seconds))
        assert line.begin[m.row] - 1e-9 <= seconds <= line.end[m.row] + 1e-9
        if trace.sweep[m.row]:
            centre = trace.center[m.row] - np.array(trace.xy_origin)
            radius = np.hypot(*(trace.start[m.row, :2] - trace.center[m.row]))
            assert np.hypot(*(np.array([m.x, m.y]) - centre)) == pytest.approx(radius, abs=2e-3)
        assert m.line == trace.line[m.row]
        assert m.torch == trace.torch[m.row]


def test_the_ends_of_the_program_hold_what_lies_beyond(line: api.Timeline) -> None:
    assert line.at(-5.0).seconds == 0.0
    assert line.at(1e9).seconds == line.seconds
    assert line.at(1e9).row == len(line) - 1


def test_heights_are_over_the_plate(cut: Outcome, line: api.Timeline) -> None:
    """Lit in contact by the preload below the plate, cut at the cut height of the chart, float at the trip."""
    lit = line.start[line.kind == api.Step.TORCH_ON, 2]
    assert np.allclose(lit, -cut.machine.preload, atol=1e-6)
    cutting = line.torch & (np.hypot(*(line.finish - line.start)[:, :2].T) > 1)
    assert np.allclose(line.finish[cutting, 2], cut.process.cut_height, atol=1e-6)
    lowest = line.heights()[:, 1].min()
    assert -cut.machine.float_travel - 1.0 < lowest < -cut.machine.float_travel


def test_the_torch_burns_once_a_cut(cut: Outcome, line: api.Timeline) -> None:
    assert len(line.burning()) == len(cut.plan.cuts)
    assert (line.burning()[:, 1] > line.burning()[:, 0]).all()


def test_a_line_is_found_at_the_moment_it_acts(cut: Outcome, line: api.Timeline) -> None:
    for number in range(1, cut.program.text.count("\n")):
        when = line.moment_of_line(number)
        if when is None:
            assert number > line.line.max()
            continue
        first = np.flatnonzero(line.line >= number)
        nearest = line.line[first].min()
        assert line.line[line.begin >= when - 1e-9].min() <= nearest
        assert nearest >= number


def test_the_nearest_moment_is_as_near_as_any(line: api.Timeline) -> None:
    ticks = np.linspace(0, line.seconds, 6000)
    made = [line.at(float(t)) for t in ticks]
    places = np.array([(m.x, m.y) for m in made if m.torch])
    rng = np.random.default_rng(3)
    for x, y in rng.uniform((0, 0), (330, 330), (40, 2)):
        when = line.moment_near(float(x), float(y))
        m = line.at(when)
        sampled = np.hypot(*(places - [x, y]).T).min()
        assert np.hypot(m.x - x, m.y - y) <= sampled + 1e-6


def test_nothing_is_near_beyond_the_reach(line: api.Timeline) -> None:
    assert line.moment_near(-500.0, -500.0, reach=10.0) is None
    assert line.moment_near(-500.0, -500.0) is not None


def test_a_travel_move_is_found_only_when_asked_for(line: api.Timeline) -> None:
    travel = int(np.flatnonzero((line.kind == api.Step.RAPID) & (line.end - line.begin > 0.4))[0])
    x, y = line.finish[travel, :2] / 2 + line.start[travel, :2] / 2
    when = line.moment_near(float(x), float(y), reach=0.01, burning=False)
    assert when is not None
    assert not line.at(when).torch
    assert line.moment_near(float(x), float(y), reach=0.01) is None


@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME, Mode.TOUR])
def test_a_run_that_leaves_z_alone_claims_no_height(mode: Mode) -> None:
    dry = shop.cut(shop.demo("gusset"), mode=mode)
    line = api.timeline_of(dry.proof.trace, dry.machine)
    assert not line.torch.any()
    assert len(line.burning()) == 0
    assert not line.plate_known
    assert len(line.heights()) == 0
    assert line.at(3.0).height is None


def test_a_drawing_without_a_closed_contour_tells_what_was_found() -> None:
    def draw(space: object) -> None:
        space.add_line((0, 0), (50, 0))
        space.add_line((50, 0.4), (50, 50))

    with pytest.raises(KerfproofError) as refused:
        shop.cut(shop.dxf(draw))
    chain = next(f for f in refused.value.findings if f.rule == "open-chain")
    assert chain.size == pytest.approx(0.4)
    assert chain.layer == "0"
