"""Where every block of a program ends, against an independent modal reader from the registry."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from pygcode import Line, Machine

from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.reader.interpreter import interpret
from kerfproof.gcode.trace import StartState, Trace
from support.programs.reading import PUBLISHED
from support.shop.shop import built_in, cut, demo

INCH = 25.4


def by_the_other(lines: list[str]) -> list[tuple[float, float, float]]:
    """Return the place after each line as the other reader has it: program coordinates and units."""
    machine, out = Machine(), []
    for line in lines:
        machine.process_block(Line(line).block)
        place = machine.pos.values
        out.append((place["X"], place["Y"], place["Z"]))
    return out


def by_ours(trace: Trace, count: int) -> list[tuple[float, float, float]]:
    """Return the place after each line in program coordinates, mm."""
    out, place, row = [], (0.0, 0.0, 0.0), 0
    origin = np.array(trace.xy_origin)
    for number in range(1, count + 1):
        while row < len(trace) and trace.line[row] <= number:
            x, y = trace.end[row, :2] - origin
            place = (float(x), float(y), float(trace.frame_z[row, 1]))
            row += 1
        out.append(place)
    return out


def walk(seed: int, count: int, inches: bool) -> Iterator[str]:
    """Yield a random program: straights and arcs, absolute and incremental, modal words left out, feeds, dwells."""
    r = random.Random(seed)
    yield "G20" if inches else "G21"
    yield "G17 G90 G94 G54 F1000"
    incremental, motion, x, y = False, "", 0.0, 0.0
    for _ in range(count):
        if r.random() < 0.1:
            incremental = not incremental
            yield "G91" if incremental else "G90"
        kind = r.choice(["G0", "G1", "G01", "G2", "G3"])
        if kind in ("G2", "G3"):
            i, j = round(r.uniform(-9, 9), 4), round(r.uniform(0.1, 9), 4)
            dx, dy = 2 * i, 2 * j  # half a circle: both radii are the same to the last digit
            tail = f" I{i:.4f} J{j:.4f}"
        else:
            dx, dy, tail = round(r.uniform(-50, 50), 4), round(r.uniform(-50, 50), 4), ""
        u, v = (dx, dy) if incremental else (x + dx, y + dy)
        z = f" Z{r.uniform(-5, 5):.4f}" if r.random() < 0.3 else ""
        word = "" if kind == motion and r.random() < 0.5 else f"{kind} "
        x, y, motion = round(x + dx, 4), round(y + dy, 4), kind
        yield f"{word}X{u:.4f} Y{v:.4f}{z}{tail}" + (f" F{r.randint(1, 9)}00" if r.random() < 0.2 else "")
        if r.random() < 0.1:
            yield r.choice(["G4 P0.1", "M3", "M5", "(a comment)", ""])


@pytest.mark.parametrize("inches", [False, True])
def test_random_programs_end_every_block_where_another_reader_has_it(inches: bool) -> None:
    lines = list(walk(17, 400, inches))
    trace = interpret("\n".join(lines) + "\n", PUBLISHED, start=StartState(inches=inches))
    assert [u for u in trace.unread if u.error] == []
    wanted = np.array(by_the_other(lines)) * (INCH if inches else 1.0)
    assert np.abs(np.array(by_ours(trace, len(lines))) - wanted).max() < 1e-6
    assert np.abs(wanted[-1]).max() > 10, "it went somewhere"


@pytest.mark.parametrize("inches", [False, True])
@pytest.mark.parametrize("name", ["gusset", "pump-flange"])
def test_our_programs_end_every_block_where_another_reader_has_it(name: str, inches: bool) -> None:
    # The dialect without expressions; both take a search as made to its target when there is no plate.
    machine = replace(built_in(), dialect="compact", inches=inches)
    program = cut(demo(name), machine).program
    assert program is not None
    lines = program.text.splitlines()
    trace = interpret(program.text, control_of(machine), start=StartState(inches=inches))
    end = next(k for k, line in enumerate(lines) if line.startswith("G92.1"))  # after it Z is the machine's
    wanted = np.array(by_the_other(lines[:end])) * (INCH if inches else 1.0)
    assert np.abs(np.array(by_ours(trace, len(lines)))[:end] - wanted).max() < 1e-6
    assert len(np.unique(wanted, axis=0)) > 50, "it went many places"
