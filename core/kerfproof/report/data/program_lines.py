"""What a program comes to that is there already, as names and values: below the verdict, beside the picture."""

from __future__ import annotations

from kerfproof.programs.proven_program import UNLIT, ProvenProgram
from kerfproof.report.data.facts import both, counted
from kerfproof.report.data.figures import figures, idle_words
from kerfproof.report.data.limits_9013 import class_line
from kerfproof.report.data.listing import piece_lines
from kerfproof.sentence import Phrase
from kerfproof.units import format_time


def program_lines(proven: ProvenProgram) -> list[tuple[str, Phrase]]:
    """Return machine, plate, figures, what the verdict holds for, and without a drawing the pieces that come free."""
    process, expected = proven.process, proven.expected
    lines: list[tuple[str, Phrase]] = [("machine", proven.machine.title or proven.machine.name)]
    kerf = "" if proven.mode in UNLIT else f", kerf {both(process.kerf)}"
    lines.append(("made for", f"{process.material} {both(process.thickness)}{kerf}"))
    if proven.assumed:
        lines.append(("assumed", proven.assumed))
    if proven.drill:
        lines.append(("left out", f"{counted(len(proven.drill), 'feature')} of the drawing, as the heading says"))
    lines += [*_figures(proven), ("holds for", proven.whole.holds_for)]
    known = expected.placed or len(expected.counts) == 1
    tolerance = class_line(proven.proof, expected.contours or (), process) if known else ""
    if tolerance:
        lines.append(("ISO 9013", tolerance))
    return lines


def _figures(proven: ProvenProgram) -> list[tuple[str, Phrase]]:
    f = figures(proven.proof, proven.machine)
    told: list[tuple[str, Phrase]] = [("cuts", f"{counted(f.pierces, 'pierce')}, {f.cut_length / 1000:.2f} m of cut")]
    told.append(("time", f"torch on {format_time(round(f.torch_on_s))} of {format_time(round(f.run_s))}"))
    if f.pierces:
        told.append(("idle", idle_words(f.idle_s, f.arc_share, proven.machine, proven.process.amps)))
    if f.cut_length and f.slow_length > 0.05 * f.cut_length:
        told.append(("slow", f"{f.slow_length / f.cut_length:.0%} of the cut runs at less than half its feed"))
    if proven.compared and proven.whole is not proven.proof:
        return told  # compared together with what was cut before: these are no pieces of a sheet of their own
    return told + [("comes free", text) for text in piece_lines(proven.proof.pieces)]


def ranges(cuts: tuple[int, ...]) -> str:
    """Return rising cut numbers as ranges: ``1-16, 18``; empty for none."""
    runs: list[list[int]] = []
    for cut in cuts:
        if runs and cut == runs[-1][1] + 1:
            runs[-1][1] = cut
        else:
            runs.append([cut, cut])
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in runs)
