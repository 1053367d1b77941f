"""``kerfproof batch``: a folder of drawings in, a folder of proven programs and a report out."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common.command import command

Folder = Annotated[str, typer.Argument(metavar="FOLDER", help="Folder with DXF files; folders below it count too.")]
Out = Annotated[
    str, typer.Option("--output", "-o", metavar="OUT", help="Folder for the programs and the report; made if missing.")
]
Names = Annotated[
    str | None,
    typer.Option(
        "--names",
        metavar="PATTERN",
        help='How file names tell material, thickness, count: "{material}_{thickness}_*"; {thickness:mm} without unit.',
    ),
]
Count = Annotated[int | None, typer.Option("--count", min=1, help="How many of each drawing in its program.")]
Again = Annotated[bool, typer.Option("--again", help="Also what has not changed since it was done.")]
Watch = Annotated[
    bool, typer.Option("--watch", help="Go on: what is saved into the folder is cut seconds later; Ctrl-C ends it.")
]
Processes = Annotated[
    int | None, typer.Option("--processes", min=1, max=256, help="How many at once; one for each core without it.")
]
Limit = Annotated[
    str, typer.Option("--limit", metavar="TIME", help="Longest time for one drawing; then it is given up.")
]


def batch(
    folder: Folder,
    output: Out,
    machine: o.MachineName = None,
    chart: o.ChartName = None,
    material: o.Material = None,
    thickness: o.Thickness = None,
    amps: o.Amps = None,
    kerf: o.Kerf = None,
    feed: o.Feed = None,
    units: o.Units = None,
    names: Names = None,
    count: Count = None,
    origin: o.Origin = None,
    plate: o.Plate = None,
    small_holes: o.SmallHoles = None,
    lead_in: o.LeadIn = None,
    order: o.Order = None,
    turn: o.Turn = None,
    sharp_corners: o.SharpCorners = False,
    leave_out: o.LeaveOut = False,
    layers: o.Layers = None,
    roles: o.Roles = None,
    join: o.Join = None,
    bridges: o.Bridges = False,
    drill_marks: o.DrillMarkKind = None,
    drill_below: o.DrillBelow = None,
    page: o.Page = None,
    rests: o.Rests = None,
    again: Again = False,
    watch: Watch = False,
    processes: Processes = None,
    limit: Limit = "10 min",
    as_json: o.Json = False,
) -> None:
    """Cut all drawings of a folder tree; programs come to lie in OUT as the drawings lie in FOLDER.

    A file kerfproof.toml in a folder says machine, material, thickness, units and the like for the drawings in it
    and below; the nearest one wins, and words given here win over all. What has not changed since the last time is
    not done again.

    Exit code 0: all programs are written. 1: errors were found in some drawings, so theirs are not written. 2: some
    drawings, or the whole folder, could not be worked with.
    """


def run(options: dict[str, Any]) -> int:
    """Cut the folder; return the exit code."""
    from kerfproof_app.cli.common import batch_order

    return batch_order.run(options)


COMMAND = command(batch, run)
