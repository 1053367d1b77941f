"""Rows of the bench that are times, and memory."""

from __future__ import annotations

import io
import itertools
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path as FilePath

import ezdxf
import numpy as np
import shapely

import bench_inputs
from bench_work import KERF, best, floor_geometry, job, planned, seconds, shop
from kerfproof import api
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.job.job import Pin
from kerfproof.proof.evidence.evidence import Against, extra_lines
from kerfproof.proof.evidence.simulated_table import Table, trip_depth
from kerfproof.proof.prove import prove
from kerfproof.proof.table import scenario

ROUNDS = 5


def dense_plate() -> tuple[float, float]:
    """500 parts, 4 500 features, 60 000 primitives: bytes to proven program."""
    data = bench_inputs.plate_dxf(500)
    return best(lambda: planned(data), lambda: floor_geometry(data), ROUNDS)


def dense_soup() -> tuple[float, float]:
    """Plan the same plate as loose lines and arcs; the floor reads these and does the rest for whole contours."""
    whole, data = bench_inputs.plate_dxf(500), bench_inputs.plate_dxf(500, as_soup=True)
    text = data.decode()
    return best(lambda: planned(data), lambda: (floor_geometry(whole), ezdxf.read(io.StringIO(text))), 3)


def single_part() -> tuple[float, float]:
    """About 20 features (two parts of nine), imports done."""
    data = bench_inputs.plate_dxf(2)
    return best(lambda: planned(data), lambda: floor_geometry(data), 25)


def replan_one() -> tuple[float, float]:
    """Move one lead of the dense plate on a bench that holds the plan before, over planning it from nothing."""
    data = {"plate.dxf": bench_inputs.plate_dxf(500)}
    bench, made = api.Bench(), shop()
    first = bench.plan(job(), data, made)
    path = first.parts.features[0].contour.path
    moved = itertools.cycle(
        replace(job(), pins=(Pin(drawing="plate.dxf", x=x - first.shift[0], y=y - first.shift[1]),))
        for x, y in (path.vertices[k, :2].tolist() for k in (0, len(path.vertices) // 2))
    )
    return best(lambda: bench.plan(next(moved), data, made), lambda: api.plan(next(moved), data, made), 3)


def start_up() -> tuple[float, float]:
    """``kerfproof --help`` over ``python -c "import ezdxf"``, whole processes."""
    helped = [sys.executable, "-m", "kerfproof_app", "--help"]
    bare = [sys.executable, "-c", "import ezdxf"]

    def run(command: list[str]) -> Callable[[], object]:
        return lambda: subprocess.run(command, check=True, capture_output=True)

    return best(run(helped), run(bare), 10)


def interpreter() -> tuple[float, float]:
    """Lines a second for a program of some 30 000 lines, over those of an outside parser for the same text.

    The program is one without parameters, of which the outside parser understands every line; it is played on a
    table with a plate, as it must be to run to its end.
    """
    from gcodeparser import parse_gcode_lines

    made = planned(bench_inputs.plate_dxf(75), "contact-skip-mm")
    assert made.program is not None
    text, control = made.program.text, control_of(made.machine)
    lines = len(text.splitlines())
    print(f"  ({lines} lines)", file=sys.stderr)
    table = scenario.nominal(made.machine, control.control_back_off)

    def value() -> object:
        world = Table(made.machine, table.plate, trip_depth(made.machine, control), table.back_off)
        trace = interpret(text, control, world=world, start=table.start, lines=extra_lines(made.machine))
        assert trace.stopped is None and len(trace) > lines // 2
        return trace

    mine, theirs = best(value, lambda: list(parse_gcode_lines(text)), 9)
    return lines / mine, lines / theirs


def proof_sweep() -> tuple[float, float]:
    """Prove the dense plate with all rules, over buffers and a disjoint-subset union of its torch paths."""
    made = planned(bench_inputs.plate_dxf(500))
    assert made.program is not None and made.plan is not None
    text, plate = made.program.text, made.plan.plate
    drawn, slits = api.drawn_contours(made.parts, made.left_out)
    control = control_of(made.machine)
    lines = [shapely.LineString(np.vstack([p.flattened(0.005) for p in cut.pieces])) for cut in made.plan.cuts]

    def floor() -> object:
        return shapely.disjoint_subset_union_all(shapely.buffer(np.array(lines), KERF / 2, quad_segs=16))

    def value() -> object:
        return prove(
            text,
            Against(control=control, machine=made.machine, process=made.process, drawn=drawn, slits=slits, plate=plate),
        )

    return best(value, floor, ROUNDS)


def growth() -> tuple[float, float]:
    """Slope of log time over 1 000, 4 500 and 20 000 features, the worse of whole and loose (floor 1: proportional)."""
    slopes = []
    for as_soup in (False, True):
        times = []
        for parts, rounds in ((111, 3), (500, 2), (2222, 1)):
            data = bench_inputs.plate_dxf(parts, as_soup=as_soup)
            times.append(min(seconds(lambda data=data: planned(data)) for _ in range(rounds)))
        slopes.append(float(np.polyfit(np.log([999, 4500, 19998]), np.log(times), 1)[0]))
        print(f"  ({'loose' if as_soup else 'whole'}: {', '.join(f'{t:.1f}' for t in times)} s)", file=sys.stderr)
    return max(slopes), 1.0


def memory() -> tuple[float, float]:
    """Peak memory (MB) of the dense plate over that of its floor, each in a process of its own."""

    def peak(call: str) -> float:
        code = f"import bench_work, bench_inputs; d = bench_inputs.plate_dxf(500); {call}; print(bench_work.peak_mb())"
        done = subprocess.run(
            [sys.executable, "-c", code], check=True, capture_output=True, text=True, cwd=FilePath(__file__).parent
        )
        return float(done.stdout.split()[-1])

    return peak("bench_work.planned(d)"), peak("bench_work.floor_geometry(d)")
