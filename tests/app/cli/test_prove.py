from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from kerfproof_app import store
from kerfproof_app.__main__ import main

DRAWINGS = Path(__file__).resolve().parents[3] / "resources" / "kerfproof_resources" / "drawings"
GUSSET = str(DRAWINGS / "gusset.dxf")
Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")
    assert main(["cut", GUSSET, "-o", "gusset.nc"]) == 0
    capsys.readouterr()


def text() -> str:
    return Path("gusset.nc").read_text(encoding="ascii")


def test_a_written_program_is_proven_again_from_its_heading(capsys: Capture) -> None:
    assert main(["prove", "gusset.nc", "--drawing", GUSSET]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN: gusset.nc against gusset.dxf\n")
    assert "mild steel 3 mm, kerf 1.45 mm" in out
    assert "assumed" not in out


@pytest.mark.parametrize("words", [["--turn", "90"], ["--mirror"], ["--origin", "drawing"], ["--kerf", "2 mm"]])
def test_what_was_chosen_for_the_cut_is_known_to_the_proof(words: list[str], capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "chosen.nc", *words]) == 0
    assert main(["prove", "chosen.nc", "--drawing", GUSSET]) == 0
    assert "\nPROVEN: chosen.nc" in capsys.readouterr().out


def test_several_drawings_copies_and_holes_left_for_the_drill_are_all_compared(capsys: Capture) -> None:
    flange = str(DRAWINGS / "pump-flange.dxf")
    words = ["--plate", "40x40 in", "--small-holes", "drill", "--set", "machine.torch.preload=1 mm"]
    assert main(["cut", GUSSET, flange, GUSSET, "-o", "many.nc", *words]) == 0
    text = Path("many.nc").read_text(encoding="ascii")
    assert main(["prove", "many.nc", "--drawing", GUSSET, "--drawing", flange, *words[-2:]]) == 0
    out = capsys.readouterr().out
    assert "against gusset.dxf and pump-flange.dxf" in out
    assert "surplus" not in out
    lines = text.splitlines(keepends=True)
    last = max(k for k, line in enumerate(lines) if line.startswith("(cut "))
    Path("short.nc").write_text("".join(lines[:last]) + "M5\nM2\n", encoding="ascii")
    assert main(["prove", "short.nc", "--drawing", GUSSET, "--drawing", flange, *words[-2:]]) == 1


def test_the_drawing_beside_the_program_is_found_and_its_absence_told(capsys: Capture) -> None:
    assert main(["prove", "gusset.nc"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("NO RULE BROKEN: gusset.nc by its text alone")
    assert "drawing-missing" in out
    shutil.copy(GUSSET, "gusset.dxf")
    assert main(["prove", "gusset.nc"]) == 0
    assert capsys.readouterr().out.startswith("PROVEN: gusset.nc against gusset.dxf")


def test_a_changed_drawing_and_a_changed_machine_are_told(capsys: Capture) -> None:
    drawing = Path(GUSSET).read_bytes().replace(b"SLUICE FRAME", b"SLUICE GATE!")
    Path("gusset.dxf").write_bytes(drawing)
    assert main(["prove", "gusset.nc", "--set", "machine.torch.arc_out=0.4 s"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS")
    assert "[drawing-changed]" in out
    assert "[other-machine]" in out


def test_a_moved_pierce_is_not_proven(capsys: Capture) -> None:
    at = re.search(r"^G0 X([\d.]+) Y", text(), re.MULTILINE)
    assert at is not None
    Path("bad.nc").write_text(text().replace(at[0], f"G0 X{float(at[1]) + 0.4:.5f} Y"), encoding="ascii")
    assert main(["prove", "bad.nc", "--drawing", GUSSET, "--json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert (data["verdict"], data["compared"]) == ("NOT PROVEN", True)
    assert any(finding["severity"] == "error" and finding["line"] for finding in data["findings"])


def test_a_program_without_a_heading_is_proven_with_what_is_given(capsys: Capture) -> None:
    shift = re.search(r"proof: shift = ([\d.]+) ([\d.]+) mm", text())
    assert shift is not None
    bare = "".join(line for line in text().splitlines(keepends=True) if "proof:" not in line)
    Path("bare.nc").write_text(bare, encoding="ascii")
    words = ["prove", "bare.nc", "--drawing", GUSSET, "--thickness", "3 mm", "--material", "mild steel"]
    assert main(words) == 1
    assert "[shifted]" in capsys.readouterr().out
    assert main([*words, "--at", f"{shift[1]},{shift[2]} mm"]) == 0
    assert capsys.readouterr().out.startswith("PROVEN")


@pytest.mark.parametrize(
    ("data", "said"), [(b"", "empty"), (b"  \n", "empty"), (Path(GUSSET).read_bytes(), "no torch is lit")]
)
def test_what_is_no_program_is_refused(data: bytes, said: str, capsys: Capture) -> None:
    Path("x.nc").write_bytes(data)
    assert main(["prove", "x.nc"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    assert len(err.splitlines()) == 1
