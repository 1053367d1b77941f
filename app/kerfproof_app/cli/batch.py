"""``kerfproof batch``: a folder of drawings in, a folder of proven programs and a report out."""

from __future__ import annotations

from kerfproof_app.cli.common import options as o


@o.takes(
    o.argument("folder", "FOLDER", "Folder with DXF files; folders below it count too."),
    o.text("--output -o", "OUT", "Folder for the programs and the report; made if missing.", default=o.MUST),
    o.CUT_WITH, o.KERF, o.FEED, o.UNITS,
    o.text(
        "--names",
        "PATTERN",
        'How file names tell material, thickness, count: "{material}_{thickness}_*"; {thickness:mm} without unit.',
    ),
    o.number("--count", None, "How many of each drawing in its program.", min=1),
    o.ORIGIN, o.PLATE, o.SMALL_HOLES, o.LEAD_IN, o.ORDER, o.TURN, o.SHARP_CORNERS, o.LEAVE_OUT, o.LAYERS, o.CONTOURS,
    o.RESTS,
    o.tick("--again", "Also what has not changed since it was done."),
    o.tick("--watch", "Go on: what is saved into the folder is cut seconds later; Ctrl-C ends it."),
    o.number("--processes", None, "How many at once; one for each core without it.", min=1, max=256),
    o.text("--limit", "TIME", "Longest time for one drawing; then it is given up.", default="10 min"),
    o.JSON,
)  # fmt: skip
def batch(options: o.Options) -> int:
    """Cut all drawings of a folder tree; programs come to lie in OUT as the drawings lie in FOLDER.

    A file kerfproof.toml in a folder says machine, material, thickness, units and the like for the drawings in it
    and below; the nearest one wins, and words given here win over all. What has not changed since the last time is
    not done again.

    Exit code 0: all programs are written. 1: errors were found in some drawings, so theirs are not written. 2: some
    drawings, or the whole folder, could not be worked with.
    """
    from kerfproof_app.cli.common import batch_order

    return batch_order.run(options)


COMMAND = batch
