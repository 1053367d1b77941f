"""The work that a job causes: planned and proven, or for a program opened by itself the proof of its text."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kerfproof.errors import Watch
from kerfproof.memo import Memo
from kerfproof_app.work.documents import Document, ProgramDocument

if TYPE_CHECKING:  # the planner is loaded where it runs, off the window's thread
    from kerfproof.outcome import Outcome


@dataclass(frozen=True, slots=True, eq=False)
class Planning:
    """A state of the work to be planned; `number` counts the edits.

    The `memo` still has what was made for the state before, so that only what changed is done again. One task at a
    time may work on it.
    """

    number: int
    document: Document
    memo: Memo = field(default_factory=Memo)

    def run(self, watch: Watch) -> Outcome:
        """Return what the work becomes.

        Raises
        ------
        KerfproofError
            If it can't be planned, or the watch stops it.
        """
        document = self.document
        if isinstance(document, ProgramDocument):
            from kerfproof_app.work.program_document import judged

            return judged(document, watch)
        from kerfproof.api import Bench
        from kerfproof_app.shop.load_shop import shop_for

        job = document.job
        return Bench(self.memo).plan(job, document.sources, shop_for(job.machine, job.chart), watch=watch)
