"""The work that the bench measures, the floor beside it, and how both are timed."""

from __future__ import annotations

import dataclasses
import functools
import gc
import io
import resource
import time
from collections.abc import Callable
from pathlib import Path

import ezdxf
import ezdxf.path
import numpy as np
import shapely

from kerfproof import api
from kerfproof.job.job import DrawingUse, Job
from kerfproof.shop.chart_file import parse_chart
from kerfproof.shop.machine_file import parse_machine
from kerfproof_app.shop.gc_tuning import collect_seldom
from kerfproof_resources import chart_text, machine_text

KERF = 1.45
collect_seldom()  # as the program's own processes run; the floors run so, too


@functools.cache
def shop(machine_name: str = "contact-float-mm") -> api.Shop:
    """Return a built-in millimetre machine with a table large enough for the dense plate."""
    machine = parse_machine(machine_text(machine_name), machine_name)
    return api.Shop(
        dataclasses.replace(machine, travel_x=20_000.0, travel_y=20_000.0),
        parse_chart(chart_text("air-50a"), "air-50a"),
    )


def job() -> Job:
    """Return the job of the dense plate."""
    return Job(
        drawings=(DrawingUse(name="plate.dxf"),), machine="bench", chart="air-50a", material="mild steel", thickness=3.0
    )


def planned(data: bytes, machine_name: str = "contact-float-mm") -> api.Outcome:
    """Return the outcome of a drawing, proven."""
    return api.plan(job(), {"plate.dxf": data}, shop(machine_name))


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
            kept.append(seconds(run))
    return min(times[0]), min(times[1])


def seconds(run: Callable[[], object]) -> float:
    """Return how long one run takes."""
    begin = time.perf_counter()
    run()
    return time.perf_counter() - begin


def peak_mb() -> float:
    """Return this process's peak memory in MB."""
    status = Path("/proc/self/status")
    if status.exists():  # what a process inherits from its parent is not counted here
        return float(status.read_text().split("VmHWM:")[1].split()[0]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
