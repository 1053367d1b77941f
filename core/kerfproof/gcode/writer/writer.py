"""A cut plan as program text: one order of sentences for all machines, words by dialect."""

from __future__ import annotations

from kerfproof.cut_plan import CutPlan
from kerfproof.errors import KerfproofError, Watch, no_watch
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.writer.cut_block import ProgramLines, write_cuts
from kerfproof.gcode.writer.dry_run import write_dry, write_frame, write_tour
from kerfproof.gcode.writer.head import end, head
from kerfproof.gcode.writer.program import Program
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.job.job import Mode
from kerfproof.memo import Memo

_RAISED = {Mode.DRY: write_dry, Mode.FRAME: write_frame, Mode.TOUR: write_tour}


def write(plan: CutPlan, control: Dialect, watch: Watch = no_watch, memo: Memo | None = None) -> Program:
    """Return the program for `plan` in the dialect `control`: ASCII, line feeds, the same bytes for the same plan.

    Every cut is one block that states its modes and finds the plate itself, so that the program can be restarted
    at each. A dry run has the blocks too (`Block.light` is then the first line of the run), a frame has none. With the
    `memo` of the plan before only what changed is made anew.

    Raises
    ------
    KerfproofError
        If there is nothing to cut, or the machine's torch and touch-off can't be written.
    ValueError
        If the pieces of a cut do not meet.
    """
    if not plan.cuts:
        raise KerfproofError("there is nothing to cut", where=plan.name, advice="see the findings")
    given = WriteContext.of(plan, control)
    page = ProgramLines(head(plan, given))
    if plan.mode is Mode.CUT:
        write_cuts(plan, given, page, watch, memo)
    else:
        _RAISED[plan.mode](plan, given, page)
    page.lines += end(plan, given)
    return Program("\n".join(page.lines) + "\n", tuple(page.blocks))
