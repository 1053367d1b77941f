"""Tabs by hand: set and taken away where the scrubber stands on an outline."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from kerfproof.errors import KerfproofError
from kerfproof.job.job import Job
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.work import job_edits
from kerfproof_app.work.session import Session

if TYPE_CHECKING:
    from kerfproof.outcome import Outcome

    Change = Callable[[Job, Outcome, int, tuple[float, float]], Job]


def set_tab(session: Session) -> None:
    """Set a tab on the outline where the scrubber stands."""
    _change(session, job_edits.with_tab, tr("set a tab"))


def take_tab(session: Session) -> None:
    """Take away the tab by hand that lies nearest to the scrubber."""
    if not _change(session, job_edits.without_tab, tr("take a tab away")):
        session.say(tr("No tab set by hand lies here."))


def _change(session: Session, change: Change, label: str) -> bool:
    job, outcome, moment = session.job, session.outcome, session.moment
    if job is None or outcome is None or outcome.plan is None or outcome.proof is None or moment is None:
        return True
    if session.state != "current":
        session.say(session.why_not())
        return True
    runs = outcome.proof.runs
    run = next((r for r in runs if moment.row <= r.last_row), runs[-1])
    try:
        new = change(job, outcome, outcome.plan.cuts[run.number].feature, (moment.x, moment.y))
    except KerfproofError as error:
        session.say(error.phrase())
        return True
    session.edit(new, label)
    return new != job
