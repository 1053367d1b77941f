"""``kerfproof cut``: drawings in, a proven program out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk

if TYPE_CHECKING:
    from kerfproof.outcome import Outcome


@o.takes(
    o.DRAWINGS, o.OUTPUT, o.CUT_WITH, o.KERF, o.FEED, o.UNITS, o.ORIGIN, o.PLATE, o.SMALL_HOLES, o.LEAD_IN, o.ORDER,
    o.RESTS, o.TIP_USED, o.TABS, o.TAB_WIDTH, o.TURN, o.MIRROR, o.SHARP_CORNERS, o.LEAVE_OUT, o.LAYERS, o.WINDOW,
    o.CONTOURS, o.SET, o.DRY, o.FRAME, o.TOUR, o.FORCE, o.REPORT, o.PICTURE, o.DARK, o.SHEET, o.PAPER, o.JSON,
)  # fmt: skip
def cut(options: o.Options) -> int:
    """Cut drawings: write a program, prove it and say so.

    Exit code 0: written. 1: errors were found, so nothing was written (but see --force). 2: could not work with
    the input.
    """
    from kerfproof.errors import Severity
    from kerfproof_app.cli.common import write_cut

    write_cut.check_targets(options)
    outcome, assumed = plan(options)
    bad = outcome.program is None or any(f.severity is Severity.ERROR for f in outcome.findings)
    written = outcome.program is not None and (not bad or options["force"])
    if written and bad:
        from kerfproof.programs.error_banner import branded

        outcome = branded(outcome)
    write_cut.write_all(options, outcome, written)
    show(options, outcome, written, assumed)
    if written:
        tip_warning(outcome)
    return 1 if bad else 0


COMMAND = cut


def tip_warning(outcome: Outcome) -> None:
    """Say that the job outruns the tip, as far as cuts were counted (``kerfproof tip``)."""
    from kerfproof.job.job import Mode
    from kerfproof_app.shop.tip_usage import warnings

    if outcome.plan is None or outcome.job.mode is not Mode.CUT:
        return
    for sentence in warnings(outcome.machine.name, len(outcome.plan.cuts), outcome.process.starts_per_tip):
        talk.say(f"tip: {sentence}")


def plan(options: dict[str, Any]) -> tuple[Outcome, str]:
    """Return what the job became, and what was assumed."""
    from kerfproof import api
    from kerfproof.errors import refusals
    from kerfproof_app.cli.common.job_from_options import work_of

    work = work_of(options)
    watch = talk.watcher()
    try:
        with refusals(work.shop.machine.inches):
            return api.plan(work.job, work.sources, work.shop, work.reading, watch), work.assumed
    finally:
        watch("", 0.0)


def show(options: dict[str, Any], outcome: Outcome, written: bool, assumed: str) -> None:
    """Print the verdict, the summary and the findings; with ``--json`` the findings as data instead."""
    from kerfproof.report.data.job_report import finding_record, verdict
    from kerfproof_app.cli.common import cut_summary

    speak, name = talk.about(options["output"])
    if options["as_json"]:
        talk.result_json(
            {
                "format": 1,
                "verdict": verdict(outcome),
                "written": written,
                "assumed": assumed,
                "findings": [finding_record(f) for f in outcome.findings],
            }
        )
        return
    speak(cut_summary.headline(outcome, name, written))
    if not written and options["output"] != "-" and Path(options["output"]).exists():
        speak(f"  beware      an older {name} is still there; it is not of this drawing as it is now")
    if assumed:
        speak(f"  {'assumed':<11} {assumed}")
    for key, value in cut_summary.lines(outcome):
        speak(f"  {key:<11} {value}")
    talk.findings(outcome.findings, speak, inches=outcome.machine.inches)
