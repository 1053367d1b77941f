from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.batch.pool import Begun, Done, Lost, Pool
from support.app.batch_work import Unstartable, act

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(os.name == "nt", reason="processes are killed by signals of another system"),
]

LIMIT_S = 1.5


@pytest.fixture
def pool() -> Iterator[Pool[tuple[str, str], str]]:
    made = Pool(act, 2, LIMIT_S)
    yield made
    made.close()


def outcomes(events: list[object]) -> dict[int, str]:
    return {event.index: event.outcome for event in events if isinstance(event, Done)}


def test_every_task_is_done_once_and_the_processes_serve_again(pool: Pool[tuple[str, str], str]) -> None:
    tasks = [("say", str(k)) for k in range(7)]
    events = list(pool.run(tasks))
    assert outcomes(events) == {k: f"said {k}" for k in range(7)}
    assert sorted(e.index for e in events if isinstance(e, Begun)) == list(range(7))
    held = [slot.process.pid for slot in pool._running]
    assert outcomes(list(pool.run([("say", "again")]))) == {0: "said again"}
    assert [slot.process.pid for slot in pool._running] == held
    assert list(pool.run([])) == []


def test_the_dead_and_the_hanging_are_told_and_tried_once_more_alone_at_the_end(
    pool: Pool[tuple[str, str], str], tmp_path: Path
) -> None:
    marks = [str(tmp_path / str(k)) for k in range(4)]
    tasks = [("die once", marks[0]), ("hang once", marks[1]), ("die", marks[2]), ("leave once", marks[3])]
    tasks += [("say", str(k)) for k in range(3)]
    events = list(pool.run(tasks))
    assert outcomes(events) == {
        0: "die once, try 2", 1: "hang once, try 2", 3: "leave once, try 2", 4: "said 0", 5: "said 1", 6: "said 2",
    }  # fmt: skip
    lost = [(e.index, e.reason, e.last) for e in events if isinstance(e, Lost)]
    assert sorted(lost[:4]) == [
        (0, "its process died (signal SIGKILL)", False),
        (1, "it took longer than 1.5 s", False),
        (2, "its process died (signal SIGKILL)", False),
        (3, "its process died (exit code 3)", False),
    ]
    assert lost[4:] == [(2, "its process died (signal SIGKILL)", True)]
    # Alone: from the first second try on, a task begins only when the one before it has ended.
    last_first = max(k for k, e in enumerate(events) if isinstance(e, Lost) and not e.last)
    kinds = [type(e) for e in events[last_first + 1 :] if not (isinstance(e, Done) and e.index >= 4)]
    assert kinds == [Begun, Done, Begun, Done, Begun, Lost, Begun, Done]
    tries = [len(Path(mark).read_text(encoding="utf-8").splitlines()) for mark in marks]
    assert tries == [2, 2, 2, 2]


def test_two_processes_work_at_the_same_time(pool: Pool[tuple[str, str], str]) -> None:
    list(pool.run([("nap", "0.1")] * 2))  # both have started
    began = time.monotonic()
    list(pool.run([("nap", "0.5")] * 4))
    assert time.monotonic() - began < 1.7  # one after the other: 2 s


def test_work_that_no_process_can_begin_is_a_refusal_and_no_endless_loop() -> None:
    pool: Pool[str, None] = Pool(Unstartable(), 1, LIMIT_S)
    try:
        with pytest.raises(KerfproofError, match="no worker process can be started"):
            list(pool.run(["x"]))
    finally:
        pool.close()


def test_closing_ends_processes_in_the_middle_of_their_work(pool: Pool[tuple[str, str], str], tmp_path: Path) -> None:
    pool.limit_s = 60.0
    events = pool.run([("hang", str(tmp_path / "mark"))])
    assert isinstance(next(events), Begun)
    processes = [slot.process for slot in pool._running]
    pool.close()
    assert processes
    assert not any(process.is_alive() for process in processes)


def test_processes_do_not_outlive_a_killed_parent(tmp_path: Path) -> None:
    mark = tmp_path / "mark"
    code = (
        "from kerfproof_app.batch.pool import Pool\nfrom support.app.batch_work import act\n"
        f"if __name__ == '__main__':\n    list(Pool(act, 1, 60.0).run([('hang', {str(mark)!r})]))\n"
    )
    script = tmp_path / "parent.py"
    script.write_text(code, encoding="utf-8")
    paths = os.pathsep.join(path for path in sys.path if path)
    parent = subprocess.Popen([sys.executable, str(script)], env={**os.environ, "PYTHONPATH": paths})
    try:
        worker = int(_until(lambda: mark.read_text(encoding="utf-8") if mark.exists() else "").split()[0])
    finally:
        parent.kill()
        parent.wait()
    _until(lambda: "" if _alive(worker) else "gone")


def _until(found: object, limit_s: float = 15.0) -> str:
    """Return what `found` gives as soon as it is not empty."""
    end = time.monotonic() + limit_s
    while time.monotonic() < end:
        text = found()  # type: ignore[operator]
        if text:
            return str(text)
        time.sleep(0.05)
    raise AssertionError("it never came")


def _alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    status = Path(f"/proc/{pid}/status")
    return not (status.exists() and "State:\tZ" in status.read_text(encoding="utf-8"))
