"""Whatever a finding is called, there is a page that says what it means and what to do."""

from __future__ import annotations

import pytest

from kerfproof.parts.classify.notes import MENDS
from kerfproof.report.data.rule_pages import rules, short_pages
from kerfproof_app.__main__ import main
from support.programs.slugs import slugs

NONE = {"slit-meets-hole-outside-parts"}
"""What the reading of the source puts together and no finding is called."""
FOUND = sorted((set(slugs()) | {what.replace(" ", "-") for what in MENDS}) - NONE)


def test_the_source_is_read_whole():
    for slug in ("far-from-chart", "chosen-not-cut", "heading-contradicted", "machine-preload-small", "hole-is-small"):
        assert slug in FOUND
    assert len(FOUND) > 200


@pytest.mark.parametrize("slug", FOUND)
def test_every_slug_of_a_finding_has_a_page(slug: str, capsys: pytest.CaptureFixture[str]):
    assert main(["rules", slug]) == 0
    page = capsys.readouterr().out
    assert page.startswith(slug) and "Matters:" in page and "Do:" in page


def test_no_page_is_of_what_nobody_tells_and_none_stands_twice():
    names = [page.name for page in (*rules(), *short_pages())]
    assert len(names) == len(set(names)) and set(names) <= set(FOUND)


def test_short_pages_are_plain_sentences():
    for page in short_pages():
        assert page.page.isascii() and page.title.endswith(".")
        for line in page.page.split("\n\n"):
            assert 10 < len(line) <= 200 and line.endswith(".")
