"""What is no input, and what can't be written: one sentence, exit code 2. From /dev/full: full(4) of Linux."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import kerfproof_resources
from kerfproof_app.__main__ import main
from kerfproof_app.shop import store

NO_PROGRAMS = {
    "a.pdf": (b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\n", "this is a PDF document, not a program"),
    "a.png": (b"\x89PNG\r\n\x1a\n\x00\x00", "this is a PNG picture, not a program"),
    "a.exe": (b"MZ\x90\x00", "this is an executable file, not a program"),
    "empty.nc": (b"", "the program is empty"),
    "blank.nc": (b" \n\n\t\n", "the program is empty"),
    "nul.nc": (b"G21\n\x00\x00G0 X1\n", "this is a file of another kind, not a program"),
    "noise.nc": (bytes(range(256)) * 8, "this is a file of another kind, not a program"),
    "words.nc": (b"Dear customer,\nplease find the drawing attached.\n", "this is another text, not a program"),
    "table.csv": (b"10,20\n30,40\n", "this is another text, not a program"),
    "part.dxf": (b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n", "this is a drawing (DXF), not a program"),
    "renamed.nc": (b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n", "this is a drawing (DXF), not a program"),
}


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))


def refusal(words: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    capsys.readouterr()
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("kerfproof: ")
    assert len(err.splitlines()) == 1
    return err


@pytest.mark.parametrize("command", ["prove", "pierces"])
@pytest.mark.parametrize("name", NO_PROGRAMS)
def test_what_is_no_program_is_called_what_it_is(
    command: str, name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data, said = NO_PROGRAMS[name]
    (tmp_path / name).write_bytes(data)
    assert said in refusal([command, str(tmp_path / name)], capsys)


def test_a_folder_is_no_program(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "this is a folder" in refusal(["prove", str(tmp_path)], capsys)


@pytest.mark.parametrize(
    "text",
    [
        "%\nO1000\nN10 G21 G90\nN20 M3\nN30 G1 X10 F500\nN40 M5\nM30\n%\n",
        "; by hand\ng21\nm3\ng1 x[#<wide>*2] f500\nm5\nm2\n",
        "#1=3\nTHIS IS NOT A WORD\nG1 X#1\nM2\n",
    ],
)
def test_a_program_that_is_badly_written_is_still_read_as_one(
    text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "odd.nc").write_text(text)
    main(["prove", str(tmp_path / "odd.nc")])
    assert "not a program" not in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.nc", b"G21 G90\nG0 X1 Y1\nM3\nG1 X5 F500\nM5\nM2\n", "this is a cut program, not a DXF drawing"),
        ("a.png", b"\x89PNG\r\n\x1a\n", "this is a PNG picture, not a DXF drawing"),
        ("a.txt", b"Dear customer,\nplease find the drawing attached.\n", "this is a text file, not a DXF drawing"),
    ],
)
def test_what_is_no_drawing_is_called_what_it_is(
    name: str, data: bytes, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / name).write_bytes(data)
    assert said in refusal(["cut", str(tmp_path / name), "-o", str(tmp_path / "o.nc")], capsys)
    assert not (tmp_path / "o.nc").exists()


def test_a_cut_that_is_no_number_is_told_by_its_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = refusal(["resume", "a.nc", "--from-cut", "x", "-o", "b.nc"], capsys)
    assert "--from-cut must be a whole number" in said


def test_a_shop_file_that_is_no_text_is_called_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "m.toml").write_bytes(b"\x89PNG\r\n\x00\x00")
    assert "this is no text file" in refusal(["machines", "check", str(tmp_path / "m.toml")], capsys)


@pytest.mark.parametrize("name", ["x" * 300 + ".nc", "d/" * 2500 + "x.nc"])
def test_a_name_too_long_for_the_disk_is_one_sentence(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = tmp_path / "gusset.dxf"
    drawing.write_bytes(kerfproof_resources.drawing_bytes("gusset"))
    target = str(tmp_path / name)
    for words in (["cut", str(drawing), "-o", target], ["prove", target], ["batch", target, "-o", str(tmp_path)]):
        assert "file name too long" in refusal(words, capsys)


def run(command: str) -> subprocess.CompletedProcess[str]:
    words = command.replace("kerfproof", f"{sys.executable} -m kerfproof_app")
    return subprocess.run(["bash", "-c", words], capture_output=True, text=True, check=False)


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full")
@pytest.mark.parametrize("words", ["--help", "rules", "charts list", "machines show contact-float-mm"])
def test_an_output_that_takes_nothing_is_one_sentence(words: str) -> None:
    done = run(f"kerfproof {words} > /dev/full")
    assert (done.returncode, done.stderr) == (
        2,
        "kerfproof: standard output can't be written: no space left on device\n",
    )


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full")
@pytest.mark.parametrize("option", ["--picture all.svg", "--sheet all.pdf", "--report all.json", "-o /dev/full"])
def test_a_disk_that_is_full_leaves_no_program(option: str, tmp_path: Path) -> None:
    (tmp_path / "gusset.dxf").write_bytes(kerfproof_resources.drawing_bytes("gusset"))
    name = option.split()[1]
    if not name.startswith("/"):
        (tmp_path / name).symlink_to("/dev/full")
    target = "" if option.startswith("-o") else "-o gusset.nc"
    done = run(f"cd {tmp_path} && kerfproof cut gusset.dxf {target} {option}")
    assert done.returncode == 2
    assert done.stderr == f"kerfproof: {name}: can't be written: no space left on device\n"
    assert not (tmp_path / "gusset.nc").exists()


@pytest.mark.slow
def test_a_reader_that_has_seen_enough_ends_it_without_a_word() -> None:
    done = run("kerfproof rules | head -n 1; echo ${PIPESTATUS[0]}")
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] in ("141", "0")
    assert len(done.stdout.splitlines()) == 2
