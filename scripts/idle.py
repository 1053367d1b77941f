"""Idle seconds a start: what a program spends on everything but the arc, for drawings and machines.

``python scripts/idle.py DRAWING ... [--thickness MM] [--mm-per-unit N]`` prints a row for each drawing and machine: the
built-in ones, the contact machine with a measured head and with touch-offs left out by consent, and the pilot machine
with the height of its slats and a touch that was found to repeat.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))


def main() -> int:
    """Print a row for each drawing and machine."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("drawings", nargs="+", type=Path)
    ask.add_argument("--thickness", type=float, default=3.0)
    ask.add_argument("--mm-per-unit", type=float, default=None)
    told = ask.parse_args()
    from kerfproof import api
    from kerfproof.job.job import DrawingUse, Job
    from kerfproof.report.data.figures import figures
    from support.shop.shop import built_in, chart

    contact, pilot = built_in("contact-float-mm"), built_in("pilot-ohmic-mm")
    measured = replace(
        contact, touch_fast_mm_min=1500.0, touch_slow_mm_min=1500.0, float_feed_mm_min=1500.0, float_spread=0.08
    )
    machines = {
        "contact as built in": contact,
        "contact, measured head": measured,
        "contact, left out by consent": replace(measured, leave_touch_off_out=True),
        "pilot as built in": pilot,
        "pilot, slats and touch measured": replace(
            pilot, slat_top=-100.0, float_feed_mm_min=300.0, touch_slow_mm_min=300.0, float_spread=0.06
        ),
    }
    print(f"{'drawing':32s} {'machine':32s} starts   run s   arc s  idle s a start  arc share  errors")
    for path in told.drawings:
        for name, machine in machines.items():
            use = DrawingUse(name=path.name, mm_per_unit=told.mm_per_unit)
            job = Job(
                drawings=(use,), machine=machine.name, chart="air-50a", material="mild steel", thickness=told.thickness
            )
            outcome = api.plan(job, {path.name: path.read_bytes()}, api.Shop(machine, chart()))
            if outcome.proof is None:
                print(f"{path.name[:32]:32s} {name:32s} no program")
                continue
            f = figures(outcome.proof, outcome.machine)
            errors = sum(str(finding.severity) == "error" for finding in outcome.findings)
            print(
                f"{path.name[:32]:32s} {name:32s} {f.pierces:6d} {f.run_s:7.1f} {f.torch_on_s:7.1f} "
                f"{(f.run_s - f.torch_on_s) / f.pierces:10.2f} {f.torch_on_s / f.run_s:13.0%} {errors:7d}"
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
