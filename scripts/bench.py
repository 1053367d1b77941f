"""Speed and quality as ratios: each row's value over a floor taken in the same run on the same seeded input.

The floor is what the libraries under the product need for the same job, nothing more. Value and floor are
measured in turn, the best of several is taken. ``python scripts/bench.py [--json FILE] [--only NAME ...]``.
Times swing by a quarter from run to run: a row within a tenth of its goal counts as met, and says so.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path as FilePath

import bench_quality
import bench_speed
from bench_batch import batch_scaling
from bench_window import cancel, frame, lead_drag, window_open, window_planned
from bench_work import planned
from trusted_base import trusted_base

__all__ = ["ROWS", "main", "planned"]

SLACK = 0.1

Measure = Callable[[], tuple[float, float] | None]
ROWS: dict[str, tuple[Measure, float, bool]] = {
    "dense_plate": (bench_speed.dense_plate, 3.0, False),
    "dense_soup": (bench_speed.dense_soup, 4.0, False),
    "single_part": (bench_speed.single_part, 8.0, False),
    "replan_one": (bench_speed.replan_one, 0.5, False),
    "start_up": (bench_speed.start_up, 0.6, False),
    "interpreter": (bench_speed.interpreter, 1.2, True),
    "proof_sweep": (bench_speed.proof_sweep, 2.3, False),
    "growth": (bench_speed.growth, 1.10, False),
    "memory": (bench_speed.memory, 2.5, False),
    "order": (bench_quality.order, 1.02, False),
    "arcs": (bench_quality.arcs, 1.05, False),
    "edge": (bench_quality.edge, 1.0, False),
    "edge_curves": (bench_quality.edge_curves, 1.0, False),
    "batch_scaling": (batch_scaling, 1.7, True),
    "window_open": (window_open, 1.5, False),
    "window_planned": (window_planned, 2.0, False),
    "frame": (frame, 1.5, False),
    "lead_drag": (lead_drag, 2.0, False),
    "cancel": (cancel, 1.0, False),
    "trusted_base": (trusted_base, 1.28, False),
}
"""Name: what measures it (None: it can't be measured here), the goal for the ratio, whether more is better."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row as measured. `met` allows for a tenth; `without_slack` does not."""

    name: str
    value: float
    floor: float
    ratio: float
    goal: float
    met: bool
    without_slack: bool


def judged(name: str, value: float, floor: float, goal: float, more: bool) -> Row:
    """Return a row with its ratio and whether the goal is met."""
    ratio = value / floor
    short = (goal - ratio) / goal if more else (ratio - goal) / goal
    return Row(name, value, floor, ratio, goal, short <= SLACK, short <= 0)


def main() -> int:
    """Measure, print a table, optionally write it as JSON; return 1 if a goal is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", type=FilePath, help="write the rows to this file, too")
    parser.add_argument("--only", action="append", choices=list(ROWS), help="measure this row; may be given again")
    args = parser.parse_args()
    out = []
    print(f"{'name':<14}{'value':>12}{'floor':>12}{'ratio':>8}{'goal':>7}  met")
    for name in args.only or ROWS:
        measure, goal, more = ROWS[name]
        measured = measure()
        if measured is None:
            continue
        row = judged(name, *measured, goal, more)
        out.append(row)
        met = "yes" if row.without_slack else "within a tenth" if row.met else "no"
        print(f"{name:<14}{row.value:>12.3f}{row.floor:>12.3f}{row.ratio:>8.3f}{goal:>7.2f}  {met}", flush=True)
    if args.json:
        args.json.write_text(json.dumps([asdict(row) for row in out], indent=1))
    return 0 if all(row.met for row in out) else 1


if __name__ == "__main__":
    sys.exit(main())
