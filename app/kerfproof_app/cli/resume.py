"""``kerfproof resume``: a proven program for the rest of a plate whose program stopped."""

from __future__ import annotations

from typing import Any

from kerfproof_app.cli.common import options as o
from kerfproof_app.cli.common import talk


@o.takes(
    o.argument("program", "PROGRAM|JOB", "The program that stopped, ours or anyone's, or its job file."),
    o.OUTPUT,
    o.number("--from-cut", "N", "The first cut that was not finished, from 1."),
    o.text("--at", "LENGTH", "How far along that cut the arc got, measured from its pierce."),
    o.text("--near", "X,Y", 'The place where the arc was lost instead, in program coordinates: "120,35 mm".'),
    o.text("--unlit", "N,N", "Cuts that ran without an arc and have to be cut still."),
    o.tick("--new-tip", "The torch has a new tip now; planned tip changes count from here."),
    o.RESTS,
    o.texts("--drawing", "FILE", "Its drawing, if it does not lie beside it. May be repeated."),
    o.FIRST, o.CUT_WITH, o.KERF, o.UNITS, o.SET, o.FORCE, o.JSON,
)  # fmt: skip
def resume(options: o.Options) -> int:
    """Go on with a program that stopped: after a lost arc, a tip change, a power failure, or where it did not light.

    The new program states every mode, finds the plate anew, and is proven together with what was cut before.
    Exit code 0: written. 1: errors were found, so nothing was written (but see --force). 2: could not work with
    the input.
    """
    from kerfproof.errors import refusals
    from kerfproof.resume.rest_program import resume as go_on
    from kerfproof_app.cli.common import write_cut
    from kerfproof_app.cli.common.resume_from_options import earlier_of, wish_of

    write_cut.check_targets(
        {"output": options["output"], "as_json": options["as_json"],
         "programs": [options["program"], *(options.get("first") or ())], "drawings": options["drawing"] or ()}
    )  # fmt: skip
    wish = wish_of(options)
    watch = talk.watcher()
    try:
        first = earlier_of(options, watch)
        with refusals(first.setup.machine.inches):
            made = go_on(first.text, first.trace, wish, first.setup, watch)
    finally:
        watch("", 0.0)
    written = made.ok or options["force"]
    if written:
        write_cut.write_program(options["output"], made.program.text)
    _show(options, first, made, written)
    return 0 if made.ok else 1


COMMAND = resume


def _show(options: dict[str, Any], first: Any, made: Any, written: bool) -> None:
    from kerfproof.api import verdict_of
    from kerfproof.report.data.job_report import finding_record
    from kerfproof.report.data.program_lines import ranges

    findings = (*first.findings, *made.findings)
    word = verdict_of(findings, bool(first.setup.drawn))
    if options["as_json"]:
        talk.result_json(
            {
                "format": 1,
                "verdict": word,
                "written": written,
                "done": list(made.done),
                "cuts": list(made.wanted),
                "findings": [finding_record(f) for f in findings],
            }
        )
        return
    speak, name = talk.about(options["output"])
    does = f"goes on with {first.setup.name}" if written else "was not written"
    speak(f"{word}: {name} {does}")
    speak(f"  {'done':<11} {ranges(made.done) or 'nothing'}")
    speak(f"  {'to cut':<11} {ranges(made.wanted) or 'nothing'}")
    together = "with what was cut before it leaves the drawn parts" if first.setup.drawn else "no drawing at hand"
    speak(f"  {'together':<11} {together if made.ok else 'see the errors'}")
    talk.findings(findings, speak, inches=first.setup.machine.inches)
