"""Random tables for the simulator: machine, control and sheet in plain values, and what an earlier job left behind.

Drawn by lot within what a machine file allows; nothing of the product. Lengths mm, times s, feeds mm/min.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """What a control understands, in plain values."""

    probe: float = 38.2
    miss_stops: bool = True
    trip: bool = True
    """Whether 5061 to 5063 hold the trip."""
    expressions: bool = True
    tests: bool = False
    """Whether a line may compare and stop."""
    semicolons: bool = False
    milliseconds: bool = False
    absolute_centers: bool = False
    center_words: bool = False
    l20: bool = False
    local_shift: bool = False
    g70: bool = False
    outputs: bool = False
    machine_frame: bool = True
    blend_tolerance: bool = False
    back_off: float = 0.0
    """Of a control whose program can't read the trip."""
    limit: int = 256
    radius_gap: float = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """One machine in plain values. `on`, `off` and the sense words are (M number, P value or None)."""

    contact: bool
    touch: str
    """``float``, ``ohmic`` or ``none``."""
    homed: bool
    inches: bool
    on: tuple[int, float | None] = (3, None)
    off: tuple[int, float | None] = (5, None)
    sense_on: tuple[int, float | None] | None = None
    sense_off: tuple[int, float | None] | None = None
    needs_speed: bool = False
    on_delay: float = 0.0
    float_travel: float = 19.0
    float_stroke: float = 32.0
    float_feed: float = 150.0
    hysteresis: float = 1.0
    latency: float = 0.01
    acceleration: float = 300.0
    preload: float = 1.0
    travel: tuple[float, float, float] = (1200.0, 1200.0, 115.0)
    rapid: float = 7500.0
    band: float = 4.0
    park_max: float = 60.0
    travel_height: float = 25.0
    tip_radius: float = 6.0
    on_slats: float | None = None
    """Where the top of a plate on the slats lies on a homed machine, where the machine file says so."""

    @property
    def trip_depth(self) -> float:
        """How far below tip contact the switch trips when touched as slowly as the float was measured."""
        return self.float_travel if self.touch == "float" else 0.0


@dataclass(slots=True)
class Table:
    """One table at one moment before a start: where all lies and what an earlier job left behind."""

    origin: tuple[float, float, float]
    """Machine place of the program zero that the operator set; Z of the plate's middle."""
    parked: tuple[float, float, float]
    bed: tuple[float, float, float, float]
    z_top: float
    plate: tuple[float, float, float, float]
    surface: Callable[[float, float], float]
    """Machine height of the plate's top over program X, Y."""
    systems: list[list[float]]
    shift: list[float]
    saved: list[float]
    """Shifts that an earlier job left in the parameters."""
    home: tuple[tuple[float, float, float], tuple[float, float, float]]
    modes: dict[str, str]
    parameters: dict[int, float]
    torch: bool = False
    skip_deleted: bool = False
    optional_stop: bool = True
    live_offsets: bool = True
    """Whether a value put into an offset's parameter acts at once, or when the system is selected."""
    home_named_only: bool = False
    back_off: float = 0.0
    """How far the control moves back up by itself after a trip."""


