"""What ``prove`` tells: verdict, figures and findings with their lines; as data; as a picture."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from kerfproof.errors import Severity
from kerfproof.programs.proven_program import UNLIT, ProvenProgram
from kerfproof.report.data.figures import swept
from kerfproof.report.data.job_report import finding_record, number, piece_record, times
from kerfproof.report.data.listing import listing, totals
from kerfproof.report.data.program_lines import program_lines
from kerfproof.report.picture.proof_picture import compose_proved
from kerfproof.sentence import said
from kerfproof_app.cli.common import talk
from kerfproof_app.shop import store
from kerfproof_app.work.exports import picture_bytes


def show(proven: ProvenProgram, name: str) -> None:
    """Print the verdict first, then the figures, the findings rule by rule, and how many there are."""
    how = f" against {proven.against}" if proven.compared else ", compared with no drawing"
    if proven.mode in UNLIT:
        what = f"({proven.mode} of {proven.against})" if proven.against else f"({proven.mode})"
        failed = any(f.severity is Severity.ERROR for f in proven.findings)
        how = f"{' should light' if failed else ' lights'} no torch and {'stay' if failed else 'stays'} raised {what}"
    talk.result(f"{proven.verdict}: {name}{how}")
    inches = proven.machine.inches
    for key, value in program_lines(proven):
        talk.result(f"  {key:<11} {said(value, inches)}")
    for line in listing(proven.findings, proven.text, inches=inches):
        talk.result(line)
    talk.result(totals(proven.findings))


def record(proven: ProvenProgram) -> dict[str, Any]:
    """Return the proof as plain data."""
    return {
        "format": 1,
        "verdict": proven.verdict,
        "compared": proven.compared and proven.mode not in UNLIT,
        "holds_for": f"for {proven.proof.holds_for}",
        "program": {
            **times(proven.proof, proven.machine, proven.process.amps),
            "burned_mm2": number(swept(proven.proof, proven.process)),
        },
        "pieces": [piece_record(piece) for piece in proven.proof.pieces],
        "findings": [finding_record(f) for f in proven.findings],
    }


def write_picture(proven: ProvenProgram, name: str, target: str, dark: bool) -> None:
    """Write the picture of what the program does, with the findings as callouts."""
    shown = compose_proved(name, proven, proven.findings)
    store.write_bytes(Path(target), picture_bytes(shown, target, dark))
