"""What ``prove`` tells: verdict, figures and findings with their lines; as data; as a picture."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from kerfproof.errors import Severity
from kerfproof.report.data.figures import swept
from kerfproof.report.data.job_report import finding_record, number, piece_record, times
from kerfproof.report.data.listing import listing, totals
from kerfproof.report.picture.proof_picture import compose_proved
from kerfproof.report.picture.svg import draw
from kerfproof.sentence import said
from kerfproof_app.cli.common import talk
from kerfproof_app.cli.common.proof_from_options import Proved
from kerfproof_app.shop import store
from kerfproof_app.work.program_proof import UNLIT


def show(proved: Proved, name: str) -> None:
    """Print the verdict first, then the figures, the findings rule by rule, and how many there are."""
    how = f" against {proved.against}" if proved.compared else ", compared with no drawing"
    if proved.mode in UNLIT:
        what = f"({proved.mode} of {proved.against})" if proved.against else f"({proved.mode})"
        failed = any(f.severity is Severity.ERROR for f in proved.findings)
        how = f"{' should light' if failed else ' lights'} no torch and {'stay' if failed else 'stays'} raised {what}"
    talk.result(f"{proved.verdict}: {name}{how}")
    inches = proved.machine.inches
    for key, value in proved.lines:
        talk.result(f"  {key:<11} {said(value, inches)}")
    for line in listing(proved.findings, proved.text, inches=inches):
        talk.result(line)
    talk.result(totals(proved.findings))


def record(proved: Proved) -> dict[str, Any]:
    """Return the proof as plain data."""
    return {
        "format": 1,
        "verdict": proved.verdict,
        "compared": proved.compared and proved.mode not in UNLIT,
        "holds_for": f"for {proved.proof.holds_for}",
        "program": {
            **times(proved.proof, proved.machine),
            "burned_mm2": number(swept(proved.proof, proved.process)),
        },
        "pieces": [piece_record(piece) for piece in proved.proof.pieces],
        "findings": [finding_record(f) for f in proved.findings],
    }


def write_picture(proved: Proved, name: str, target: str, dark: bool) -> None:
    """Write the picture of what the program does, with the findings as callouts."""
    shown = compose_proved(
        name,
        proved.verdict,
        proved.proof,
        proved.machine,
        proved.process,
        proved.findings,
        drawn=proved.drawn,
        slits=proved.slits,
        plate=proved.plate,
        places=proved.places_of,
    )
    svg = draw(shown, dark=dark)
    if Path(target).suffix.lower() == ".svg":
        store.write_bytes(Path(target), svg.encode("utf-8"))
        return
    from kerfproof.report.picture.png import png

    store.write_bytes(Path(target), png(svg, font_files=store.font_files()))
