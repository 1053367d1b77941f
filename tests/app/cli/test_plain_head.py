"""What people read at the top of a program must be what its heading, machine and chart say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from support.shop.shop import demo

Capture = pytest.CaptureFixture[str]
MACHINES = ("contact-float-mm", "contact-float-inch", "contact-skip-mm", "pilot-ohmic-mm")


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")


def cut(machine: str, *words: str) -> str:
    Path("gusset.dxf").write_bytes(demo("gusset"))
    assert main(["cut", "gusset.dxf", "-o", "part.nc", "--machine", machine, *words]) == 0
    return Path("part.nc").read_text(encoding="ascii")


def contradicted(text: str, capsys: Capture, *words: str) -> list[str]:
    Path("said.nc").write_text(text, encoding="ascii")
    capsys.readouterr()
    main(["prove", "said.nc", *words])
    return re.findall(r"a comment says .*", capsys.readouterr().out)


@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize(
    "words",
    [
        [], ["--kerf", "1.637 mm"], ["--kerf", "0.0611 in", "--feed", "81.7 in/min"], ["--thickness", "1/8 in"],
        ["--dry"], ["--frame"], ["--thickness", "5 mm", "--material", "aluminium"],
    ],
)  # fmt: skip
def test_a_program_as_it_was_written_contradicts_itself_nowhere(
    machine: str, words: list[str], capsys: Capture
) -> None:
    text = cut(machine, *words)
    assert contradicted(text, capsys) == []
    other = MACHINES[MACHINES.index(machine) - 1]
    assert contradicted(text, capsys, "--machine", other) == [], "another machine is told once, and not by its numbers"


@pytest.mark.parametrize("machine", MACHINES[:2])
@pytest.mark.parametrize("label", ["material", "kerf", "feed", "float", "float measured", "at most", "plate"])
def test_a_changed_number_in_a_plain_comment_is_told(machine: str, label: str, capsys: Capture) -> None:
    text = cut(machine)
    changed = re.sub(rf"(?m)^\({label} (\D*)(\d)", lambda m: f"({label} {m[1]}{(int(m[2]) + 3) % 10}", text, count=1)
    assert changed != text
    (told,) = contradicted(changed, capsys)
    line = next(line for line, was in zip(changed.split("\n"), text.split("\n"), strict=True) if line != was)
    assert line.strip("()") in told


def test_a_cut_that_calls_itself_a_dry_run_is_told(capsys: Capture) -> None:
    raised, text = cut("contact-float-mm", "--dry"), cut("contact-float-mm")
    (line,) = re.findall(r"(?m)^\(DRY RUN.*\n", raised)
    (told,) = contradicted(line + text, capsys)
    assert "DRY RUN" in told and "mode cut" in told


@pytest.mark.parametrize("note", ["kerf was good last time", "plate 12 of the stack", "float is new", "for Bob, 3 mm"])
def test_a_note_beside_them_is_no_contradiction(note: str, capsys: Capture) -> None:
    assert contradicted(f"({note})\n" + cut("contact-float-mm"), capsys) == []
