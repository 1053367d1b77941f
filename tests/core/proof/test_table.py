"""The simulated table, with numbers worked out by hand.

Overrun of the test machine (latency 10 ms, 300 mm/s2): at 150 mm/min v = 2.5 mm/s, so 0.025 + 6.25 / 600 =
0.0354 mm; at 1000 mm/min v = 16.667 mm/s, so 0.1667 + 277.78 / 600 = 0.6296 mm.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerfproof.gcode.dialects.compact import DIALECT as COMPACT
from kerfproof.gcode.dialects.ngc import DIALECT as NGC
from kerfproof.proof.evidence.simulated_table import Fault, Plate, Table, Trouble, trip_depth
from support.shop.known_plate import MACHINE, MACHINES

FLAT = Plate(-37.5)


def table(plate: Plate = FLAT, back_off: float = 0.0, trouble: Trouble | None = None) -> Table:
    return Table(MACHINE, plate, 19.05, back_off, trouble)


def search(t: Table, z: float, to: float, feed: float = 150.0, x: float = 10.0, y: float = 20.0):
    return t.probe((x, y, z), (x, y, to), feed)


def test_the_switch_trips_a_float_below_the_plate_and_the_carriage_runs_on():
    probed = search(table(), 0.0, -80.0)
    assert probed.tripped
    assert probed.trip == pytest.approx((10.0, 20.0, -56.55))
    assert probed.rest[2] == pytest.approx(-56.55 - 0.0354, abs=1e-4)


def test_a_fast_touch_overruns_by_0_63():
    assert search(table(), 0.0, -80.0, 1000.0).rest[2] == pytest.approx(-56.55 - 0.6296, abs=1e-4)


def test_a_fast_touch_is_read_late_by_its_way_in_the_latency_against_the_feed_of_the_float():
    assert search(table(), 0.0, -80.0, 1000.0).trip[2] == pytest.approx(-56.55 - 850 / 60 * 0.01, abs=1e-6)
    assert search(table(), 0.0, -80.0, 60.0).trip[2] == pytest.approx(-56.55 + 90 / 60 * 0.01, abs=1e-6)


def test_the_control_moves_back_up_after_a_trip():
    assert search(table(back_off=2.0), 0.0, -80.0).rest[2] == pytest.approx(-56.55 - 0.0354 + 2.0, abs=1e-4)


def test_a_tilted_plate_is_met_where_it_is():
    tilted = Plate(-37.5, 0.05, -0.02)
    assert tilted.top_at(10.0, 20.0) == pytest.approx(-37.4)
    assert search(table(tilted), 0.0, -80.0).trip[2] == pytest.approx(-56.45)
    assert tilted.top(np.array([[10.0, 20.0], [100.0, 0.0]])) == pytest.approx([-37.4, -32.5])


def test_a_search_that_ends_above_the_trip_finds_nothing():
    probed = search(table(), 0.0, -50.0)
    assert not probed.tripped
    assert probed.rest == (10.0, 20.0, -50.0)


def test_a_search_upwards_finds_nothing():
    assert not search(table(), 0.0, 30.0).tripped


def test_the_switch_lets_go_only_its_hysteresis_above_the_trip():
    t = table()
    first = search(t, 0.0, -80.0)
    at_once = search(t, first.trip[2] + 0.5, -80.0)
    assert at_once.tripped and at_once.rest[2] == first.trip[2] + 0.5
    t = table()
    first = search(t, 0.0, -80.0)
    again = search(t, first.trip[2] + 2.0, -80.0)
    assert again.trip[2] == pytest.approx(first.trip[2])


def test_pierces_are_counted_by_place_and_searches_within_them():
    t = table()
    for x in (0.0, 0.0, 50.0, 50.0, 50.0, 0.0):
        search(t, 0.0, -80.0, x=x)
    assert [(s.pierce, s.number) for s in t.searches] == [(1, 1), (1, 2), (2, 1), (2, 2), (2, 3), (3, 1)]


def test_a_missing_plate_is_missing_from_its_pierce_on():
    t = table(trouble=Trouble(Fault.MISSING, 2))
    assert search(t, 0.0, -80.0, x=0.0).tripped
    assert not search(t, 0.0, -80.0, x=50.0).tripped
    assert not search(t, 0.0, -80.0, x=90.0).tripped
    assert [s.faulty for s in t.searches] == [False, True, True]


def test_a_slat_is_felt_below_the_plate():
    t = table(trouble=Trouble(Fault.SLAT, 1, 8.0))
    assert search(t, 0.0, -80.0).trip[2] == pytest.approx(-64.55)


def test_noise_trips_before_the_switch_closes_by_itself_and_only_once():
    t = table(trouble=Trouble(Fault.FALSE_TRIP, 1, 8.0))
    assert search(t, 0.0, -80.0).trip[2] == pytest.approx(-56.55 + 8.0)
    assert not search(t, -47.0, -50.0).tripped
    assert search(t, -28.0, -80.0, x=50.0).trip[2] == pytest.approx(-56.55)


def test_a_stuck_switch_trips_where_the_search_begins():
    t = table(trouble=Trouble(Fault.STUCK, 1))
    assert search(t, 0.0, -80.0).rest[2] == 0.0


def test_a_float_that_was_measured_at_rest_holds_overrun_and_back_off():
    assert trip_depth(MACHINE, NGC) == 19.05
    assert trip_depth(MACHINE, replace(COMPACT, control_back_off=2.0)) == pytest.approx(19.05 - 0.0354 + 2.0, abs=1e-4)
    assert trip_depth(MACHINES["contact-ohmic"], COMPACT) == 0.0


def test_a_search_moves_along_every_axis_it_names_until_the_tip_has_met_the_plate():
    probed = table().probe((0.0, 20.0, 0.0), (80.0, 20.0, -80.0), 150.0)
    assert probed.tripped
    assert probed.trip == pytest.approx((56.55, 20.0, -56.55))
    on = 0.0354 / 2**0.5
    assert probed.rest == pytest.approx((56.55 + on, 20.0, -56.55 - on), abs=1e-4)
    tilted = table(Plate(-37.5, 0.1, 0.0)).probe((0.0, 20.0, 0.0), (80.0, 20.0, -80.0), 150.0)
    assert tilted.trip == pytest.approx((56.55 / 1.1, 20.0, -56.55 / 1.1)), "where the way meets the tilted plate"


def test_a_bowed_plate_that_moves_is_met_as_it_lies_at_that_pierce():
    plate = Plate(-37.5, bow=2.0, middle=(100.0, 50.0), width=(200.0, 100.0), moves=(0.5, -0.5))
    assert plate.top_at(100.0, 50.0) == pytest.approx(-35.0)
    assert plate.top_at(0.0, 50.0, 2) == pytest.approx(-38.0)
    xy = np.array([[100.0, 50.0], [150.0, 50.0]])
    assert plate.top(xy, np.array([1, 2])) == pytest.approx([-35.0, -37.5 + 2.0 * 0.5**0.5 - 0.5])
    t = table(plate)
    tops = [search(t, 0.0, -80.0, x=x, y=50.0).trip[2] + 19.05 for x in (0.0, 0.0, 100.0, 0.0)]
    assert tops == pytest.approx([-37.0, -37.0, -36.0, -37.0])
    assert [s.top for s in t.searches] == pytest.approx(tops)
