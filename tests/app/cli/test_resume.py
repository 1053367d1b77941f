"""``kerfproof resume``: from the command line to a proven program for the rest."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from kerfproof.job import DrawingUse, Job
from kerfproof.jobfile import write_job
from kerfproof_app import store
from kerfproof_app.__main__ import main
from kerfproof_resources import drawing_bytes

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    monkeypatch.chdir(tmp_path)
    Path("gusset.dxf").write_bytes(drawing_bytes("gusset"))
    assert main(["cut", "gusset.dxf", "-o", "g.nc", "--machine", "contact-float-mm"]) == 0
    capsys.readouterr()


def test_the_rest_of_a_program_is_written_and_proven(capsys: Capture):
    assert main(["resume", "g.nc", "--from-cut", "6", "--at", "35mm", "-o", "rest.nc"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN") and "goes on with g.nc" in out
    assert "done        1-5" in out and "to cut      6" in out
    assert "leaves the drawn parts" in out
    assert Path("rest.nc").read_text(encoding="ascii").startswith("(g.nc, resumed)")
    assert main(["prove", "rest.nc"]) == 0


def test_a_job_is_gone_on_with_like_its_program(capsys: Capture):
    job = Job(
        drawings=(DrawingUse(name="gusset.dxf"),), machine="contact-float-mm", chart="air-50a", material="mild steel",
        thickness=3.0,
    )  # fmt: skip
    Path("g.kerfproof.toml").write_text(write_job(job), encoding="utf-8")
    assert main(["resume", "g.kerfproof.toml", "--from-cut", "4", "--unlit", "2", "-o", "job.nc", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["cuts"] == [2, 4, 5, 6] and told["done"] == [1, 3] and told["written"]
    assert main(["resume", "g.nc", "--from-cut", "4", "--unlit", "2", "-o", "text.nc"]) == 0

    def motion(name: str) -> list[str]:
        return [line for line in Path(name).read_text(encoding="ascii").splitlines() if not line.startswith("(")]

    assert motion("job.nc") == motion("text.nc")


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ([], "where to go on was not said"),
        (["--from-cut", "17"], "there is no cut 17, the program has 6"),
        (["--near", "900,900 mm"], "beside any cut"),
        (["--near", "12"], "is no place"),
        (["--unlit", "two"], "is no list of cuts"),
        (["--from-cut", "6", "--at", "35"], "needs a unit"),
        (["--from-cut", "6", "--at", "9 m"], "is not on cut 6"),
    ],
)
def test_what_can_not_be_is_said_in_one_sentence(capsys: Capture, words, sentence):
    assert main(["resume", "g.nc", *words, "-o", "rest.nc"]) == 2
    err = capsys.readouterr().err
    assert sentence in err and "Traceback" not in err
    assert not Path("rest.nc").exists()


def test_the_first_program_is_never_overwritten(capsys: Capture):
    before = Path("g.nc").read_bytes()
    assert main(["resume", "g.nc", "--from-cut", "2", "-o", "g.nc"]) == 2
    assert Path("g.nc").read_bytes() == before


def test_a_program_without_its_drawing_says_what_can_not_be_known(capsys: Capture):
    Path("gusset.dxf").unlink()
    assert main(["resume", "g.nc", "--from-cut", "6", "--at", "35 mm", "-o", "rest.nc"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("NO RULE BROKEN")
    assert "scrap-side-guessed" in out and "drawing-missing" in out


def test_text_that_is_no_program_is_refused(capsys: Capture):
    Path("letter.txt").write_text("Dear customer,\nthe gate is ready.\n", encoding="ascii")
    assert main(["resume", "letter.txt", "--from-cut", "1", "-o", "rest.nc"]) == 2
    assert "Traceback" not in capsys.readouterr().err
