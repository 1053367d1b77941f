"""How much faster two processes are than one: the whole command over a folder of seeded drawings."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import bench_inputs

DRAWINGS = 60
PARTS = 16
"""In each drawing; about four tenths of a second of work."""
LEAST_S = 15.0
"""A single process must have so much to do, or the start of processes is what is measured."""
_SHOP = ["--machine", "contact-float-mm", "--material", "mild steel", "--thickness", "3 mm"]


def batch_scaling(rounds: int = 2) -> tuple[float, float]:
    """Return the best seconds of one process and of two, measured in turn; each run does all drawings anew."""
    with tempfile.TemporaryDirectory() as scratch:
        top = Path(scratch)
        (top / "in").mkdir()
        for number in range(DRAWINGS):
            (top / "in" / f"{number:02d}.dxf").write_bytes(bench_inputs.plate_dxf(PARTS, seed=100 + number))
        surroundings = {**os.environ, "PYTHONPYCACHEPREFIX": str(top / "bytecode")}
        surroundings.pop("PYTHONDONTWRITEBYTECODE", None)  # what is installed has its bytecode beside it
        times: dict[int, list[float]] = {1: [], 2: []}
        for _ in range(rounds):
            for processes, kept in times.items():
                kept.append(_seconds(top, processes, surroundings))
        same = [_programs(top / f"out{processes}") for processes in times]
    if same[0] != same[1] or len(same[0]) != DRAWINGS:
        raise RuntimeError("one process and two did not write the same programs")
    one, two = min(times[1]), min(times[2])
    if one < LEAST_S:
        print(f"  (only {one:.1f} s of work for one process, {LEAST_S:g} are wanted)", file=sys.stderr)
    if (os.cpu_count() or 1) < 2:
        print("  (this computer has one processor: nothing to gain)", file=sys.stderr)
    return one, two


def _seconds(top: Path, processes: int, surroundings: dict[str, str]) -> float:
    words = [sys.executable, "-m", "kerfproof_app", "batch", str(top / "in"), "-o", str(top / f"out{processes}")]
    began = time.perf_counter()
    words += ["--again", "--processes", str(processes), *_SHOP]
    done = subprocess.run(words, capture_output=True, text=True, check=False, env=surroundings)
    if done.returncode:
        raise RuntimeError(done.stdout[-2000:] + done.stderr)
    return time.perf_counter() - began


def _programs(out: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(out.glob("*.nc"))}
