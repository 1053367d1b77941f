"""Why the job can't be planned, as a sentence in the window with what to do about it as buttons."""

from __future__ import annotations

from kerfproof.errors import NothingToCut, UnitDoubtful, UnitUnknown
from kerfproof_app.window.commands.menus import Menus
from kerfproof_app.window.findings.findings_list import problem_words
from kerfproof_app.window.shop_pages import ShopPages
from kerfproof_app.window.widgets.shell import Shell
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.window.work_area import WorkArea
from kerfproof_app.window.work_pages import WorkPages


def tell_refusal(shell: Shell, commands: Menus, area: WorkArea, pages: WorkPages, shop_pages: ShopPages) -> None:
    """Say why the job can't be planned, or that this was stopped, beside the words what to do about it."""
    session = shell.session
    problem = session.problem if session.state == "failed" else None
    if problem is None:
        return

    def drawn() -> None:
        shell.show_page("part")

    def settings() -> None:
        shell.show_page("torch")
        pages.torch_tabs.setCurrentIndex(0)

    answers = []
    if session.stopped:
        answers.append((tr("Check again"), session.plan_again))
    elif session.job is None:
        answers.append((tr("Choose the machine"), commands.choose_machine))
    elif problem.where and problem.where.endswith((".toml", "(built-in)")):
        answers.append((tr("Mend the machine"), shop_pages.show_machine))
    else:
        part = isinstance(problem, NothingToCut | UnitUnknown | UnitDoubtful)
        words = tr("What is drawn") if part else tr("Settings")
        answers.append((words, drawn if part else settings))
    if session.undo_label:
        answers.append((tr("Undo"), area.undo))
    weight = "warning" if session.stopped else "error"
    shell.question.ask(problem_words(problem), answers, weight=weight, over=lambda: session.problem is not problem)
