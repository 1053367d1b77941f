"""``kerfproof rules``: what every program is judged by."""

from __future__ import annotations

from typing import Annotated

import typer

from kerfproof_app.cli.common import talk


def rules(name: Annotated[str | None, typer.Argument(metavar="NAME", help="Print this rule's page.")] = None) -> None:
    """List the rules that programs are judged by, or print the page of one, or of anything else that is told."""
    from kerfproof.errors import KerfproofError
    from kerfproof.report.data.rule_pages import given_lines, short_pages
    from kerfproof.report.data.rule_pages import rules as all_pages

    pages = all_pages()
    if name in (None, "list"):
        talk.table([(page.name, str(page.severity), page.title) for page in pages])
        return
    for page in pages:
        if page.name == name:
            given = given_lines(page.page)
            talk.result(f"{page.name} ({page.severity})\n\n{page.page}" + (f"\n\n{given.rstrip()}" if given else ""))
            return
    for short in short_pages():
        if short.name == name:
            talk.result(f"{short.name}\n\n{short.page}")
            return
    raise KerfproofError(f"no rule is called {name!r}", advice="kerfproof rules lists them")


COMMAND = rules
