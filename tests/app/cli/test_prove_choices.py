"""What was chosen about a drawing stands in the heading, so that the proof can be repeated from text and drawing."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from kerfproof_app.__main__ import main
from support.shop.shop import dxf


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def board(space) -> None:
    space.add_lwpolyline([(0, 0), (297, 0), (297, 210), (0, 210)], close=True)
    space.add_lwpolyline([(50, 50), (250, 50), (250, 150), (50, 150)], close=True)
    space.add_circle((100, 100), 20, dxfattribs={"linetype": "DASHED"})
    space.add_circle((180, 70), 1.2)
    space.add_point((180, 130))
    space.add_line((140, 90), (140, 120), dxfattribs={"color": 1})
    space.add_line((50, 80), (250, 80), dxfattribs={"color": 3})


CHOICES = ["--role", "color:red=slit", "--role", "linetype:DASH*=cut", "--role", "colour:3=ignore", "--drill-below",
           "3 mm", "--page", "ignore", "--turn", "90 deg"]  # fmt: skip


def test_a_program_made_with_choices_is_proven_again_from_its_own_words(capsys: pytest.CaptureFixture[str]) -> None:
    Path("board.dxf").write_bytes(dxf(board))
    assert main(["cut", "board.dxf", "-o", "board.nc", *CHOICES]) == 0, capsys.readouterr().out
    text = Path("board.nc").read_text(encoding="ascii")
    for words in ("slit color:red", "cut linetype:DASH*", "ignore color:3", "pierce 3 mm", "(proof: page = ignore)"):
        assert words in text
    capsys.readouterr()
    assert main(["prove", "board.nc", "--drawing", "board.dxf"]) == 0
    out = capsys.readouterr().out
    assert "PROVEN" in out and "NOT PROVEN" not in out


def test_with_one_choice_taken_out_of_the_heading_the_proof_fails(capsys: pytest.CaptureFixture[str]) -> None:
    Path("board.dxf").write_bytes(dxf(board))
    main(["cut", "board.dxf", "-o", "board.nc", *CHOICES])
    text = Path("board.nc").read_text(encoding="ascii")
    for words in (
        "(proof: role = slit color:red)\n",
        "(proof: drill-marks = pierce 3 mm)\n",
    ):
        assert words in text
        Path("other.nc").write_text(text.replace(words, ""), encoding="ascii")
        capsys.readouterr()
        assert main(["prove", "other.nc", "--drawing", "board.dxf"]) == 1, words


@pytest.mark.parametrize(("role", "slits"), [("slit", 3), ("mark", 0)])
def test_letters_are_cut_on_their_outlines_or_shown_as_marks_when_a_role_says_so(
    role: str, slits: int, capsys: pytest.CaptureFixture[str]
) -> None:
    def lettered(space) -> None:
        space.add_lwpolyline([(0, 0), (160, 0), (160, 80), (0, 80)], close=True)
        space.add_text("L", height=40).set_placement((15, 20))
        space.add_text("0", height=40).set_placement((80, 20))

    Path("name.dxf").write_bytes(dxf(lettered))
    words = ["cut", "name.dxf", "-o", "name.nc", "--thickness", "1 mm", "--report", "name.json"]
    assert main([*words, "--role", "0=cut"]) == 0
    assert json.loads(Path("name.json").read_text())["program"]["pierces"] == 1, "a rule for a layer means no texts"
    assert main([*words, "--role", f"kind:TEXT={role}"]) == 0, capsys.readouterr().out
    told = json.loads(Path("name.json").read_text())
    assert told["program"]["pierces"] == 1 + slits
    assert sum(part["marks"] for part in told["parts"]) == 3 - slits
    capsys.readouterr()
    assert main(["prove", "name.nc"]) == 0
    assert "PROVEN" in capsys.readouterr().out
