"""What a program does, drawn from its trace alone: for programs without a plan, ours or anyone's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Bools, Floats, Ints, Path
from kerfproof.proof.evidence.runs import TorchRun
from kerfproof.proof.proof import Proof
from kerfproof.shop.chart import Process

Point = tuple[float, float]
THIN = 1.0
"""Width drawn where the kerf is not known, mm."""
MOST_TRAVELS = 20_000


@dataclass(frozen=True, slots=True, eq=False)
class Traced:
    """The torch-on paths with their runs and width (mm), the torch-off ways, the places of the pierces."""

    cuts: tuple[Path, ...]
    runs: tuple[TorchRun, ...]
    width: float
    travels: tuple[Path, ...]


def traced(proof: Proof, process: Process | None) -> Traced:
    """Return the paths of a proven program, in program coordinates."""
    trace = proof.trace
    moves = np.isin(trace.kind, (Step.RAPID, Step.FEED, Step.ARC)) & _in_plane(trace)
    found = [(run, path) for run in proof.runs if (path := _chain(trace, _rows(run, moves))) is not None]
    off = np.flatnonzero(moves & ~trace.torch)
    breaks = np.flatnonzero(np.diff(off) > 1) + 1 if len(off) else np.empty(0, dtype=np.int64)
    stretches = np.split(off, breaks)[:MOST_TRAVELS] if len(off) else []
    travels = [path for rows in stretches if (path := _chain(trace, rows)) is not None]
    return Traced(
        tuple(path for _, path in found),
        tuple(run for run, _ in found),
        process.kerf if process is not None else THIN,
        tuple(travels),
    )


def _rows(run: TorchRun, moves: Bools) -> Ints:
    return np.flatnonzero(moves[run.first_row : run.last_row + 1]) + run.first_row


def _in_plane(trace: Trace) -> Bools:
    return np.asarray((np.abs(trace.end - trace.start)[:, :2].max(axis=1) > 1e-6) | (trace.sweep != 0))


def _chain(trace: Trace, rows: Ints) -> Path | None:
    """Return one path through rows that follow each other, None if nothing is left of it."""
    if not len(rows):
        return None
    vertices: list[tuple[float, float, float]] = []
    origin = np.array(trace.xy_origin)
    for row in rows.tolist():
        for x, y, bulge in _vertices(trace, row, origin):
            if vertices and max(abs(vertices[-1][0] - x), abs(vertices[-1][1] - y)) <= 1e-6:
                vertices[-1] = (vertices[-1][0], vertices[-1][1], bulge)
            else:
                vertices.append((x, y, bulge))
    x, y = trace.end[rows[-1], :2] - origin
    if max(abs(vertices[-1][0] - x), abs(vertices[-1][1] - y)) > 1e-6:
        vertices.append((float(x), float(y), 0.0))
    return Path(vertices, False) if len(vertices) > 1 else None


def _vertices(trace: Trace, row: int, origin: Floats) -> list[tuple[float, float, float]]:
    """Return where the pieces of a row begin, with their bulge; arcs over a half circle in pieces."""
    sweep = float(trace.sweep[row])
    start = trace.start[row, :2] - origin
    if sweep == 0.0:
        return [(float(start[0]), float(start[1]), 0.0)]
    pieces = max(1, int(np.ceil(abs(sweep) / np.pi - 1e-9)))
    center = trace.center[row] - origin
    out = start - center
    angle, radius = float(np.arctan2(out[1], out[0])), float(np.hypot(*out))
    bulge = float(np.tan(sweep / pieces / 4))
    turns = [angle + sweep * k / pieces for k in range(pieces)]
    return [(float(center[0] + radius * np.cos(t)), float(center[1] + radius * np.sin(t)), bulge) for t in turns]
