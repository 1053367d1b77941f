"""``kerfproof prove``: a program judged by its text, and compared with its drawing if that is at hand."""

from __future__ import annotations

from pathlib import Path

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk


@o.takes(
    o.PROGRAM,
    o.texts(
        "--drawing",
        "FILE",
        "Its drawing; without this the one its heading names, if that lies beside it. May be repeated.",
    ),
    o.CUT_WITH, o.KERF, o.UNITS,
    o.text(
        "--at",
        "X,Y",
        "Where the drawing's zero lies in a program without our heading; without this it is found from the cut.",
    ),
    o.LAYERS, o.WINDOW, o.CONTOURS,
    o.tick("--leave-out", "What of the drawing is not cut counts as a warning: it was left out."),
    o.FIRST, o.SET, o.PICTURE, o.DARK, o.JSON,
)  # fmt: skip
def prove(options: o.Options) -> int:
    """Prove a program: play it on a simulated table, judge it by all rules, compare what it cuts with the drawing.

    What the heading of the program says is taken from there; options overrule it. Exit code 0: no error found.
    1: errors were found. 2: could not work with the input. A program that goes on with another is proven together
    with what that one cut before.
    """
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


COMMAND = prove