def random_table(rig: Rig, dialect: Dialect, plate: tuple[float, float, float, float], seed: int) -> Table:
    """Return a table drawn by lot within what the machine file allows."""
    r = random.Random(seed)
    x0, y0, x1, y1 = plate
    bx, by = (0.0, 0.0) if rig.homed else (r.uniform(-900, 300), r.uniform(-900, 300))
    bed = (bx, by, bx + rig.travel[0], by + rig.travel[1])
    ox = r.uniform(bed[0] - x0 + 5, max(bed[0] - x0 + 6, bed[2] - x1 - 5))
    oy = r.uniform(bed[1] - y0 + 5, max(bed[1] - y0 + 6, bed[3] - y1 - 5))
    if rig.homed:
        z_top = 0.0
        deepest = rig.travel[2] - rig.trip_depth - rig.band - 2.0
        mean = -min(max(rig.travel_height + rig.band + 2, r.uniform(0.5, 1.0) * rig.park_max), deepest) + rig.band / 2
        mean = max(mean, -(rig.park_max - rig.band / 2 - 0.5), -deepest + rig.band / 2)
        mean = mean if rig.on_slats is None else rig.on_slats
        z = r.uniform(-8.0, -1.0)
    else:
        mean = r.uniform(-80.0, 20.0)
        height = r.uniform(10.0, rig.park_max - rig.band / 2 - 0.5)
        z = mean + rig.band / 2 + height
        room = rig.travel[2] - rig.trip_depth - rig.band - 4.0
        z_top = mean + max(min(room, 95.0), height + rig.band + 1.0, rig.travel_height + rig.band + 1.0)
    surface = _surface(rig, plate, mean, r)
    park = (
        ox + r.choice([x0, x1, r.uniform(x0, x1)]) + r.uniform(-40, 40),
        oy + r.choice([y0, y1, r.uniform(y0, y1)]) + r.uniform(-40, 40),
        z,
    )
    park = (min(max(park[0], bed[0]), bed[2]), min(max(park[1], bed[1]), bed[3]), z)
    systems = [[r.uniform(-300, 300), r.uniform(-300, 300), r.uniform(-150, 150)] for _ in range(9)]
    shift = [0.0, 0.0, 0.0]
    stale = r.random() < 0.7
    systems[0] = [ox, oy, r.uniform(-150, 150) if stale else z]
    if stale:
        shift[2] = r.choice([0.0, r.uniform(-150, 150)])
    if rig.touch == "none":
        systems[0][2], shift[2] = mean, 0.0
    reference = (r.uniform(bed[0], bed[2]), r.uniform(bed[1], bed[3]), r.uniform(mean - 60, z_top))
    second = (r.uniform(bed[0], bed[2]), r.uniform(bed[1], bed[3]), r.uniform(mean - 60, z_top))
    if rig.homed:
        reference = (bed[0], bed[1], 0.0)
    parameters = {k: r.uniform(-90, 90) for k in (*range(1, 34), *range(100, 150), 500, 501)}
    parameters |= {k: r.uniform(-90, 90) for k in (5061, 5062, 5063)}
    return Table(
        origin=(ox, oy, mean), parked=park, bed=bed, z_top=z_top, plate=plate, surface=surface, systems=systems,
        shift=shift, saved=[r.uniform(-40, 40), r.uniform(-40, 40), shift[2]], home=(reference, second),
        modes=_modes(rig, dialect, r), parameters=parameters,
        torch=r.random() < 0.3, skip_deleted=r.random() < 0.5, optional_stop=r.random() < 0.7,
        live_offsets=r.random() < 0.5, home_named_only=r.random() < 0.3,
        back_off=r.choice([0.0, 2.0]) if dialect.trip else dialect.back_off,
    )  # fmt: skip


def _surface(rig: Rig, plate: tuple[float, float, float, float], mean: float, r: random.Random) -> Callable[..., float]:
    x0, y0, x1, y1 = plate
    size = math.hypot(x1 - x0, y1 - y0) or 1.0
    span = 0.1 if rig.touch == "none" else 0.9 * rig.band
    turn, wave, phase = r.uniform(0, 2 * math.pi), r.uniform(0.5, 1.2) * size, r.uniform(0, 2 * math.pi)
    tilt = (math.cos(turn) * 0.6 * span / size, math.sin(turn) * 0.6 * span / size)
    across = turn + r.uniform(0.6, 2.4)
    k = (math.cos(across) * 2 * math.pi / wave, math.sin(across) * 2 * math.pi / wave)
    bow, xm, ym = 0.2 * span, (x0 + x1) / 2, (y0 + y1) / 2

    def height(x: float, y: float) -> float:
        x, y = min(max(x, x0 - 20), x1 + 20), min(max(y, y0 - 20), y1 + 20)
        return (
            mean + tilt[0] * (x - xm) + tilt[1] * (y - ym) + bow * math.sin(k[0] * (x - xm) + k[1] * (y - ym) + phase)
        )

    return height


def _modes(rig: Rig, dialect: Dialect, r: random.Random) -> dict[str, str]:
    def stale(usual: str, other: str) -> str:
        return other if r.random() < 0.35 else usual

    own, strange = ("20", "21") if rig.inches else ("21", "20")
    centers = "90.1" if dialect.absolute_centers else "91.1"
    return {
        "units": stale(own, strange),
        "plane": stale("17", r.choice(["18", "19"])),
        "distance": stale("90", "91"),
        "feed": stale("94", "93"),
        "comp": stale("40", "41"),
        "length": stale("49", "43"),
        "system": "54" if rig.touch == "none" else stale("54", "55"),
        "motion": r.choice(["0", "1", "80"]),
        "centers": stale(centers, "90.1" if centers == "91.1" else "91.1") if dialect.center_words else centers,
    }
