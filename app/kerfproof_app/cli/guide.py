"""``kerfproof guide``: the pages of the guide, as the window shows them."""

from __future__ import annotations

from typing import Annotated

import typer

from kerfproof_app.cli.common import talk

PICTURE = "!["
"""How a line begins that shows a picture: a terminal shows none."""


def guide(name: Annotated[str | None, typer.Argument(metavar="PAGE", help="Print this page.")] = None) -> None:
    """List the pages of the guide, or print one: words, first-cut, machine and others."""
    from kerfproof.errors import KerfproofError
    from kerfproof_resources import guide_names, guide_text

    if name in (None, "list"):
        for page in guide_names():
            talk.result(f"{page:<12}{guide_text(page).partition(chr(10))[0].removeprefix('# ')}")
        return
    if name not in guide_names():
        raise KerfproofError(f"the guide has no page {name!r}", advice=f"there are {', '.join(guide_names())}")
    lines = [line for line in guide_text(name).splitlines() if not line.startswith(PICTURE)]
    talk.result("\n".join(line for line, before in zip(lines, ["#", *lines], strict=False) if line or before))


COMMAND = guide
