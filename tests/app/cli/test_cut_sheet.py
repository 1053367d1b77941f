"""``kerfproof cut --sheet``: the setup sheet from the command line."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest

from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from kerfproof_app.work.exports import paper_of
from kerfproof_resources import drawing_bytes

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    monkeypatch.chdir(tmp_path)
    Path("gusset.dxf").write_bytes(drawing_bytes("gusset"))


def test_a_sheet_is_written_beside_the_program(capsys: Capture):
    assert main(["cut", "gusset.dxf", "-o", "g.nc", "--sheet", "g.pdf", "--paper", "letter"]) == 0
    page = pypdfium2.PdfDocument(Path("g.pdf").read_bytes())[0]
    assert page.get_size() == pytest.approx((612, 792), abs=0.1)
    assert "program g.nc" in page.get_textpage().get_text_bounded()


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--sheet", "g.txt"], "setup sheets are .pdf"),
        (["--sheet", "g.pdf", "--paper", "a5"], "no paper known here"),
        (["--sheet", "-"], "needs a file"),
        (["--rests", "sometimes"], "tell"),
    ],
)
def test_what_can_not_be_is_said_in_one_sentence(capsys: Capture, words, sentence):
    assert main(["cut", "gusset.dxf", "-o", "g.nc", *words]) == 2
    assert sentence in capsys.readouterr().err
    assert not Path("g.nc").exists()


@pytest.mark.parametrize(
    ("place", "paper"),
    [("en_US.UTF-8", "letter"), ("en_GB.UTF-8", "a4"), ("de_DE", "a4"), ("fr_CA.UTF-8", "letter"), ("C", "a4")],
)
def test_paper_is_as_usual_where_the_person_lives(monkeypatch: pytest.MonkeyPatch, place, paper):
    monkeypatch.setenv("LC_ALL", place)
    assert paper_of(None) == paper


def test_torch_time_is_told_against_its_rating(capsys: Capture):
    assert main(["cut", "gusset.dxf", "-o", "g.nc", "--set", "machine.torch.duty=1%"]) == 0
    out = capsys.readouterr().out
    assert "duty-over" in out and "ten minutes 36 s on, 9 s allowed at 40 A" in out
