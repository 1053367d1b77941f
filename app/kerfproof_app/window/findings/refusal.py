"""Why the job can't be planned, as a sentence in the window with what to do about it as buttons."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kerfproof.errors import NothingToCut, UnitDoubtful, UnitUnknown
from kerfproof_app.window.findings.findings_list import problem_words
from kerfproof_app.window.widgets.words import tr

if TYPE_CHECKING:
    from kerfproof_app.window.main_window import MainWindow


def tell_refusal(window: MainWindow) -> None:
    """Say why the job can't be planned, or that this was stopped, beside the words what to do about it."""
    problem = window.session.problem if window.session.state == "failed" else None
    if problem is None:
        return

    def drawn() -> None:
        window.show_page("part")

    def settings() -> None:
        window.show_page("torch")
        window.torch_tabs.setCurrentIndex(0)

    answers = []
    if window.session.stopped:
        answers.append((tr("Check again"), window.session.plan_again))
    elif window.session.job is None:
        answers.append((tr("Choose the machine"), window.choose_machine))
    elif problem.where and problem.where.endswith((".toml", "(built-in)")):
        machine = window.session.job.machine
        answers.append((tr("Mend the machine"), lambda: window.show_machine(machine)))
    else:
        part = isinstance(problem, NothingToCut | UnitUnknown | UnitDoubtful)
        words = tr("What is drawn") if part else tr("Settings")
        answers.append((words, drawn if part else settings))
    if window.session.undo_label:
        answers.append((tr("Undo"), window.undo))
    weight = "warning" if window.session.stopped else "error"
    window.question.ask(
        problem_words(problem), answers, weight=weight, over=lambda: window.session.problem is not problem
    )
