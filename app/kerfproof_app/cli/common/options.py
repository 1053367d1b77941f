"""Options that several commands share."""

from __future__ import annotations

from typing import Annotated

import typer

Drawings = Annotated[list[str], typer.Argument(metavar="DRAWING...", help="DXF files; the same twice is cut twice.")]
Output = Annotated[str, typer.Option("--output", "-o", metavar="PROGRAM", help="Program to write; - is the terminal.")]
MachineName = Annotated[
    str | None,
    typer.Option("--machine", metavar="NAME|FILE", help="Machine; see: kerfproof machines list."),
]
ChartName = Annotated[
    str | None,
    typer.Option("--chart", metavar="NAME|FILE", help="Cut chart; see: kerfproof charts list."),
]
Material = Annotated[str | None, typer.Option("--material", metavar="NAME", help="Material, as the chart calls it.")]
Thickness = Annotated[str | None, typer.Option("--thickness", metavar="LENGTH", help='Plate thickness: "3 mm".')]
Amps = Annotated[str | None, typer.Option("--amps", metavar="CURRENT", help="Cutting current.")]
Kerf = Annotated[
    str | None, typer.Option("--kerf", metavar="LENGTH", help="Kerf width, where the chart's is not yours.")
]
Feed = Annotated[str | None, typer.Option("--feed", metavar="FEED", help='Cutting feed: "90 in/min".')]
Units = Annotated[
    str | None, typer.Option("--units", metavar="mm|cm|in", help="Unit of drawings; needed where they name none.")
]
Origin = Annotated[
    str | None,
    typer.Option(
        "--origin",
        metavar="corner|drawing",
        help="Program zero: the plate's corner (as without this) or the drawing's own zero.",
    ),
]
Plate = Annotated[str | None, typer.Option("--plate", metavar="WxH", help='Size of the plate: "48x24 in".')]
SmallHoles = Annotated[
    str | None,
    typer.Option(
        "--small-holes",
        metavar="drill|rough|error",
        help="Holes too small to cut well: left out for the drill (as without this), cut roughly, or an error.",
    ),
]
Bridges = Annotated[
    bool, typer.Option("--bridges", help="Two bridges hold each middle of a stencil, like that of an O.")
]
LeaveOut = Annotated[
    bool, typer.Option("--leave-out", help="Leave out what can't be cut, with a warning, and cut the rest.")
]
LeadIn = Annotated[
    str | None, typer.Option("--lead-in", metavar="LENGTH", help="Radius of round and length of straight lead-ins.")
]
Order = Annotated[
    str | None,
    typer.Option("--order", metavar="parts|holes-first", help="Part by part (as without this) or all holes first."),
]
Turn = Annotated[str | None, typer.Option("--turn", metavar="ANGLE", help="Turn the drawings counter-clockwise.")]
Mirror = Annotated[bool, typer.Option("--mirror", help="Mirror the drawings left to right.")]
SharpCorners = Annotated[
    bool, typer.Option("--sharp-corners", help="Outside corners by loops instead of rounding off.")
]
Layers = Annotated[
    str | None,
    typer.Option("--layers", metavar="A,B", help="Only these layers of the drawings; * and ? stand for any."),
]
Window = Annotated[
    str | None,
    typer.Option(
        "--window", metavar="X0,Y0,X1,Y1", help='Only what lies in this box of the drawing: "0,0,200,100 mm".'
    ),
]
Roles = Annotated[
    list[str] | None,
    typer.Option(
        "--role",
        metavar="LAYER=ROLE",
        help="What is done with a layer (or color:red, linetype:DASHED, kind:TEXT): cut, slit (cut on the line), "
        "mark or ignore.",
    ),
]
Join = Annotated[
    str | None, typer.Option("--join", metavar="LENGTH", help="Close gaps up to this; 0.05 mm without it.")
]
DrillMarkKind = Annotated[
    str | None,
    typer.Option(
        "--drill-marks", metavar="pierce|cross", help="Mark points for the drill, which are only listed else."
    ),
]
DrillBelow = Annotated[
    str | None,
    typer.Option(
        "--drill-below",
        metavar="LENGTH",
        help="Mark round holes up to this, too: by a pierce, if no cross is asked for.",
    ),
]
Page = Annotated[
    str | None,
    typer.Option("--page", metavar="cut|ignore", help="A rectangle round everything: outline or page frame."),
]
Rests = Annotated[
    str | None,
    typer.Option(
        "--rests",
        metavar="tell|stop|dwell",
        help="Too much torch time or too little air: a warning (without this), or rests between cuts.",
    ),
]
First = Annotated[
    list[str] | None,
    typer.Option(
        "--first",
        metavar="PROGRAM|JOB",
        help="What a resumed program goes on with; without this the one its heading names, if that lies beside it. "
        "May be repeated, where that one goes on with another itself.",
    ),
]
Tabs = Annotated[
    int | None, typer.Option("--tabs", metavar="N", help="Tabs that hold each outline in the sheet; cut by hand later.")
]
TabWidth = Annotated[
    str | None, typer.Option("--tab-width", metavar="LENGTH", help="Metal that a tab leaves; without it by thickness.")
]
TipUsed = Annotated[
    str | None,
    typer.Option(
        "--tip-used",
        metavar="SHARE|counted",
        help='How much of the tip is used: "40 %", or counted (see kerfproof tip). Planned tip changes heed it.',
    ),
]
Sheet = Annotated[str | None, typer.Option("--sheet", metavar="FILE.pdf", help="Setup sheet to write, one page.")]
Paper = Annotated[
    str | None, typer.Option("--paper", metavar="a4|letter", help="Paper of the setup sheet; without it by locale.")
]
Sets = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="KEY=VALUE",
        help="Another value for this once: machine.torch.light_delay=0.5s, or a key of the job; may be repeated.",
    ),
]
Dry = Annotated[bool, typer.Option("--dry", help="The same motion raised, torch never lit.")]
Frame = Annotated[bool, typer.Option("--frame", help="Only the box of the work, raised, with a stop at each corner.")]
Tour = Annotated[bool, typer.Option("--tour", help="Raised over each pierce and each hole to drill, a stop at each.")]
Force = Annotated[bool, typer.Option("--force", help="Write the program in spite of errors; its head says so.")]
Report = Annotated[str | None, typer.Option("--report", metavar="FILE.json", help="Report to write.")]
Picture = Annotated[str | None, typer.Option("--picture", metavar="FILE.svg|png", help="Picture to write.")]
Dark = Annotated[bool, typer.Option("--dark", help="The picture on a dark ground.")]
Json = Annotated[bool, typer.Option("--json", help="Findings as JSON on standard output.")]
