"""The start sequences played on a small simulated head: tip contact, cut height, stops after a bad touch-off.

The simulator is its own reader of the few words the sequences use and knows nothing of the product. Heights are
of the unloaded tip; the switch trips `trip_depth` below contact, the axis runs on by latency and v2 / 2a with
a = 300 mm/s2, and may back off by itself.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field, replace

import pytest

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.writer.writer import write
from kerfproof.registry import load_folder
from kerfproof.shop.profile import Machine, StartKind, TouchOff
from support.shop.cutting import PLATE_6MM, machine, plan, slit

DIALECTS = load_folder("kerfproof.gcode.dialects", "DIALECT")
WORD = re.compile(r"([A-Z])(\[[^ ]*\]|#\d+|-?[\d.]+)")
GUARD = re.compile(r"IF \[(.*) (LT|GT) (\S*)\] THEN #3000=1")
COUNT = 40


class Stopped(Exception):
    """The control stopped by itself."""


@dataclass
class Head:
    misses_stop: bool = True
    trip_depth: float = 19.05
    z: float = 40.0
    frame: float = 0.0
    back_off: float = 0.0
    latency: float = 0.01
    slope: float = 0.001
    missing_from: int = 99
    false_trip_at: int = 99
    low_from: int = 99
    stuck: bool = False
    x: float = 0.0
    pierce: int = 0
    torch: bool = False
    lit: list[float] = field(default_factory=list)
    cut: list[float] = field(default_factory=list)
    memory: dict[int, float] = field(default_factory=dict)
    deepest: float = 0.0

    @property
    def plate(self) -> float:
        return self.slope * self.x - (6.0 if self.pierce >= self.low_from else 0.0)

    def value(self, text: str) -> float:
        python = text.replace("[", "(").replace("]", ")").replace("SQRT", "math.sqrt").replace("ABS", "abs")
        try:
            return float(eval(re.sub(r"#(\d+)", r"memory[\1]", python), {"math": math, "memory": self.memory}))
        except ValueError as negative:
            raise Stopped(text) from negative

    def run(self, text: str) -> Head:
        for line in text.splitlines():
            if guard := GUARD.fullmatch(line):
                value, limit = self.value(guard[1]), self.value(guard[3])
                if value < limit if guard[2] == "LT" else value > limit:
                    raise Stopped(line)
            elif line.startswith("#"):
                left, right = line.split("=", 1)
                self.memory[int(left[1:])] = self.value(right)
            elif not line.startswith("("):
                self._obey(line)
                self.deepest = max(self.deepest, self.plate - self.z)
        return self

    def _obey(self, line: str) -> None:
        words = {letter: text for letter, text in WORD.findall(line)}
        code = line.split()[0]
        if code == "M3":
            self.torch = True
            self.lit.append(self.z - self.plate)
        elif code == "M5":
            self.torch = False
        elif code == "G92":
            self.frame = self.z - self.value(words["Z"])
        elif code in ("G38.2", "G31"):
            self._search(self.frame + self.value(words["Z"]), self.value(words["F"]) / 60)
        elif code in ("G0", "G1") and "X" in words:
            self.x = self.value(words["X"])
            if self.torch:
                self.cut.append(self.z - self.plate)
            else:
                self.pierce += 1
                assert self.z - self.plate > 15, "travel low over the plate"
        elif code in ("G0", "G1"):
            self.z = self.frame + self.value(words["Z"])

    def _search(self, target: float, speed: float) -> None:
        trip = self.plate - self.trip_depth
        if self.pierce >= self.missing_from:
            trip = -math.inf
        if self.pierce == self.false_trip_at:
            trip, self.false_trip_at = self.plate + 8.0, 99
        trip = self.z if self.stuck else trip
        if trip < target and self.misses_stop:
            raise Stopped("no contact")
        end = max(trip, target)
        self.memory[5063] = end - self.frame
        self.z = end if trip < target else trip - speed * self.latency - speed * speed / 600 + self.back_off


def program(control: Dialect, shop: Machine | None = None) -> str:
    row = [(20.0 * k, slit().contour.moved(20.0 * k, 0.0)) for k in range(COUNT)]
    cuts = [slit(feature=k, pierce=(x + 10, 10.0), contour=path) for k, (x, path) in enumerate(row)]
    return write(plan(shop or machine(), PLATE_6MM, *cuts), control).text


def assert_heights(head: Head, lit: float, tolerance: float = 0.05) -> None:
    assert len(head.lit) == len(head.cut) == COUNT
    assert all(abs(height - lit) <= tolerance for height in head.lit), head.lit
    assert all(abs(height - 1.5) <= tolerance for height in head.cut), head.cut


@pytest.mark.parametrize("frame", [0.0, 120.0, -120.0])
@pytest.mark.parametrize(("back_off", "latency"), [(0.0, 0.01), (2.0, 0.01), (0.5, 0.05)])
@pytest.mark.parametrize("name", ["ngc", "skip_macro"])
def test_a_control_that_reads_the_trip_lights_at_the_preload_whatever_the_frame(
    name: str, frame: float, back_off: float, latency: float
) -> None:
    head = Head(misses_stop=name == "ngc", frame=frame, back_off=back_off, latency=latency, slope=0.003)
    assert_heights(head.run(program(DIALECTS[name])), -1.0)


@pytest.mark.parametrize("parked", [20.0, 40.0, 60.0])
@pytest.mark.parametrize("name", ["compact", "skip"])
def test_a_control_that_rests_where_it_tripped_lights_at_the_preload(name: str, parked: float) -> None:
    head = Head(misses_stop=name == "compact", z=parked, frame=-120.0)
    assert_heights(head.run(program(DIALECTS[name])), -1.0)


def test_a_control_that_backs_off_by_itself_needs_the_float_measured_with_it() -> None:
    # Rest after the slow touch: 19.05 + 0.025 + 0.0104 - 2 = 17.0854 below contact.
    control = replace(DIALECTS["compact"], control_back_off=2.0)
    head = Head(back_off=2.0).run(program(control, machine(float_travel=17.0854)))
    assert_heights(head, -1.0, 0.02)


@pytest.mark.parametrize("name", ["ngc", "skip_macro"])
@pytest.mark.parametrize(
    ("fault", "lit"),
    [
        ({"missing_from": 1}, 0),
        ({"missing_from": 7}, 6),
        ({"missing_from": 40}, 39),
        ({"false_trip_at": 1}, 0),
        ({"false_trip_at": 7}, 6),
        ({"low_from": 7}, 6),
        ({"stuck": True}, 0),
    ],
)
def test_a_guarded_program_never_lights_after_a_bad_touch_off(name: str, fault: dict[str, int], lit: int) -> None:
    head = Head(misses_stop=name == "ngc", **fault)  # type: ignore[arg-type]
    with pytest.raises(Stopped):
        head.run(program(DIALECTS[name]))
    assert len(head.lit) == lit and not head.torch


@pytest.mark.parametrize(("fault", "lit"), [({"missing_from": 7}, 6), ({"false_trip_at": 7}, 6)])
def test_an_alarm_control_never_lights_after_a_missed_or_false_touch(fault: dict[str, int], lit: int) -> None:
    head = Head(**fault)  # type: ignore[arg-type]
    with pytest.raises(Stopped):
        head.run(program(DIALECTS["compact"]))
    assert len(head.lit) == lit and not head.torch


def test_a_silent_control_lights_in_the_void_and_the_program_says_so_and_stops_before() -> None:
    text = program(DIALECTS["skip"])
    head = Head(misses_stop=False, missing_from=COUNT).run(text)
    assert len(head.lit) == COUNT  # nothing in the text could prevent it
    assert "(RISK: this control does not notice a touch-off that missed the plate,)" in text
    lines = text.splitlines()
    before = [lines[k - 1] for k, line in enumerate(lines) if line == "M3"]
    assert before == ["M0"] + ["M1"] * (COUNT - 1)


@pytest.mark.parametrize("name", ["ngc", "compact", "skip_macro", "skip"])
def test_a_missed_plate_is_never_searched_deeper_than_float_band_and_a_millimetre(name: str) -> None:
    head = Head(misses_stop=DIALECTS[name].probe_miss != "silent", missing_from=COUNT, slope=0.0)
    try:
        head.run(program(DIALECTS[name]))
    except Stopped:
        assert name != "skip"
    # Nothing keeps a silent control from searching on below the first miss; its datum is off by the slow overrun.
    second = 1.5 + 0.036 if name == "skip" else 0.036
    assert 19.05 <= head.deepest <= 19.05 + 4.0 + 1.0 + second + 1e-6


@pytest.mark.parametrize("start", [StartKind.CONTACT, StartKind.PILOT])
def test_the_shifted_touch_ends_at_the_same_height(start: StartKind) -> None:
    there = (10.0, 30.0)
    text = write(plan(machine(start), PLATE_6MM, slit(touch_at=there)), DIALECTS["ngc"]).text
    lines = text.splitlines()
    at = lines.index("G0 X10 Y30")
    lower = "G1 Z-1 F600" if start is StartKind.CONTACT else "G1 Z3 F1000"
    datum = lines.index("G92 Z-19.05")
    assert at < datum
    assert lines[datum + 2 : datum + 5] == ["G1 Z5 F1000", "G0 X10 Y10", lower]


def test_a_fixed_head_rests_on_the_plate_without_force() -> None:
    shop = machine(touch_off=TouchOff.OHMIC)
    head = Head(trip_depth=0.0, z=40.0).run(program(DIALECTS["ngc"], shop))
    assert_heights(head, 0.0)
    assert head.deepest < 0.1  # the overrun of the fast touch: 5 x 0.01 + 25 / 600 = 0.092
