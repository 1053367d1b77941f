"""What a proven program asks of power source, torch and air, in words and as data."""

from __future__ import annotations

import math

from kerfproof.gcode.load import WINDOW, Load, load_of
from kerfproof.gcode.machine_control import control_of, dialects
from kerfproof.proof.proof import Proof
from kerfproof.shop.profile import Machine
from kerfproof.units import format_time


def load_words(load: Load, amps: float) -> tuple[tuple[str, str], ...]:
    """Return names and values of the torch time in ten minutes, the longest cut and the air, as far as known."""
    if load.allowed_s >= WINDOW:
        duty = f"{format_time(round(load.worst_s))} on; the rating has no limit at {amps:g} A"
    else:
        duty = f"{format_time(round(load.worst_s))} on, {format_time(round(load.allowed_s))} allowed at {amps:g} A"
    rows = [("ten minutes", duty), ("longest cut", format_time(round(load.longest_s, 1)))]
    if load.air_l is not None:
        tank = f", tank down to {load.tank_bar:.1f} bar" if load.tank_bar is not None else ""
        rows.append(("air", f"{load.air_l:.0f} l ({load.air_l / 28.316846592:.0f} cu ft){tank}"))
    return tuple(rows)


def load_of_proof(proof: Proof, machine: Machine, amps: float | None) -> Load:
    """Return what a proven program asks of power source and air."""
    control = control_of(machine) if machine.dialect in dialects() else None
    return load_of(proof.trace, machine, amps, control)


def load_record(proof: Proof, machine: Machine, amps: float | None) -> dict[str, float | None]:
    """Return the load as plain data: seconds, litres of free air, bar; None where unknown."""
    load = load_of_proof(proof, machine, amps)
    values = {
        "worst_ten_minutes_s": load.worst_s,
        "allowed_s": load.allowed_s,
        "longest_cut_s": load.longest_s,
        "air_l": load.air_l,
        "tank_bar": load.tank_bar,
    }
    return {k: None if v is None or not math.isfinite(v) else round(v, 3) for k, v in values.items()}
