"""Idle seconds a start: what a program spends on everything but the arc, for drawings and machines.

``python scripts/idle.py DRAWING ... [--thickness MM] [--machine NAME]``
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))


def main() -> int:
    """Print a row for each drawing."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("drawings", nargs="+", type=Path)
    ask.add_argument("--thickness", type=float, default=3.0)
    ask.add_argument("--machine", default="contact-float-mm")
    ask.add_argument("--mm-per-unit", type=float, default=None)
    told = ask.parse_args()
    from kerfproof import api
    from kerfproof.job.job import DrawingUse, Job
    from kerfproof.report.data.figures import figures
    from support.shop.shop import built_in, chart

    shop = api.Shop(built_in(told.machine), chart())
    print(f"{'drawing':40s} starts   run s   arc s  idle s a start  arc share")
    for path in told.drawings:
        use = DrawingUse(name=path.name, mm_per_unit=told.mm_per_unit)
        job = Job(
            drawings=(use,), machine=told.machine, chart="air-50a", material="mild steel", thickness=told.thickness
        )
        outcome = api.plan(job, {path.name: path.read_bytes()}, shop)
        if outcome.proof is None:
            print(f"{path.name[:40]:40s} no program")
            continue
        told_of = figures(outcome.proof, outcome.machine)
        run, arc, starts = told_of.run_s, told_of.torch_on_s, len(outcome.proof.runs)
        print(f"{path.name[:40]:40s} {starts:6d} {run:7.1f} {arc:7.1f} {(run - arc) / starts:9.2f} {arc / run:14.0%}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
