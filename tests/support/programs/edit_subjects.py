"""Right programs for random edits: dialects, start kinds, units, special machines, rests of programs, test pieces.

Each stands in a folder of its own with its drawing, so that the proof can find all by the heading as for a person, and
with plain numbers for the simulator.
"""

from __future__ import annotations

import atexit
import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from kerfproof import api
from kerfproof.coupon.piece import CouponRequest, kind_of
from kerfproof.errors import KerfproofError, Severity
from kerfproof.gcode.machine_control import control_of
from kerfproof.job.job import Mode
from kerfproof.resume.combined_proof import Setup
from kerfproof.resume.rest_program import resume
from kerfproof.resume.resume_point import Wish
from kerfproof.shop.machine_file import machine_to_toml
from kerfproof.shop.profile import Machine, StartKind, TouchOff
from support.referees.referee import flat
from support.referees.simulated_harm import Cutting, Harm, Sheet, judge_cut, judge_like, judge_unlit, run_on, tables_for
from support.referees.simulated_table import Dialect, Rig, Table
from support.referees.table_simulator import Told
from support.shop.shop import DIALECTS, cut, demo, dxf, starts

POOL = 9
"""So many random tables for each subject; an edit is played on three of them."""


def _home() -> Path:
    """Return the folder of all subjects, which also holds their machines where the command line looks for them."""
    home = Path(tempfile.mkdtemp(prefix="kerfproof-edits-"))
    (home / "machines").mkdir()
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    return home


HOME: list[Path] = []


def home() -> Path:
    """Return the folder of this process."""
    if not HOME:
        HOME.append(_home())
    return HOME[0]


KEPT: dict[tuple[str, ...], Any] = {}


@contextmanager
def remembered(module: Any, name: str) -> Iterator[None]:
    """Let a function of the product be called once for the same arguments: files are not read anew for every edit."""
    real = getattr(module, name)

    def once(*args: Any, **more: Any) -> Any:
        key = (name, repr(args), repr(more))
        if key not in KEPT:
            if len(KEPT) > 500:
                KEPT.clear()
            KEPT[key] = real(*args, **more)
        return KEPT[key]

    setattr(module, name, once)
    try:
        yield
    finally:
        setattr(module, name, real)


@contextmanager
def own_machines() -> Iterator[None]:
    """Let the command line find the machines of the subjects, and forget that again."""
    from kerfproof.programs import expected_contours
    from kerfproof_app.cli.common import proof_from_options

    before = os.environ.get("KERFPROOF_CONFIG")
    os.environ["KERFPROOF_CONFIG"] = str(home())
    try:
        with remembered(expected_contours, "inspect"), remembered(proof_from_options, "find_shop"):
            yield
    finally:
        if before is None:
            del os.environ["KERFPROOF_CONFIG"]
        else:
            os.environ["KERFPROOF_CONFIG"] = before


@dataclass(slots=True)
class Subject:
    """A right program with all that proof and simulator need."""

    name: str
    text: str
    mode: str
    folder: Path
    rig: Rig
    dialect: Dialect
    cutting: Cutting
    sheet: Sheet
    plate: tuple[float, float, float, float]
    piece: bool = False
    """Whether it is a test piece, which no drawing stands behind."""
    known: dict[str, int] = field(default_factory=dict)
    """Errors and warnings of the right program, by severity and rule."""
    tables: list[Table] = field(default_factory=list)
    right: list[Told] = field(default_factory=list)

    def made_ready(self) -> Subject:
        """Play the right program on all tables and prove it."""
        self.tables = tables_for(self.rig, self.dialect, self.plate, sum(map(ord, self.name)), POOL)
        self.right = [run_on(self.text, self.rig, self.dialect, t, self.sheet) for t in self.tables]
        self.known = counted(self.proved(self.text))
        return self

    def simulated(self, text: str, which: tuple[int, ...] = (0, 1, 2)) -> Harm:
        """Return the harm of a text on some of the tables."""
        out = Harm()
        for k in which:
            told = run_on(text, self.rig, self.dialect, self.tables[k], self.sheet)
            if self.mode != "cut":
                harm = judge_unlit(told, self.right[k])
            elif self.piece:
                harm = judge_like(told, self.right[k], self.cutting)
            else:
                harm = judge_cut(told, self.sheet, self.cutting, self.right[k].burns)
            out = out.joined(harm)
        return out

    def proved(self, text: str) -> list[tuple[str, str, str]]:
        """Return severity, rule and sentence of all errors and warnings that the command line tells of a text."""
        from kerfproof_app.cli.common.resume_from_options import prove_whole

        path = self.folder / "program.nc"
        path.write_bytes(text.encode("utf-8", "surrogateescape"))
        options: dict[str, Any] = dict.fromkeys(
            ("drawing", "machine", "chart", "material", "thickness", "amps", "kerf", "units", "at", "first", "rests")
        )
        options |= {"program": str(path), "sets": []}
        try:
            with own_machines():
                proved = prove_whole(options, _quiet)
        except KerfproofError as error:
            return [("error", "refused", str(error))]
        return [(f.severity.value, f.rule, f.sentence()) for f in proved.findings if f.severity is not Severity.NOTE]


