"""What comes to the disk: whole or not at all, the program before kept, drawings beside their job."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.job.job_file import parse_job
from kerfproof_app.shop import store
from kerfproof_app.work.saving import BACKUP, why_not, with_suffix, write_program
from support.app.panels import session_on
from support.shop import shop


@pytest.fixture
def session(tmp_path, monkeypatch):
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "config"))
    made = session_on(tmp_path, shop.demo("gusset"), "gusset.dxf")
    made.settle()
    return made


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_program_that_replaces_another_keeps_it_as_a_backup(tmp_path):
    path = tmp_path / "part.nc"
    assert write_program("M2\n", path).backup is None
    done = write_program("M30\n", path)
    assert (done.path, done.backup) == (path, tmp_path / f"part.nc{BACKUP}")
    assert files(tmp_path) == {"part.nc": b"M30\n", f"part.nc{BACKUP}": b"M2\n"}


def test_the_same_program_again_leaves_the_backup_as_it_is(tmp_path):
    path = tmp_path / "part.nc"
    for text in ("M2\n", "M30\n", "M30\n"):
        done = write_program(text, path)
    assert done.backup is None
    assert files(tmp_path)[f"part.nc{BACKUP}"] == b"M2\n"


def test_line_ends_stay_and_what_is_not_plain_becomes_a_question_mark(tmp_path):
    write_program("(Tr\xe4ger)\r\nM2\n", tmp_path / "part.nc")
    assert files(tmp_path) == {"part.nc": b"(Tr?ger)\r\nM2\n"}


@pytest.mark.parametrize("broken", ["part.nc", f"part.nc{BACKUP}"])
def test_where_the_disk_refuses_the_old_program_stands_as_it_was(tmp_path, monkeypatch, broken):
    path = tmp_path / "part.nc"
    write_program("M2\n", path)
    whole = store.write_bytes

    def refusing(target: Path, data: bytes) -> None:
        if target.name == broken:
            raise KerfproofError("can't be written: no space left", where=str(target))
        whole(target, data)

    monkeypatch.setattr(store, "write_bytes", refusing)
    with pytest.raises(KerfproofError, match="no space left"):
        write_program("M30\n", path)
    assert path.read_bytes() == b"M2\n"


def test_a_folder_that_is_not_there_or_is_in_the_way_is_told(tmp_path):
    for path in (tmp_path / "none" / "part.nc", tmp_path):
        with pytest.raises(KerfproofError) as told:
            write_program("M2\n", path)
        assert told.value.where == str(path)
    assert files(tmp_path) == {}


@pytest.mark.parametrize(
    ("name", "saved"),
    [
        ("job", "job.kerfproof.toml"),
        ("job.toml", "job.kerfproof.toml"),
        ("job.kerfproof.toml", "job.kerfproof.toml"),
        ("JOB.KERFPROOF.TOML", "JOB.KERFPROOF.TOML"),
        ("5.5 mm", "5.5 mm.kerfproof.toml"),
    ],
)
def test_a_job_gets_the_ending_of_job_files(name, saved):
    assert with_suffix(Path("folder") / name) == Path("folder") / saved


def test_a_job_is_saved_with_its_drawing_and_saved_again_without_touching_it(session, tmp_path):
    folder = tmp_path / "kept"
    folder.mkdir()
    path = session.save(folder / "job")
    assert files(folder).keys() == {"job.kerfproof.toml", "gusset.dxf"}
    assert (folder / "gusset.dxf").read_bytes() == shop.demo("gusset")
    session.change("kerf", kerf=1.6)
    before = (folder / "gusset.dxf").stat().st_mtime_ns
    session.save(path)
    assert parse_job(path.read_text(encoding="utf-8"), "job").kerf == 1.6
    assert (folder / "gusset.dxf").stat().st_mtime_ns == before


def test_a_program_may_be_exported_only_when_it_stands_and_is_checked(session):
    outcome = session.outcome
    assert why_not(outcome, "ready") == ""
    assert "no program yet" in why_not(None, "ready")
    for state, words in (("stopped", "stopped"), ("checking", "still being checked"), ("failed", "can't be planned")):
        assert words in why_not(outcome, state)
    wrong = [Finding("gouge", Severity.ERROR, f"mistake {k}", "mend it") for k in (1, 2)]
    assert str(why_not(replace(outcome, findings=(wrong[0],)), "ready")).startswith("An error was found")
    told = why_not(replace(outcome, findings=tuple(wrong)), "ready")
    assert str(told) == "2 errors were found, so the program is not proven. First: mistake 1."
    assert why_not(replace(outcome, findings=(replace(wrong[0], severity=Severity.WARNING),)), "ready") == ""
