from __future__ import annotations

import pytest

import kerfproof_resources
from kerfproof_app.__main__ import main

Capture = pytest.CaptureFixture[str]


def test_the_pages_are_listed_with_their_titles(capsys: Capture) -> None:
    assert main(["guide"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == list(kerfproof_resources.guide_names())
    assert "words       Words" in lines


@pytest.mark.parametrize("name", kerfproof_resources.guide_names())
def test_each_page_is_printed(name: str, capsys: Capture) -> None:
    assert main(["guide", name]) == 0
    out = capsys.readouterr().out
    assert out.startswith(kerfproof_resources.guide_text(name).splitlines()[0])
    assert "![" not in out


def test_a_page_that_is_not_there_is_one_sentence(capsys: Capture) -> None:
    assert main(["guide", "nope"]) == 2
    assert "the guide has no page 'nope' (there are about, " in capsys.readouterr().err