def _quiet(_stage: str, _share: float) -> None:
    return None


def counted(found: list[tuple[str, str, str]]) -> dict[str, int]:
    """Return how often each rule was told, by severity."""
    out: dict[str, int] = {}
    for severity, rule, _ in found:
        out[f"{severity} {rule}"] = out.get(f"{severity} {rule}", 0) + 1
    return out


# --- plain numbers for the simulator ----------------------------------------------------------------------------------


def _act(line: str) -> tuple[int, float | None]:
    code = re.search(r"M(\d+)", line)
    p = re.search(r"P([\d.]+)", line)
    assert code is not None
    return int(code[1]), float(p[1]) if p else None


def rig_of(m: Machine) -> Rig:
    """Return a machine in plain values."""
    return Rig(
        contact=m.start is StartKind.CONTACT, touch=m.touch_off.value, homed=m.z_homed, inches=m.inches,
        on=_act(m.torch_on), off=_act(m.torch_off), sense_on=_act(m.sense_on) if m.sense_on else None,
        sense_off=_act(m.sense_off) if m.sense_off else None, needs_speed=m.torch_on_speed is not None,
        on_delay=m.torch_on_delay_s, float_travel=m.float_travel, float_stroke=m.float_stroke,
        float_feed=m.float_feed_mm_min, hysteresis=m.switch_hysteresis, latency=m.touch_latency_s,
        acceleration=m.z_acceleration_mm_s2, preload=m.preload if m.touch_off is TouchOff.FLOAT else 0.0,
        travel=(m.travel_x, m.travel_y, m.travel_z), rapid=m.rapid_mm_min, band=m.plate_height_band,
        park_max=m.park_height_max, travel_height=m.travel_height, tip_radius=m.tip_face_radius,
        on_slats=None if m.slat_top is None else m.slat_top + 3.0,
    )  # fmt: skip


def dialect_of(m: Machine) -> Dialect:
    """Return what the control of a machine understands in plain values."""
    c = control_of(m)
    return Dialect(
        probe=float(c.probe_word[1:]), miss_stops=c.probe_miss.value != "silent", trip=c.trip_parameter is not None,
        expressions=c.expressions, tests=bool(c.guard_below), semicolons=c.semicolon_comments,
        milliseconds=c.dwell_in_ms, absolute_centers=c.arc_centers_absolute, center_words=bool(c.arc_center_word),
        l20="L20" in c.datum_word, local_shift=c.local_shift, g70=c.unit_words_g70, outputs=bool(c.outputs),
        machine_frame=bool(c.machine_frame_word), blend_tolerance="{tolerance}" in c.path_blend_word,
        back_off=c.control_back_off, limit=c.line_limit, radius_gap=c.arc_radius_tolerance_mm,
    )  # fmt: skip


def cutting_of(m: Machine, p: Any) -> Cutting:
    """Return what a right cut of a chart row is on a machine."""
    contact = m.start is StartKind.CONTACT
    pilot = max(p.pierce_height, 2 * p.cut_height, 2.0)
    light = (-m.preload if m.touch_off is TouchOff.FLOAT else 0.0) if contact else pilot
    return Cutting(
        kerf=p.kerf, feed=p.feed_mm_min, cut_height=p.cut_height, light_height=light,
        pierce_height=max(p.pierce_height, 0.0 if contact else pilot), pierce_delay=p.pierce_delay_s,
        light_delay=m.light_delay_s, slag=p.crater_radius + 3.0, arc_wait=bool(m.arc_wait),
    )  # fmt: skip


# --- drawings ---------------------------------------------------------------------------------------------------------


def _plate(space: Any) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    space.add_circle((22, 20), 6)
    space.add_circle((85, 45), 12)


def _wedge(space: Any) -> None:
    space.add_lwpolyline([(0, 0), (130, 0), (60, 95)], close=True)
    space.add_lwpolyline([(45, 20), (75, 20), (75, 40), (45, 40)], close=True)


