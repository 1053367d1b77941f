"""``kerfproof prove``: a program judged by its text, and compared with its drawing if that is at hand."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk
from kerfproof_app.cli.common.command import command

ProgramFile = Annotated[str, typer.Argument(metavar="PROGRAM", help="A program, ours or anyone's.")]
DrawingFiles = Annotated[
    list[str] | None,
    typer.Option(
        "--drawing",
        metavar="FILE",
        help="Its drawing; without this the one its heading names, if that lies beside it. May be repeated.",
    ),
]

At = Annotated[
    str | None,
    typer.Option(
        "--at",
        metavar="X,Y",
        help="Where the drawing's zero lies in a program without our heading; without this it is found from the cut.",
    ),
]


LeaveOut = Annotated[
    bool, typer.Option("--leave-out", help="What of the drawing is not cut counts as a warning: it was left out.")
]


def prove(
    program: ProgramFile,
    drawing: DrawingFiles = None,
    machine: o.MachineName = None,
    chart: o.ChartName = None,
    material: o.Material = None,
    thickness: o.Thickness = None,
    amps: o.Amps = None,
    kerf: o.Kerf = None,
    units: o.Units = None,
    at: At = None,
    layers: o.Layers = None,
    window: o.Window = None,
    roles: o.Roles = None,
    join: o.Join = None,
    bridges: o.Bridges = False,
    drill_marks: o.DrillMarkKind = None,
    drill_below: o.DrillBelow = None,
    page: o.Page = None,
    leave_out: LeaveOut = False,
    first: o.First = None,
    sets: o.Sets = None,
    picture: o.Picture = None,
    dark: o.Dark = False,
    as_json: o.Json = False,
) -> None:
    """Prove a program: play it on a simulated table, judge it by all rules, compare what it cuts with the drawing.

    What the heading of the program says is taken from there; options overrule it. Exit code 0: no error found.
    1: errors were found. 2: could not work with the input. A program that goes on with another is proven together
    with what that one cut before.
    """


def run(options: dict[str, Any]) -> int:
    """Prove and tell; return the exit code."""
    from kerfproof.errors import Severity
    from kerfproof_app.cli.common import proof_output, write_cut
    from kerfproof_app.cli.common.resume_from_options import prove_whole
    from kerfproof_app.shop.tip_usage import warnings

    given = [options["program"], *(options["first"] or ())]
    write_cut.check_targets({"picture": options["picture"], "programs": given, "drawings": options["drawing"] or ()})
    watch = talk.watcher()
    try:
        proven = prove_whole(options, watch)
    finally:
        watch("", 0.0)
    name = Path(options["program"]).name
    if options["picture"]:
        proof_output.write_picture(proven, name, options["picture"], bool(options["dark"]))
    if options["as_json"]:
        talk.result_json(proof_output.record(proven))
    else:
        proof_output.show(proven, name)
        starts = len(proven.proof.runs)
        for sentence in warnings(proven.machine.name, starts, proven.process.starts_per_tip) if starts else ():
            talk.say(f"tip: {sentence}")
    return int(any(f.severity is Severity.ERROR for f in proven.findings))


COMMAND = command(prove, run)
