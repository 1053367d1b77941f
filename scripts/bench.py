"""Speed as ratios: each row's value over a floor taken in the same run on the same seeded input.

The floor is what the libraries under the product need for the same job, nothing more. Value and floor are
measured in turn, the best of several is taken. ``python scripts/bench.py [--json FILE] [--only NAME ...]``.
"""

from __future__ import annotations

import argparse
import dataclasses
import gc
import io
import json
import math
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path as FilePath

import ezdxf
import ezdxf.path
import numpy as np
import shapely

import bench_inputs
from kerfproof import api
from kerfproof.job import DrawingUse, Job
from kerfproof.machine.chart_file import parse_chart
from kerfproof.machine.control import control_of
from kerfproof.machine.machine_file import parse_machine
from kerfproof.motion.interpreter import interpret
from kerfproof.verify.prove import prove
from kerfproof_resources import chart_text, machine_text

KERF = 1.45


def shop() -> api.Shop:
    """Return the built-in millimetre machine with a table large enough for the dense plate."""
    machine = parse_machine(machine_text("contact-float-mm"), "contact-float-mm")
    return api.Shop(
        dataclasses.replace(machine, travel_x=20_000.0, travel_y=20_000.0),
        parse_chart(chart_text("air-50a"), "air-50a"),
    )


def job() -> Job:
    """Return the job of the dense plate."""
    return Job(
        drawings=(DrawingUse(name="plate.dxf"),), machine="bench", chart="air-50a", material="mild steel", thickness=3.0
    )


def planned(data: bytes) -> api.Outcome:
    """Return the outcome of a drawing, proven."""
    return api.plan(job(), {"plate.dxf": data}, shop())


def floor_geometry(data: bytes) -> list[shapely.Geometry]:
    """Read, flatten at 5 um and buffer the closed contours of a drawing with the libraries alone."""
    doc = ezdxf.read(io.StringIO(data.decode()))
    rings = []
    for entity in doc.modelspace():
        points = [(v.x, v.y) for v in ezdxf.path.make_path(entity).flattening(0.005)]
        if len(points) > 3 and entity.dxftype() in ("CIRCLE", "LWPOLYLINE"):
            rings.append(shapely.Polygon(points))
        else:
            rings.append(shapely.LineString(points))
    return list(shapely.buffer(np.array(rings), KERF / 2, quad_segs=16))


def best(value: Callable[[], object], floor: Callable[[], object], rounds: int) -> tuple[float, float]:
    """Return the best times of both in seconds, measured in turn."""
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for run, kept in zip((value, floor), times, strict=True):
            gc.collect()
            begin = time.perf_counter()
            run()
            kept.append(time.perf_counter() - begin)
    return min(times[0]), min(times[1])


def dense_plate() -> tuple[float, float]:
    """500 parts, 4 500 features, 60 000 primitives: bytes to proven program."""
    data = bench_inputs.plate_dxf(500)
    return best(lambda: planned(data), lambda: floor_geometry(data), 3)


def dense_soup() -> tuple[float, float]:
    """Plan the same plate as loose lines and arcs; the floor is that of the whole contours."""
    whole, data = bench_inputs.plate_dxf(500), bench_inputs.plate_dxf(500, as_soup=True)
    read_only = lambda: (floor_geometry(whole), ezdxf.read(io.StringIO(data.decode())))  # noqa: E731
    return best(lambda: planned(data), read_only, 2)


def single_part() -> tuple[float, float]:
    """About 20 features (two parts of nine), imports done."""
    data = bench_inputs.plate_dxf(2)
    return best(lambda: planned(data), lambda: floor_geometry(data), 7)


def start_up() -> tuple[float, float]:
    """``kerfproof --help`` over ``python -c "import ezdxf"``, whole processes."""
    helped = [sys.executable, "-m", "kerfproof_app", "--help"]
    bare = [sys.executable, "-c", "import ezdxf"]

    def run(command: list[str]) -> Callable[[], object]:
        return lambda: subprocess.run(command, check=True, capture_output=True)

    return best(run(helped), run(bare), 8)


