"""Facts in words for people: sizes in both units, counts, and what is told of an outcome beside its picture."""

from __future__ import annotations

from collections import Counter

from kerfproof.geom.path import Bundle
from kerfproof.outcome import Outcome
from kerfproof.parts.model.round_hole import hole_widths
from kerfproof.report.data.figures import idle_words
from kerfproof.report.data.job_report import report
from kerfproof.sentence import counted as counted
from kerfproof.shop.chart import Process
from kerfproof.units import format_feed, format_length, format_size, format_time


def facts_of(outcome: Outcome) -> tuple[tuple[str, str], ...]:
    """Return the facts of an outcome as names and values, for the margin of its picture."""
    data, process = report(outcome), outcome.process
    facts = process_facts(process)
    size = data["drawing"]["size_mm"]
    if size is not None:
        facts.append(("Size", both_sizes(*size)))
    plate = data["program"]["plate_mm"]
    if plate is not None:
        facts.append(("Plate", both_sizes(*plate)))
    holes = sum(len(part.holes) for part in outcome.parts.parts)
    facts.append(("Parts", f"{len(outcome.parts.parts)} with {counted(holes, 'hole')}"))
    program = data["program"]
    if program["pierces"] is not None:
        lit = program["pierces"] > 0
        cut = f"{counted(program['pierces'], 'pierce')}, {program['cut_length_mm'] / 1000:.2f} m of cut"
        facts.append(("Cuts", cut if lit else "none, the torch stays off"))
        facts.append(
            ("Time", f"{format_time(round(program['run_s']))}, torch on {format_time(round(program['torch_on_s']))}")
        )
        if lit:
            idle, share = program["idle_s_per_start"], program["arc_share"]
            facts.append(("Idle", idle_words(idle, share, outcome.machine, process.amps)))
            facts.append(("Edge", edge_words(data["proof"]["edge_deviation_mm"])))
    if outcome.drilled:
        facts.append(("To drill", drill_sizes(outcome, times="\u00d7")))
    facts.append(("Machine", outcome.machine.title or outcome.machine.name))
    return tuple(facts)


def process_facts(process: Process) -> list[tuple[str, str]]:
    """Return what is cut with what: material, kerf and feed."""
    return [
        ("Material", f"{process.material} {format_length(process.thickness)}, {process.amps:g} A"),
        ("Kerf", both(process.kerf, 2)),
        ("Feed", f"{format_feed(process.feed_mm_min)} ({format_feed(process.feed_mm_min, inches=True)})"),
    ]


def drill_sizes(outcome: Outcome, inches: bool = False, times: str = "x") -> str:
    """Return how many holes of each size are left to the drill: ``16 x 5.5 mm, 2 x 3 mm wide``."""
    other = [f for f in outcome.drilled if f.diameter is None]
    widths = hole_widths(Bundle.of([f.contour.path for f in other])).tolist()
    sizes = Counter((f.diameter, "") for f in outcome.drilled if f.diameter is not None)
    sizes += Counter((width, " wide") for width in widths)
    told: Counter[str] = Counter()
    for (size, word), count in sizes.items():
        told[format_length(size, inches=inches, decimals=3 if inches else 2) + word] += count
    return ", ".join(f"{count} {times} {size}" for size, count in told.items())


def edge_words(deviation: float) -> str:
    """Return how far (mm) the finished edge lies from the drawn one; a part that is not right is told in mm."""
    if deviation < 0.1:
        return f"within {deviation * 1000:.1f} µm of the drawing"
    return f"up to {both(deviation, 2)} off the drawing"


def both(mm: float, decimals: int = 2) -> str:
    """Return a length in mm and in inches."""
    return f"{format_length(mm, decimals=decimals)} ({format_length(mm, inches=True, decimals=decimals + 1)})"


def both_sizes(width: float, height: float) -> str:
    """Return a size in mm and in inches."""
    millimetres = format_size(round(width, 1), round(height, 1)).replace("x", " × ")
    inches = format_size(round(width, 2), round(height, 2), inches=True).replace("x", " × ")
    return f"{millimetres} ({inches})"
