"""What the setup sheet says, in words: facts, checks before the start, cautions."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kerfproof.job.job import Mode, Origin
from kerfproof.outcome import Outcome
from kerfproof.report.data.facts import both, both_sizes, counted, drill_sizes
from kerfproof.report.data.figures import figures, idle_words
from kerfproof.report.data.loading import load_of_proof, load_words
from kerfproof.sentence import option
from kerfproof.shop.material import density, material_key
from kerfproof.shop.profile import TouchOff
from kerfproof.units import format_feed, format_length, format_time

POUND = 0.45359237
BLANK = "______"

Rows = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class SheetWords:
    """Three columns of facts with their titles, what to check, and what to beware of."""

    columns: tuple[tuple[str, Rows], ...]
    checks: tuple[str, ...]
    cautions: tuple[str, ...]


def sheet_words(outcome: Outcome, tip_used: float | None = None) -> SheetWords:
    """Return all words of the setup sheet of an outcome that has a plan and a proof.

    `tip_used` is the share of the tip's life that was counted, None where nobody counted.

    Raises
    ------
    ValueError
        If it has none.
    """
    if outcome.plan is None or outcome.proof is None:
        raise ValueError("the outcome has no proven plan")
    columns = (("Plate", _plate(outcome)), ("Torch", _torch(outcome)), ("Job", _job(outcome, tip_used)))
    return SheetWords(columns, _checks(outcome), _cautions(outcome))


# --- facts ----------------------------------------------------------------------------------------------------


def _plate(outcome: Outcome) -> Rows:
    assert outcome.plan is not None
    process, (x0, y0, x1, y1) = outcome.process, outcome.plan.plate
    area = sum(
        abs(part.outline.contour.path.area()) - sum(abs(hole.contour.path.area()) for hole in part.holes)
        for part in outcome.parts.parts
    )
    corner = "lower left corner of the plate"
    if max(abs(x0), abs(y0)) > 1e-6:
        corner = f"drawing zero; plate corner at X {both(x0, 1)}, Y {both(y0, 1)}"
    return (
        ("material", process.material),
        ("thickness", both(process.thickness, 2)),
        ("measured", f"{BLANK} mm / in"),
        ("coating", BLANK),
        ("plate size" if outcome.job.plate else "least plate", both_sizes(x1 - x0, y1 - y0)),
        ("X0 Y0", corner),
        ("plate weight", weight_words((x1 - x0) * (y1 - y0), process.thickness, process.material)),
        ("parts weight", weight_words(area, process.thickness, process.material)),
    )


def weight_words(area_mm2: float, thickness: float, material: str) -> str:
    """Return the weight of flat metal in kg and lb, by the density of its material."""
    heavy = density(material)
    if heavy is None:
        return "density not known"
    kg = area_mm2 * thickness * heavy * 1e-9
    metric = f"{kg * 1000:.1f} g" if kg < 1 else f"{kg:.2f} kg"
    return f"{metric} ({kg / POUND:.2f} lb)"


def _torch(outcome: Outcome) -> Rows:
    p, m = outcome.process, outcome.machine
    air = p.air or f"{BLANK} bar flowing, clean, dry"
    air += f", {m.air_flow_l_min:.0f} l/min" if m.air_flow_l_min else ""
    pierce = f"{both(p.pierce_height, 1)}, {format_time(p.pierce_delay_s)}" if p.pierce_height else "at cut height"
    rows = [
        ("current", f"{p.amps:g} A"),
        ("feed", f"{format_feed(p.feed_mm_min)} ({format_feed(p.feed_mm_min, inches=True)})"),
        ("kerf", both(p.kerf, 2)),
        ("cut height", both(p.cut_height, 1)),
        ("pierce", pierce),
        ("air", air),
        ("consumables", p.consumables or f"tip {BLANK} electrode {BLANK}"),
    ]
    if m.touch_off is TouchOff.FLOAT:
        rows.append(("float", f"{both(m.float_travel, 2)} at {format_feed(m.float_feed_mm_min, m.inches)}"))
    elif m.supply_note:
        rows.append(("supply", m.supply_note))
    return tuple(rows)


def _job(outcome: Outcome, tip_used: float | None) -> Rows:
    assert outcome.proof is not None
    proof, machine, process = outcome.proof, outcome.machine, outcome.process
    f = figures(proof, machine)
    holes = sum(len(part.holes) for part in outcome.parts.parts)
    load = dict(load_words(load_of_proof(proof, machine, process.amps), process.amps))
    life = process.starts_per_tip
    used = f"{f.pierces} of about {life} starts ({100 * f.pierces / life:.0f} %)" if life else f"{f.pierces} starts"
    if life and tip_used is not None:
        after = tip_used + f.pierces / life
        used = f"{tip_used:.0%} used, {after:.0%} after this job: {f.pierces} of {life} starts"
        used += f"; new tips: {math.ceil(after - 1e-9) - 1}" if after > 1 else ""
    rows = [
        ("parts", f"{len(outcome.parts.parts)} with {counted(holes, 'hole')}"),
        ("cuts", f"{counted(f.pierces, 'pierce')}, {f.cut_length / 1000:.2f} m ({f.cut_length / 304.8:.1f} ft)"),
        ("torch on", f"{format_time(round(f.torch_on_s))} of {format_time(round(f.run_s))}"),
        *([("idle", idle_words(f.idle_s, f.arc_share, machine, process.amps))] if f.pierces else []),
        ("10 minutes", load["ten minutes"]),
        ("longest cut", load["longest cut"]),
        ("tip life", used),
        ("chart", outcome.job.chart),
    ]
    rows += [("air drawn", load["air"])] if "air" in load else []
    rests = [pause for pause in (outcome.plan.pauses if outcome.plan else ()) if pause.seconds]
    if rests:
        total = format_time(sum(pause.seconds for pause in rests))
        rows.append(("rests", f"{len(rests)}, {total} in all"))
    if outcome.drilled:
        rows.append(("to drill", f"{drill_sizes(outcome, machine.inches)}; dashed in the picture"))
    return tuple(rows)


# --- what to do and to beware of ------------------------------------------------------------------------------


def _checks(outcome: Outcome) -> tuple[str, ...]:
    m = outcome.machine
    zero = "X and Y zero set" if outcome.job.origin is Origin.CORNER else "X and Y zero set at the drawing's zero"
    park = (
        "Z homed, torch clear of clamps"
        if m.z_homed
        else f"torch parked at most {_length(m.park_height_max, m.inches)} up"
    )
    return (
        "work clamp on the plate itself, bright metal",
        "plate measured: thickness, size, flat, no water or oil under it",
        "water table filled or extraction running",
        f"{zero}; plate corner checked ({option('frame').told(m.inches)})",
        f"{park}; dry run seen ({option('dry').told(m.inches)})",
        "tip and electrode looked at; air pressure while it flows",
        "power source: trigger not latched; stop button in reach",
        "extinguisher at hand, floor cleared, helper or watch agreed",
    )


def _length(mm: float, inches: bool) -> str:
    return format_length(mm, inches)


SHADES = ((300.0, 8), (400.0, 9), (800.0, 10))
"""Least shade below so many amperes, plasma arc cutting: 29 CFR 1910.133(a)(5)."""


def least_shade(amps: float) -> int:
    """Return the least filter shade for plasma cutting at a current (29 CFR 1910.133(a)(5))."""
    return next((shade for below, shade in SHADES if amps < below), SHADES[-1][1])


def _cautions(outcome: Outcome) -> tuple[str, ...]:
    shade = least_shade(outcome.process.amps)
    fume = {
        "stainless steel": "Stainless gives off chromium(VI): extraction, no breathing in the plume.",
        "galvanised steel": "Zinc fume makes ill: strip the coating, extraction.",
        "aluminium": "Aluminium over still water gathers hydrogen: move or drain the water.",
    }.get(material_key(outcome.process.material), "Strip paint, oil and coatings; fume drawn off at the cut.")
    cautions = [
        "Local codes, licensed practice and the instructions of torch and supply come first.",
        f"Arc: shade {shade} or darker (29 CFR 1910.133), skin covered, screens, hearing protection.",
        "Fire: clear 11 m (35 ft), watch at least half an hour after the last cut, 1 h where your code says so.",
        fume,
        "Shock: 200 to 350 V with no arc lit. Supply off before you touch the tip.",
        "Axes start by themselves, freed pieces tip, parts are hot and sharp. Never leave the machine alone.",
    ]
    if outcome.job.mode is not Mode.CUT:
        cautions.insert(0, f"This program is a {outcome.job.mode.value}: switch the power source off.")
    return tuple(cautions)
