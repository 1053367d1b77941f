"""The order of cutting by hand: taken if inside stays before outside, refused with the reason if not."""

from __future__ import annotations

from collections.abc import Sequence

from kerfproof_app.window.widgets.words import tr
from kerfproof_app.work import job_edits
from kerfproof_app.work.session import Session


def set_order(session: Session, features: Sequence[int]) -> bool:
    """Make features be cut in this order; tell why if that can't be. Return whether it was taken."""
    if session.outcome is None or session.job is None or session.state != "current":
        session.say(session.why_not() or tr("The order can be changed once the plan is there."))
        return False
    from kerfproof.api import order_refusal

    refusal = order_refusal(session.outcome, features)
    if refusal:
        session.say(tr("This order is refused: {why}.").format(why=refusal))
        return False
    session.say("")
    session.change(tr("change the order"), sequence=job_edits.turns_of(session.outcome, features))
    return True


def order_by_rule(session: Session) -> None:
    """Give the order back to the usual rules."""
    session.change(tr("order by the usual rules"), sequence=())
