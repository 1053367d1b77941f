from __future__ import annotations

import subprocess
import sys

import pytest

import kerfproof_app.__main__ as program
from kerfproof.errors import KerfproofError

HEAVY = ("numpy", "shapely", "ezdxf", "pydantic", "tomlkit", "PySide6", "rich", "resvg_py")


def test_the_commands_are_the_files_of_the_folder() -> None:
    expected = "batch charts coupon cut guide inspect machines pierces prove resume rules tip"
    assert program.command_names() == expected.split()


def test_without_words_the_help_goes_to_standard_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert program.main([]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert all(name in err for name in program.command_names())


def test_help_goes_to_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    assert program.main(["cut", "--help"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    for option in ("--machine", "--thickness", "--small-holes", "--lead-in", "--set", "--dry", "--frame", "--force"):
        assert option in out


def test_the_version_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert program.main(["--version"]) == 0
    assert capsys.readouterr().out.startswith("kerfproof ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["cutt"], "cutt"),
        (["cut"], "DRAWING"),
        (["cut", "a.dxf"], "--output"),
        (["cut", "a.dxf", "-o", "a.nc", "--kurf", "2"], "--kurf"),
        (["cut", "a.dxf", "-o"], "-o"),
        (["machines", "fly"], "fly"),
        (["rules", "no-such-rule"], "no-such-rule"),
    ],
)
def test_wrong_words_are_one_sentence_and_exit_2(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert program.main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("kerfproof: ")
    assert said in err
    assert len(err.splitlines()) == 1


def test_the_unforeseen_is_one_sentence_and_the_traceback_only_on_demand(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken() -> None:
        raise IndexError("list index")

    monkeypatch.setattr(program, "build", broken)
    assert program.main(["cut"]) == 2
    err = capsys.readouterr().err
    assert len(err.splitlines()) == 1
    assert "IndexError: list index" in err
    assert "report" in err
    monkeypatch.setenv(program.DEBUG_VARIABLE, "1")
    assert program.main(["cut"]) == 2
    assert "Traceback" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("raised", "code", "said"),
    [
        (KerfproofError("no good", where="a.dxf", advice="mend it"), 2, "kerfproof: a.dxf: no good (mend it)\n"),
        (KeyboardInterrupt(), 130, "kerfproof: stopped\n"),
    ],
)
def test_refusals_and_interruptions_have_their_own_exit_codes(
    raised: BaseException, code: int, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def build() -> None:
        raise raised

    monkeypatch.setattr(program, "build", build)
    assert program.main([]) == code
    assert capsys.readouterr().err == said


@pytest.mark.slow
def test_help_loads_no_heavy_library() -> None:
    question = (
        "import sys; from kerfproof_app.__main__ import main; code = main(['--help']); "
        f"print(sorted(set(sys.modules) & set({HEAVY!r})), file=sys.stderr); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", question], capture_output=True, text=True, check=False)
    assert done.returncode == 0
    assert done.stderr.strip() == "[]"


@pytest.mark.slow
def test_the_module_passes_its_exit_code_to_the_shell() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "kerfproof_app", "inspect", "nowhere.dxf"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr == "kerfproof: nowhere.dxf: no such file (check the name and the folder)\n"


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="pipes break differently there")
def test_a_reader_that_stops_reading_breaks_nothing() -> None:
    command = f"{sys.executable} -m kerfproof_app charts show air-50a | head -c 1"
    done = subprocess.run(command, shell=True, capture_output=True, text=True, check=False)
    assert done.stderr == ""
