"""How a command says what it takes, and the options that several commands share."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from inspect import Parameter, Signature
from typing import Annotated, Any

import typer

Options = dict[str, Any]
"""What a command was told, by the names of its options; None or False for what was not said."""
MUST = Parameter.empty
"""The default of an option that has to be given."""


def takes(
    *taken: Parameter | Iterable[Parameter],
) -> Callable[[Callable[[Options], int]], Callable[..., None]]:
    """Return what makes a command of a function: what it is told are these options, what it returns the exit code."""
    each = [one for some in taken for one in ((some,) if isinstance(some, Parameter) else some)]

    def made(run: Callable[[Options], int]) -> Callable[..., None]:
        def command(**options: Any) -> None:
            raise typer.Exit(run(options))

        command.__signature__ = Signature(each)  # type: ignore[attr-defined]
        command.__doc__ = run.__doc__
        return command

    return made


def argument(name: str, metavar: str, help: str, kind: Any = str) -> Parameter:
    """Return a word that has no flag."""
    return _taken(name, kind, typer.Argument(metavar=metavar, help=help), MUST)


def text(flags: str, metavar: str, help: str, *, name: str = "", default: Any = None) -> Parameter:
    """Return an option with a text. Its name is that of the first flag, if none is said."""
    return _option(str | None if default is None else str, flags, help, name, default, metavar=metavar)


def texts(flags: str, metavar: str, help: str, *, name: str = "") -> Parameter:
    """Return an option with a text that may be repeated."""
    return _option(list[str] | None, flags, help, name, None, metavar=metavar)


def number(flags: str, metavar: str | None, help: str, **bounds: int) -> Parameter:
    """Return an option with a whole number; `bounds` are `min` and `max`."""
    return _option(int | None, flags, help, "", None, metavar=metavar, **bounds)


def tick(flags: str, help: str, *, name: str = "") -> Parameter:
    """Return an option that is said or not."""
    return _option(bool, flags, help, name, False)


def _option(kind: Any, flags: str, help: str, name: str, default: Any, **more: Any) -> Parameter:
    words = flags.split()
    name = name or words[0].lstrip("-").replace("-", "_")
    return _taken(name, kind, typer.Option(*words, help=help, **more), default)


def _taken(name: str, kind: Any, info: Any, default: Any) -> Parameter:
    return Parameter(name, Parameter.KEYWORD_ONLY, annotation=Annotated[kind, info], default=default)


PROGRAM = argument("program", "PROGRAM", "A program, ours or anyone's.")
DRAWINGS = argument("drawings", "DRAWING...", "DXF files; the same twice is cut twice.", list[str])
OUTPUT = text("--output -o", "PROGRAM", "Program to write; - is the terminal.", default=MUST)
MACHINE = text("--machine", "NAME|FILE", "Machine; see: kerfproof machines list.")
CHART = text("--chart", "NAME|FILE", "Cut chart; see: kerfproof charts list.")
MATERIAL = text("--material", "NAME", "Material, as the chart calls it.")
THICKNESS = text("--thickness", "LENGTH", 'Plate thickness: "3 mm".')
AMPS = text("--amps", "CURRENT", "Cutting current.")
KERF = text("--kerf", "LENGTH", "Kerf width, where the chart's is not yours.")
FEED = text("--feed", "FEED", 'Cutting feed: "90 in/min".')
UNITS = text("--units", "mm|cm|in", "Unit of drawings; needed where they name none.")
ORIGIN = text(
    "--origin", "corner|drawing", "Program zero: the plate's corner (as without this) or the drawing's own zero."
)
PLATE = text("--plate", "WxH", 'Size of the plate: "48x24 in".')
SMALL_HOLES = text(
    "--small-holes",
    "drill|rough|error",
    "Holes too small to cut well: left out for the drill (as without this), cut roughly, or an error.",
)
BRIDGES = tick("--bridges", "Two bridges hold each middle of a stencil, like that of an O.")
LEAVE_OUT = tick("--leave-out", "Leave out what can't be cut, with a warning, and cut the rest.")
LEAD_IN = text("--lead-in", "LENGTH", "Radius of round and length of straight lead-ins.")
ORDER = text("--order", "parts|holes-first", "Part by part (as without this) or all holes first.")
TURN = text("--turn", "ANGLE", "Turn the drawings counter-clockwise.")
MIRROR = tick("--mirror", "Mirror the drawings left to right.")
SHARP_CORNERS = tick("--sharp-corners", "Outside corners by loops instead of rounding off.")
LAYERS = text("--layers", "A,B", "Only these layers of the drawings; * and ? stand for any.")
WINDOW = text("--window", "X0,Y0,X1,Y1", 'Only what lies in this box of the drawing: "0,0,200,100 mm".')
ROLES = texts(
    "--role",
    "LAYER=ROLE",
    "What is done with a layer (or color:red, linetype:DASHED, kind:TEXT): cut, slit (cut on the line), "
    "mark or ignore.",
    name="roles",
)
JOIN = text("--join", "LENGTH", "Close gaps up to this; 0.05 mm without it.")
DRILL_MARKS = text("--drill-marks", "pierce|cross", "Mark points for the drill, which are only listed else.")
DRILL_BELOW = text(
    "--drill-below", "LENGTH", "Mark round holes up to this, too: by a pierce, if no cross is asked for."
)
PAGE = text("--page", "cut|ignore", "A rectangle round everything: outline or page frame.")
RESTS = text(
    "--rests",
    "tell|stop|dwell",
    "Too much torch time or too little air: a warning (without this), or rests between cuts.",
)
FIRST = texts(
    "--first",
    "PROGRAM|JOB",
    "What a resumed program goes on with; without this the one its heading names, if that lies beside it. "
    "May be repeated, where that one goes on with another itself.",
)
TABS = number("--tabs", "N", "Tabs that hold each outline in the sheet; cut by hand later.")
TAB_WIDTH = text("--tab-width", "LENGTH", "Metal that a tab leaves; without it by thickness.")
TIP_USED = text(
    "--tip-used",
    "SHARE|counted",
    'How much of the tip is used: "40 %", or counted (see kerfproof tip). Planned tip changes heed it.',
)
SHEET = text("--sheet", "FILE.pdf", "Setup sheet to write, one page.")
PAPER = text("--paper", "a4|letter", "Paper of the setup sheet; without it by locale.")
SET = texts(
    "--set",
    "KEY=VALUE",
    "Another value for this once: machine.torch.light_delay=0.5s, or a key of the job; may be repeated.",
    name="sets",
)
DRY = tick("--dry", "The same motion raised, torch never lit.")
FRAME = tick("--frame", "Only the box of the work, raised, with a stop at each corner.")
TOUR = tick("--tour", "Raised over each pierce and each hole to drill, a stop at each.")
FORCE = tick("--force", "Write the program in spite of errors; its head says so.")
REPORT = text("--report", "FILE.json", "Report to write.")
PICTURE = text("--picture", "FILE.svg|png", "Picture to write.")
DARK = tick("--dark", "The picture on a dark ground.")
JSON = tick("--json", "Findings as JSON on standard output.", name="as_json")

CUT_WITH = (MACHINE, CHART, MATERIAL, THICKNESS, AMPS)
CONTOURS = (ROLES, JOIN, BRIDGES, DRILL_MARKS, DRILL_BELOW, PAGE)