def _pair(space: Any) -> None:
    for x in (0, 90):
        space.add_lwpolyline([(x, 0), (x + 60, 0), (x + 60, 30, 0, 0, 0.4), (x + 30, 60), (x, 60)], close=True)
        space.add_circle((x + 25, 28), 8)


def _ring(space: Any) -> None:
    space.add_circle((0, 0), 55)
    space.add_circle((0, 0), 30)


def _many(space: Any) -> None:
    space.add_lwpolyline([(0, 0), (210, 0), (210, 140), (0, 140)], close=True)
    for k in range(11):
        space.add_circle((25 + 40 * (k % 5), 25 + 40 * (k // 5)), (5, 8, 11)[k % 3])


def _rows(space: Any) -> None:
    for k in range(10):
        x, y = 125 * (k % 5), 95 * (k // 5)
        space.add_lwpolyline([(x, y), (x + 110, y), (x + 110, y + 80), (x, y + 80)], close=True)
        for n in range(5):
            space.add_circle((x + 20 + 35 * (n % 3), y + 22 + 36 * (n // 3)), (5, 7, 9)[n % 3])


DRAWINGS: dict[str, Callable[[Any], None]] = {
    "plate": _plate, "wedge": _wedge, "pair": _pair, "ring": _ring, "many": _many, "rows": _rows,
}  # fmt: skip
DEMO_DRAWINGS = ("gusset", "pump-flange", "sluice-sheet")


@cache
def drawing(name: str) -> bytes:
    """Return the DXF of a name."""
    return demo(name) if name in DEMO_DRAWINGS else dxf(DRAWINGS[name])


# --- machines ---------------------------------------------------------------------------------------------------------

STARTS = ("contact float", "contact ohmic", "contact none", "pilot float", "pilot ohmic")
SPECIAL: dict[str, Callable[[Machine], Machine]] = {
    "output torch": lambda m: replace(m, dialect="ngc_blend", torch_on="M64 P0", torch_off="M65 P0"),
    "dwell in ms": lambda m: replace(m, dialect="skip", dwell_in_ms=True),
    "absolute centers": lambda m: replace(m, dialect="compact", arc_centers_absolute=True),
    "homed float": lambda m: replace(m, z_homed=True),
    "speed word": lambda m: replace(m, torch_on="M3", torch_on_speed=1000.0),
    "blend": lambda m: replace(m, dialect="ngc_blend", path_tolerance=0.05),
    "measured head": lambda m: replace(m, float_feed_mm_min=1000.0, touch_slow_mm_min=1000.0, float_spread=0.08),
    "stated slats": lambda m: replace(
        m, z_homed=True, slat_top=-60.0, float_feed_mm_min=1000.0, touch_slow_mm_min=1000.0, float_spread=0.08
    ),
    "absolute macro": lambda m: replace(m, dialect="skip_macro", arc_centers_absolute=True, inches=True),
}


def machine(name: str) -> Machine:
    """Return a machine by ``start/dialect/unit`` or ``special/NAME``."""
    first, _, rest = name.partition("/")
    if first == "special":
        return SPECIAL[rest](starts()["contact float"])
    dialect, unit = rest.split("/")
    room = {"park_height_max": 85.0} if first == "pilot float" else {}  # the float needs the rest of Z
    return replace(starts()[first], dialect=dialect, inches=unit == "in", **room)


def _saved(m: Machine, name: str) -> Machine:
    """Return a machine with a name of its own, written where the command line finds it."""
    own = replace(m, name=re.sub(r"[^a-z0-9]+", "-", name.lower()))
    (home() / "machines" / f"{own.name}.toml").write_text(machine_to_toml(own))
    return own


def names(kind: str = "") -> list[str]:
    """Return the names of subjects: ``cut``, ``long``, ``unlit``, ``rest`` or ``piece``; all without a kind."""
    small = ("plate", "wedge", "pair", "ring")
    out: dict[str, list[str]] = {"cut": [], "long": [], "unlit": [], "rest": [], "piece": []}
    turn = 0
    for start in STARTS:
        for dialect in DIALECTS:
            for unit in ("mm", "in"):
                out["cut"].append(f"cut {small[turn % 4]} {start}/{dialect}/{unit}")
                turn += 1
            turn += 1
    out["cut"] += [f"cut {small[k % 4]} special/{name}" for k, name in enumerate(SPECIAL)]
    for k, dialect in enumerate(DIALECTS):
        unit = ("mm", "in")[k % 2]
        out["long"] += [f"cut {name} contact float/{dialect}/{unit}" for name in ("gusset", "many", "sluice-sheet")]
        out["unlit"] += [f"{mode} plate contact float/{dialect}/{unit}" for mode in ("dry", "frame", "tour")]
        out["rest"] += [f"rest{k % 3} plate contact float/{dialect}/{unit}"]
        out["piece"] += [
            f"piece:{('kerf', 'hole', 'start', 'feed', 'square', 'pierce')[k]} - contact float/{dialect}/{unit}"
        ]
    out["long"] += [
        "cut pump-flange pilot ohmic/ngc/mm",
        "cut many pilot float/skip_macro/in",
        "cut rows contact float/ngc/mm",
    ]
    out["unlit"] += [f"{mode} plate special/output torch" for mode in ("dry", "frame", "tour")] * 3
    out["unlit"] += ["dry plate pilot ohmic/ngc/mm", "tour plate pilot float/compact/in"]
    out["rest"] += ["rest1 pair pilot ohmic/ngc/mm"]
    return [name for names in out.values() for name in names] if not kind else out[kind]


@cache
def subject(name: str) -> Subject:
    """Return a subject by its name."""
    how, what, on = name.split(" ", 2)
    own = _saved(machine(on), name)
    folder = home() / own.name
    folder.mkdir()
    if how.startswith("piece:"):
        return _piece(name, how.partition(":")[2], own, folder)
    file = f"{what}.dxf"
    (folder / file).write_bytes(drawing(what))
    mode = how if how in ("dry", "frame", "tour") else "cut"
    changes: dict[str, Any] = {"mode": Mode(mode)} if mode != "cut" else {}
    outcome = cut(drawing(what), own, name=file, **changes)
    assert outcome.program is not None and outcome.plan is not None
    closed, slits = api.drawn_contours(outcome.parts, outcome.left_out)
    rings = [[tuple(p) for p in flat(c.path)[:-1]] for c in closed]
    lines = [[tuple(p) for p in flat(c.path)] for c in slits]
    plate = tuple(map(float, outcome.plan.plate))
    rig, dialect, cutting = rig_of(own), dialect_of(own), cutting_of(own, outcome.process)
    text, before = outcome.program.text, []
    if how.startswith("rest"):
        text, before = _rest(outcome, folder, int(how[4:]), rig, dialect, plate, closed, slits)
    sheet = Sheet(plate, rings, lines, cutting.kerf, before, rig.tip_radius)
    return Subject(name, text, mode, folder, rig, dialect, cutting, sheet, plate).made_ready()


def _piece(name: str, kind: str, own: Machine, folder: Path) -> Subject:
    from kerfproof.shop.select_process import select_process
    from support.shop.shop import chart

    process = select_process(chart(), "mild steel", 3.0, None, own)
    made = kind_of(kind).make(CouponRequest(machine=own, process=process, control=control_of(own)))
    plate = tuple(map(float, made.plate))
    rig = rig_of(own)
    cutting = cutting_of(own, process)
    sheet = Sheet(plate, (), (), cutting.kerf, (), rig.tip_radius)
    out = Subject(name, made.program.text, "cut", folder, rig, dialect_of(own), cutting, sheet, plate, piece=True)
    return out.made_ready()


def _rest(
    outcome: Any, folder: Path, where: int, rig: Rig, dialect: Dialect, plate: Any, closed: Any, slits: Any
) -> tuple[str, list[Any]]:
    """Return the text of a program that goes on with another, and what that one had burned."""
    first = outcome.program.text
    (folder / "first.nc").write_text(first)
    setup = Setup(
        machine=outcome.machine, process=outcome.process, control=control_of(outcome.machine), drawn=closed,
        slits=slits, plate=outcome.plan.plate, name="first.nc", digest=api.digest(first.encode()),
    )  # fmt: skip
    table = tables_for(rig, dialect, plate, 1, 1)[0]
    burns = run_on(first, rig, dialect, table).burns
    number, at = [(len(burns), 150.0), (2, 0.0), (len(burns), 60.0)][where]
    wish = {"from_cut": number} | ({"at": at} if at else {})
    made = resume(first, outcome.proof.trace, Wish(**wish), setup)
    assert made.ok, [f.sentence() for f in made.findings]
    before = [b.points for b in burns[: number - 1]]
    if at:
        before.append(_upto(burns[number - 1].points, at))
    return made.program.text, before


def _upto(points: list[tuple[float, float]], length: float) -> list[tuple[float, float]]:
    p = np.asarray(points)
    done = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    inside = p[done < length]
    end = [np.interp(length, done, p[:, k]) for k in (0, 1)]
    return [tuple(map(float, q)) for q in [*inside.tolist(), end]]
