"""The pages of the guide, in the order they are read."""

from __future__ import annotations

from kerfproof.errors import KerfproofError
from kerfproof_resources import guide_names, guide_text

ORDER = (
    "first-cut", "words", "cautions", "machine", "float", "leads", "around", "findings", "rules", "noise", "shortcuts",
    "about",
)  # fmt: skip


def page_names() -> tuple[str, ...]:
    """Return the names of all pages: those of the usual order first."""
    there = guide_names()
    return (*(name for name in ORDER if name in there), *(name for name in there if name not in ORDER))


def page_text(name: str) -> str:
    """Return a page as Markdown.

    Raises
    ------
    KerfproofError
        If there is no such page.
    """
    try:
        return guide_text(name)
    except KeyError:
        raise KerfproofError(f"the guide has no page {name!r}", advice=f"there are {', '.join(page_names())}") from None


def page_title(name: str) -> str:
    """Return the title of a page: its first heading."""
    for line in page_text(name).splitlines():
        if line.startswith("# "):
            return line[2:].strip()
    return name
