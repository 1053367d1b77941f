from __future__ import annotations

import hashlib
import json
import os
import time
from dataclasses import replace
from pathlib import Path

import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.batch.done_before import NAME, RunMemory, open_out, sweep
from kerfproof_app.batch.result import Result, State, counts, exit_code, result_of
from support.app.batches import everything, put


def result(name: str = "a.dxf", key: str = "k", **changes: object) -> Result:
    program = name.replace(".dxf", ".nc")
    digest = hashlib.sha256(b"(program)\n").hexdigest()
    finding = {"rule": "r", "severity": "warning", "message": "m", "sentence": "s"}
    values = {"program": program, "digest": digest, "findings": (finding,), "width": 1.5, "picture": "<svg/>"}
    return replace(Result(name=name, state=State.WARNED, code=0, key=key, **values), **changes)  # type: ignore[arg-type]


def test_a_record_gives_the_same_result_back() -> None:
    one = result(reason="\udcff", thickness=3.0)
    assert result_of(json.loads(json.dumps(one.record()))) == one


def test_what_is_unchanged_and_still_lies_there_holds(tmp_path: Path) -> None:
    memory = RunMemory(tmp_path)
    memory.add(result())
    put(tmp_path / "a.nc", b"(program)\n")
    again = RunMemory(tmp_path)
    assert again.still_holds("a.dxf", "k") == result()
    assert again.still_holds("a.dxf", "other key") is None
    assert again.still_holds("b.dxf", "k") is None


@pytest.mark.parametrize("now", [b"(program), edited\n", None])
def test_a_program_that_is_gone_or_was_changed_is_made_again(now: bytes | None, tmp_path: Path) -> None:
    memory = RunMemory(tmp_path)
    memory.add(result())
    if now is not None:
        put(tmp_path / "a.nc", now)
    assert memory.still_holds("a.dxf", "k") is None


def test_a_refusal_holds_without_a_program_and_a_failure_never(tmp_path: Path) -> None:
    memory = RunMemory(tmp_path)
    memory.add(result("r.dxf", program="", digest="", state=State.REFUSED))
    memory.add(result("f.dxf", key="", program="", state=State.FAILED))
    again = RunMemory(tmp_path)
    assert again.still_holds("r.dxf", "k") is not None
    assert again.still_holds("f.dxf", "") is None


def test_half_lines_and_foreign_lines_are_passed_over(tmp_path: Path) -> None:
    memory = RunMemory(tmp_path)
    memory.add(result("a.dxf"))
    memory.add(result("b.dxf"))
    file = tmp_path / NAME
    whole = file.read_bytes()
    file.write_bytes(b'[1]\n{"format": 99, "result": {}}\nnull\n{"format": 1}\n' + whole[: len(whole) - 20])
    assert list(RunMemory(tmp_path).results) == ["a.dxf"]
    file.write_bytes(bytes(range(256)))
    assert RunMemory(tmp_path).results == {}


def test_finishing_forgets_drawings_that_are_gone_and_names_their_programs_until_they_go_too(tmp_path: Path) -> None:
    for name in ("a.dxf", "b.dxf", "c.dxf"):
        RunMemory(tmp_path).add(result(name))
        put(tmp_path / name.replace("dxf", "nc"), b"(program)\n")
    left = [result("a.dxf"), result("c.dxf", key="new", program="", state=State.REFUSED)]
    assert RunMemory(tmp_path).finish(left) == ("b.nc", "c.nc")
    assert RunMemory(tmp_path).finish(left) == ("b.nc", "c.nc")  # told again as long as they lie there
    (tmp_path / "b.nc").unlink()
    assert RunMemory(tmp_path).finish([*left[:1], result("c.dxf")]) == ()
    assert sorted(RunMemory(tmp_path).results) == ["a.dxf", "c.dxf"]


def test_a_full_file_stays_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    memory = RunMemory(tmp_path)
    memory.add(result("a.dxf"))
    before = everything(tmp_path)

    def refuse(self: Path, *_: object, **__: object) -> object:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as full, pytest.raises(KerfproofError, match="no space left on device"):
        full.setattr(Path, "open", refuse)
        memory.add(result("b.dxf"))
    assert everything(tmp_path) == before


def test_files_that_a_killed_run_left_half_written_are_swept_and_nothing_else(tmp_path: Path) -> None:
    old = time.time() - 3600
    for name in (".kerfproof-abcd_123", "sub/.kerfproof-00000000", ".kerfproof-batch.jsonl", "x.nc", "new"):
        os.utime(put(tmp_path / name, b"half"), (old, old))
    put(tmp_path / ".kerfproof-justnow1", b"half")
    sweep(tmp_path, ["sub/a.nc", "no-such-folder/b.nc"])
    assert sorted(everything(tmp_path)) == [".kerfproof-batch.jsonl", ".kerfproof-justnow1", "new", "x.nc"]


def test_the_output_folder_is_made_and_tried(tmp_path: Path) -> None:
    open_out(tmp_path / "a" / "b")
    assert list((tmp_path / "a" / "b").iterdir()) == []
    with pytest.raises(KerfproofError, match="no folder"):
        open_out(put(tmp_path / "file"))
    with pytest.raises(KerfproofError, match="can't be made"):
        open_out(tmp_path / "file" / "below")


def test_the_exit_code_is_the_worst_of_all() -> None:
    fine, refused = result(), result(state=State.REFUSED, code=1)
    lost = result(state=State.FAILED, code=2)
    assert [exit_code(r) for r in ([], [fine], [fine, refused], [lost, refused])] == [0, 0, 1, 2]
    assert counts([fine, fine, lost]) == {
        State.PROVEN: 0, State.WARNED: 2, State.LEFT: 0, State.REFUSED: 0, State.UNREADABLE: 0, State.FAILED: 1,
    }  # fmt: skip
