from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.batch.lock import NAME, locked

HOLDS = """
import sys, time
from pathlib import Path
from kerfproof_app.batch.lock import locked
with locked(Path(sys.argv[1])):
    print("held", flush=True)
    time.sleep(60)
"""


@contextmanager
def held(out: Path) -> Iterator[subprocess.Popen[str]]:
    """Have another process hold the lock of a folder."""
    words = [sys.executable, "-c", HOLDS, str(out)]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        try:
            yield other
        finally:
            other.kill()


def test_a_second_batch_is_refused_with_the_process_of_the_first_until_that_is_gone(tmp_path: Path) -> None:
    with held(tmp_path) as other:
        with pytest.raises(KerfproofError) as refusal, locked(tmp_path):
            pytest.fail("both had the folder")
        assert str(refusal.value) == (
            f"{tmp_path}: another batch is writing to this folder (process {other.pid}) "
            "(wait for its end, or name another folder)"
        )
        other.kill()
        other.wait()
        assert (tmp_path / NAME).exists()
        with locked(tmp_path):
            assert int((tmp_path / NAME).read_text(encoding="ascii")) == os.getpid()
    assert not (tmp_path / NAME).exists()


@pytest.mark.parametrize("rest", ["", "no number", "99999999999999999999\n"])
def test_a_lock_file_that_nobody_holds_is_no_lock(rest: str, tmp_path: Path) -> None:
    (tmp_path / NAME).write_text(rest, encoding="ascii")
    with locked(tmp_path):
        assert int((tmp_path / NAME).read_text(encoding="ascii").split("\n")[0]) == os.getpid()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="an open file can't be removed there")
def test_a_file_that_its_holder_takes_away_while_we_wait_for_it_is_not_taken_for_the_lock(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from kerfproof_app.batch import lock

    take = lock._try
    removed: list[int] = []

    def late(handle: int) -> None:
        if not removed:
            removed.append(handle)
            (tmp_path / NAME).unlink()
        take(handle)

    monkeypatch.setattr(lock, "_try", late)
    with locked(tmp_path), pytest.raises(KerfproofError, match="another batch"), locked(tmp_path):
        pass
    assert removed


def test_a_disk_without_locks_is_worked_on_without_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from kerfproof_app.batch import lock

    def unknown(handle: int) -> None:
        raise OSError(95, "operation not supported")

    monkeypatch.setattr(lock, "_try", unknown)
    with locked(tmp_path):
        assert (tmp_path / NAME).exists()
    assert not (tmp_path / NAME).exists()