def interpreter() -> tuple[float, float]:
    """Seconds for a realistic program of our own, over the outside parser's for the same lines."""
    from gcodeparser import parse_gcode_lines

    text = planned(bench_inputs.plate_dxf(120)).program.text  # type: ignore[union-attr]
    control = control_of(shop().machine)
    plain = "\n".join(line for line in text.splitlines() if "#" not in line)
    print(f"  ({len(text.splitlines())} lines)", file=sys.stderr)
    value, floor = best(lambda: interpret(text, control), lambda: list(parse_gcode_lines(plain)), 5)
    return floor, value  # as lines per second, more is better


def proof_sweep() -> tuple[float, float]:
    """Prove the dense plate with all rules, over buffers and a disjoint-subset union of its torch paths."""
    made = planned(bench_inputs.plate_dxf(500))
    assert made.program is not None and made.plan is not None
    drawn, slits = api.drawn_contours(made.parts, made.left_out)
    control = control_of(made.machine)
    lines = [shapely.LineString(np.vstack([p.flattened(0.005) for p in cut.pieces])) for cut in made.plan.cuts]

    def floor() -> object:
        return shapely.disjoint_subset_union_all(shapely.buffer(np.array(lines), KERF / 2, quad_segs=16))

    def value() -> object:
        return prove(made.program.text, control, made.machine, made.process, drawn, slits=slits, plate=made.plan.plate)

    return best(value, floor, 3)


def growth() -> tuple[float, float]:
    """Slope of log time over 1 000, 4 500 and 20 000 features (floor 1: proportional)."""
    counts, times = [], []
    for parts in (111, 500, 2222):
        data = bench_inputs.plate_dxf(parts)
        begin = time.perf_counter()
        planned(data)
        times.append(time.perf_counter() - begin)
        counts.append(9 * parts)
    return float(np.polyfit(np.log(counts), np.log(times), 1)[0]), 1.0


def memory() -> tuple[float, float]:
    """Peak memory (MB) of the dense plate over that of its floor, each in a process of its own."""

    def peak(call: str) -> float:
        code = f"import bench, bench_inputs, resource; d = bench_inputs.plate_dxf(500); {call}; print(bench.peak_mb())"
        done = subprocess.run(
            [sys.executable, "-c", code], check=True, capture_output=True, text=True, cwd=FilePath(__file__).parent
        )
        return float(done.stdout.split()[-1])

    return peak("bench.planned(d)"), peak("bench.floor_geometry(d)")


def peak_mb() -> float:
    """Return this process's peak memory in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def edge() -> tuple[float, float]:
    """Worst deviation of the finished edge on the dense plate, um (lines and arcs)."""
    proof = planned(bench_inputs.plate_dxf(60)).proof
    assert proof is not None
    return proof.edge_deviation * 1000, 1.0


ROWS: dict[str, tuple[Callable[[], tuple[float, float]], float, bool]] = {
    "dense_plate": (dense_plate, 3.0, False),
    "dense_soup": (dense_soup, 4.0, False),
    "single_part": (single_part, 8.0, False),
    "start_up": (start_up, 0.6, False),
    "interpreter": (interpreter, 1.2, True),
    "proof_sweep": (proof_sweep, 1.5, False),
    "growth": (growth, 1.10, False),
    "memory": (memory, 2.5, False),
    "edge": (edge, 1.0, False),
}
"""Name: what measures it, the goal for the ratio, whether more is better."""


def main() -> int:
    """Measure, print a table, optionally write it as JSON."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", type=FilePath)
    parser.add_argument("--only", action="append", choices=list(ROWS))
    args = parser.parse_args()
    out = []
    print(f"{'name':<14}{'value':>10}{'floor':>10}{'ratio':>8}{'goal':>7}  met")
    for name in args.only or ROWS:
        measure, goal, more = ROWS[name]
        value, floor = measure()
        ratio = value / floor
        met = ratio >= goal if more else ratio <= goal
        out.append({"name": name, "value": value, "floor": floor, "ratio": ratio, "goal": goal, "met": met})
        print(f"{name:<14}{value:>10.3f}{floor:>10.3f}{ratio:>8.2f}{goal:>7.2f}  {'yes' if met else 'no'}", flush=True)
    if args.json:
        args.json.write_text(json.dumps(out, indent=1))
    return 0 if all(math.isfinite(row["ratio"]) for row in out) else 1


if __name__ == "__main__":
    sys.exit(main())
