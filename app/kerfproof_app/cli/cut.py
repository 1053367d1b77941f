"""``kerfproof cut``: drawings in, a proven program out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk
from kerfproof_app.cli.common.command import command

if TYPE_CHECKING:
    from kerfproof.outcome import Outcome


def cut(
    drawings: o.Drawings,
    output: o.Output,
    machine: o.MachineName = None,
    chart: o.ChartName = None,
    material: o.Material = None,
    thickness: o.Thickness = None,
    amps: o.Amps = None,
    kerf: o.Kerf = None,
    feed: o.Feed = None,
    units: o.Units = None,
    origin: o.Origin = None,
    plate: o.Plate = None,
    small_holes: o.SmallHoles = None,
    lead_in: o.LeadIn = None,
    order: o.Order = None,
    rests: o.Rests = None,
    tip_used: o.TipUsed = None,
    tabs: o.Tabs = None,
    tab_width: o.TabWidth = None,
    turn: o.Turn = None,
    mirror: o.Mirror = False,
    sharp_corners: o.SharpCorners = False,
    leave_out: o.LeaveOut = False,
    layers: o.Layers = None,
    window: o.Window = None,
    roles: o.Roles = None,
    join: o.Join = None,
    bridges: o.Bridges = False,
    drill_marks: o.DrillMarkKind = None,
    drill_below: o.DrillBelow = None,
    page: o.Page = None,
    sets: o.Sets = None,
    dry: o.Dry = False,
    frame: o.Frame = False,
    tour: o.Tour = False,
    force: o.Force = False,
    report: o.Report = None,
    picture: o.Picture = None,
    dark: o.Dark = False,
    sheet: o.Sheet = None,
    paper: o.Paper = None,
    as_json: o.Json = False,
) -> None:
    """Cut drawings: write a program, prove it and say so.

    Exit code 0: written. 1: errors were found, so nothing was written (but see --force). 2: could not work with
    the input.
    """


def run(options: dict[str, Any]) -> int:
    """Plan, prove, write; return the exit code."""
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

    name = "the program" if options["output"] == "-" else Path(options["output"]).name
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
    speak = talk.say if options["output"] == "-" else talk.result
    speak(cut_summary.headline(outcome, name, written))
    if not written and options["output"] != "-" and Path(options["output"]).exists():
        speak(f"  beware      an older {name} is still there; it is not of this drawing as it is now")
    if assumed:
        speak(f"  {'assumed':<11} {assumed}")
    for key, value in cut_summary.lines(outcome):
        speak(f"  {key:<11} {value}")
    talk.findings(outcome.findings, speak, inches=outcome.machine.inches)


COMMAND = command(cut, run)
