from __future__ import annotations

import importlib.util
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = ROOT / "scripts"


@pytest.fixture(autouse=True)
def scripts_on_the_path() -> Iterator[None]:
    before = set(sys.modules)
    sys.path.insert(0, str(SCRIPTS))
    yield
    sys.path.remove(str(SCRIPTS))
    for name in set(sys.modules) - before:
        del sys.modules[name]


def load(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, SCRIPTS / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def test_the_fingerprint_changes_with_project_file_extra_and_place_alone(tmp_path: Path) -> None:
    environment = load("environment")
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    for folder in ("a", "b"):
        (tmp_path / folder / "pyproject.toml").write_text("one", encoding="utf-8")
    first = environment.fingerprint(tmp_path / "a", "")
    assert first == environment.fingerprint(tmp_path / "a", "")
    assert first != environment.fingerprint(tmp_path / "a", "dev")
    assert first != environment.fingerprint(tmp_path / "b", "")
    (tmp_path / "a" / "pyproject.toml").write_text("two", encoding="utf-8")
    assert first != environment.fingerprint(tmp_path / "a", "")
    assert re.fullmatch("[0-9a-f]{32}", first)


def test_an_environment_is_ready_only_with_interpreter_and_present_stamp(tmp_path: Path) -> None:
    environment = load("environment")
    (tmp_path / "pyproject.toml").write_text("one", encoding="utf-8")
    folder = tmp_path / ".venv"
    python = environment.python_of(folder)
    python.parent.mkdir(parents=True)
    stamp = environment.stamp_of(folder, "dev")
    stamp.write_text(environment.fingerprint(tmp_path, "dev"), encoding="ascii")
    assert not environment.is_ready(folder, tmp_path, "dev")
    python.write_bytes(b"")
    assert environment.is_ready(folder, tmp_path, "dev")
    assert not environment.is_ready(folder, tmp_path, "")
    (tmp_path / "pyproject.toml").write_text("two", encoding="utf-8")
    assert not environment.is_ready(folder, tmp_path, "dev")


def test_an_old_python_is_refused_with_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    environment = load("environment")
    monkeypatch.setattr(environment, "OLDEST_PYTHON", (9, 0))
    with pytest.raises(environment.SetupError, match=r"needs Python 9\.0 or later"):
        environment.ensure()


def test_a_failed_installation_leaves_no_stamp_and_no_place_in_its_message(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    environment = load("environment")
    monkeypatch.setattr(environment, "FOLDER", tmp_path / ".venv")
    monkeypatch.setattr(environment, "_works", lambda python: True)
    monkeypatch.setattr(environment, "python_of", lambda folder: Path(sys.executable))

    def run(command: list[str], **_: object) -> object:
        class Done:
            returncode = 1
            stderr = f"warning\nERROR: no network in {environment.ROOT}\n"

        assert "pip" in command
        return Done()

    monkeypatch.setattr(environment.subprocess, "run", run)
    with pytest.raises(environment.SetupError, match="is this computer online") as caught:
        environment.ensure("dev")
    assert str(environment.ROOT) not in str(caught.value)
    assert not environment.stamp_of(tmp_path / ".venv", "dev").exists()


def test_the_exit_code_of_a_called_command_is_passed_on() -> None:
    environment = load("environment")
    assert environment.call([sys.executable, "-c", "import sys; sys.exit(7)"]) == 7


@pytest.mark.skipif(sys.platform == "win32", reason="signals of Unix")
def test_a_signal_that_ends_a_called_command_is_told_as_shells_do() -> None:
    environment = load("environment")
    kill = "import os, signal; os.kill(os.getpid(), signal.SIGTERM)"
    assert environment.call([sys.executable, "-c", kill]) == 128 + 15


def test_the_steps_of_the_test_script_are_the_five_and_extra_words_go_to_pytest() -> None:
    script = load("test")
    steps = script.steps(Path("python"), ["-k", "store"])
    assert [name for name, _ in steps] == ["form", "lint", "types", "imports", "tests"]
    assert steps[-1][1] == ["python", "-m", "pytest", "-n", "2", "--durations", "10", "-k", "store"]


def test_the_fast_share_of_the_tests_is_there_and_the_rest_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    script = load("test")
    monkeypatch.chdir(ROOT)
    assert script.quick()[:2] == ["-m", "not slow"]
    assert all(Path(name).exists() for name in script.QUICK)
    left = script.left_out()
    assert {"tests/app", "tests/sanity", "tests/core/plan", "most of tests/core/proof"} <= set(left)
    files = {path.as_posix() for path in Path("tests").rglob("test_*.py")}
    named = [*script.QUICK, *(name.removeprefix("most of ") for name in left)]
    assert [file for file in files if not any(f"{file}/".startswith(f"{name}/") for name in named)] == []


def test_the_missing_library_is_read_from_the_loaders_message() -> None:
    qt = load("qt_libraries")
    message = "ImportError: libEGL.so.1: cannot open shared object file: No such file or directory"
    assert qt.missing_library(message) == "libEGL.so.1"
    assert qt.missing_library("something else") == ""
    assert "libEGL.so.1 is missing" in qt.sentence(message)


def test_the_readme_names_the_two_commands_that_the_scripts_are() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"python3 (scripts/\w+\.py)", text))
    assert {"scripts/run.py", "scripts/test.py"} <= named
    assert all((ROOT / name).is_file() for name in named)


def test_the_ci_script_calls_the_test_script_alone() -> None:
    lines = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert lines[-1] == "python3 scripts/test.py"


def test_the_demo_drawings_are_what_their_script_makes() -> None:
    demo = load("demo_drawings")
    for name, make in demo.DRAWINGS.items():
        assert (demo.FOLDER / name).read_bytes() == demo.drawing_bytes(make), name


def test_only_the_window_brings_its_libraries() -> None:
    script = load("run")
    assert script.extra_for(["window", "part.dxf"]) == "window"
    assert script.extra_for(["cut", "window"]) == "" == script.extra_for([])
