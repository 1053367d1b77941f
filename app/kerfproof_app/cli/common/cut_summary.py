"""What a cut came to, in a few lines."""

from __future__ import annotations

from kerfproof.job.job import Mode
from kerfproof.outcome import Outcome
from kerfproof.parts.model.part import inside_of
from kerfproof.report.data.facts import both, both_sizes, counted, drill_sizes
from kerfproof.report.data.figures import idle_words
from kerfproof.report.data.job_report import report, verdict
from kerfproof.report.data.loading import load_of_proof, load_words
from kerfproof.sentence import said
from kerfproof.units import format_feed, format_length, format_time

SHOP_EDGE = "an air plasma cut itself varies by 0.3 to 0.5 mm"  # common practice, no source


MOST_DRILLED = 6
"""So many holes to drill are told with their places; of more only the sizes are told."""


def headline(outcome: Outcome, program: str, written: bool) -> str:
    """Return the verdict and whether the program was written, as one line."""
    word = verdict(outcome)
    errors = sum(f.severity == "error" for f in outcome.findings)
    if word != "NOT PROVEN":
        return f"{word}: {program} {_does(outcome)}"
    why = counted(errors, "error") if errors else "no program came out"
    tail = f"{program} was written all the same" if written else f"{program} was not written"
    return f"{word}: {why}; {tail}"


def _does(outcome: Outcome) -> str:
    """Return what a proven program does, without a promise too much."""
    if outcome.job.mode is not Mode.CUT:
        return f"lights no torch and stays raised ({outcome.job.mode.value} of {names(outcome)})"
    drilled, left = len(outcome.drilled), len(outcome.left_out)
    said = [f"{counted(drilled, 'hole')} for the drill"] if drilled else []
    uncut = left - drilled - len(inside_of(outcome.parts.features, [f.number for f in outcome.drilled]))
    said += [f"{counted(uncut, 'feature')} left out"] if uncut else []
    return f"cuts {names(outcome)} as drawn" + (f", except {' and '.join(said)}" if said else "")


def names(outcome: Outcome) -> str:
    """Return the names of the drawings."""
    found = [drawing.name for drawing in outcome.drawings]
    return found[0] if len(found) == 1 else f"{len(found)} drawings"


def lines(outcome: Outcome) -> list[tuple[str, str]]:
    """Return the summary as names and values."""
    data, process, machine = report(outcome), outcome.process, outcome.machine
    program, parts = data["program"], outcome.parts.parts
    holes = sum(len(part.holes) for part in parts)
    size = data["drawing"]["size_mm"]
    rows = [("parts", f"{len(parts)} with {counted(holes, 'hole')}" + (f", {ascii_size(*size)}" if size else ""))]
    if program["pierces"] is not None:
        rows += [
            ("cuts", f"{counted(program['pierces'], 'pierce')}, {program['cut_length_mm'] / 1000:.2f} m of cut"),
            ("time", f"torch on {format_time(round(program['torch_on_s']))} of {format_time(round(program['run_s']))}"),
        ]
    if outcome.proof is not None and outcome.job.mode is Mode.CUT:
        idle = idle_words(program["idle_s_per_start"], program["arc_share"], machine, process.amps)
        rows += [("idle", idle)] if program["pierces"] else []
        rows += load_words(load_of_proof(outcome.proof, machine, process.amps), process.amps)
    if program["plate_mm"]:
        rows.append(("plate", f"{'' if outcome.job.plate else 'at least '}{ascii_size(*program['plate_mm'])}"))
    row = " (estimated, not measured)" if process.estimated else ""
    rows += [
        ("cut with", f"{process.material} {format_length(process.thickness)}, {process.amps:g} A{row}"),
        (
            "kerf, feed",
            f"{both(process.kerf)}, {format_feed(process.feed_mm_min)} ({format_feed(process.feed_mm_min, True)})",
        ),
        ("machine", machine.title or machine.name),
    ]
    drill = data["drill"]
    if len(drill) > MOST_DRILLED:
        rows.append(("to drill", f"{drill_sizes(outcome, machine.inches)}; places in picture, sheet and report"))
    elif drill:
        rows.append(("to drill", ", ".join(f"{d['label']} at X{d['center'][0]:g} Y{d['center'][1]:g}" for d in drill)))
    if outcome.proof is not None:
        if outcome.proof.ok:
            rows.append(("edge", f"{outcome.proof.edge_deviation * 1000:.1f} um off in arithmetic; {SHOP_EDGE}"))
        rows.append(("holds for", said(outcome.proof.holds_for, machine.inches)))
    return rows


def ascii_size(width: float, height: float) -> str:
    """Return a size in mm and inches with plain letters only."""
    return both_sizes(width, height).replace("\u00d7", "x")
