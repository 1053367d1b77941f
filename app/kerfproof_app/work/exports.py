"""What goes out beside the program: the setup sheet on the usual paper, the picture, the report."""

from __future__ import annotations

import json
import locale
import os
from pathlib import Path
from typing import TYPE_CHECKING

from kerfproof.errors import KerfproofError
from kerfproof.outcome import Outcome
from kerfproof_app.shop import store

if TYPE_CHECKING:
    from kerfproof.report.picture.picture import Picture

LETTER_COUNTRIES = ("US", "CA", "MX", "CO", "CL", "VE", "PH", "PR")
"""Where letter is the usual paper (Unicode CLDR, from memory)."""


def paper_of(name: str | None) -> str:
    """Return ``a4`` or ``letter``: as named, else as is usual by the locale.

    Raises
    ------
    KerfproofError
        If there is no such paper.
    """
    from kerfproof.report.sheet.setup_sheet import Paper

    if name is None:
        places = [os.environ.get(key, "") for key in ("LC_ALL", "LC_PAPER", "LANG")]
        place = next(filter(None, places), locale.getlocale()[0] or "")
        country = place.partition(".")[0].rpartition("_")[2].upper()
        return Paper.LETTER if country in LETTER_COUNTRIES else Paper.A4
    if name.strip().lower() not in [paper.value for paper in Paper]:
        raise KerfproofError(f"{name!r} is no paper known here", where="--paper", advice="a4 or letter")
    return name.strip().lower()


def sheet_bytes(outcome: Outcome, paper: str | None, program: str) -> bytes:
    """Return the setup sheet as PDF."""
    from kerfproof.report.sheet.setup_sheet import Paper, sheet
    from kerfproof_app.shop.tip_usage import share_used

    bold, plain = (store.read_bytes(Path(file)) for file in sorted(store.font_files()))
    return sheet(outcome, (plain, bold), Paper(paper_of(paper)), program, share_used(outcome.machine.name))


def report_bytes(outcome: Outcome) -> bytes:
    """Return the report as JSON."""
    from kerfproof.report.data.job_report import report

    return (json.dumps(report(outcome), indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8")


def picture_of(outcome: Outcome, name: str, dark: bool) -> bytes:
    """Return the picture of an outcome in the format of the file's name."""
    from kerfproof.report.picture.picture import compose

    return picture_bytes(compose(outcome), name, dark)


def picture_bytes(picture: Picture, name: str, dark: bool) -> bytes:
    """Return a picture in the format of the file's name."""
    from kerfproof.report.picture.svg import draw

    svg = draw(picture, dark=dark)
    if Path(name).suffix.lower() == ".svg":
        return svg.encode("utf-8")
    from kerfproof.report.picture.png import png

    return png(svg, font_files=store.font_files())
