from __future__ import annotations

import contextlib
import csv
import errno
import io
import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from kerfproof_app.__main__ import main
from kerfproof_app.batch import run as batching
from kerfproof_app.batch.done_before import NAME
from kerfproof_app.batch.result import Result, State
from kerfproof_app.cli.common import batch_order
from kerfproof_app.cli.common.progress import Progress
from kerfproof_app.shop import store
from kerfproof_app.shop.tip_usage import DATA_VARIABLE, TipLife
from support.app.batches import Inline, everything, plate, put

Capture = pytest.CaptureFixture[str]
SHOP = ["--machine", "contact-float-mm", "--material", "mild steel", "--thickness", "3 mm", "--small-holes", "error"]
REPORTS = [f"kerfproof-report.{ending}" for ending in ("csv", "html", "json")]


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    (tmp_path / "work" / "in").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "work")


@pytest.fixture
def inline(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(batching, "Pool", Inline)


def cut(*words: str, folder: str = "in", out: str = "out") -> int:
    return main(["batch", folder, "-o", out, *SHOP, *words])


def some_drawings(count: int = 6) -> None:
    for k in range(count):
        put(Path("in", f"sub {k % 2}", f"{k}.dxf"), plate(16.0 + k))


@pytest.mark.usefixtures("inline")
def test_the_table_tells_how_each_ended_and_the_report_holds_it(capsys: Capture) -> None:
    put(Path("in/good.dxf"))
    put(Path("in/hole.dxf"), plate(3.0))
    put(Path("in/rubbish.dxf"), b"rubbish")
    assert cut() == 2
    out, err = capsys.readouterr()
    assert err == ""
    assert re.search(r"^good.dxf +proven +100 x 60 mm +2 +0\.4\d m +\d+ s$", out, re.MULTILINE)
    assert re.search(r"^hole.dxf +refused ", out, re.MULTILINE)
    assert re.search(r"^rubbish.dxf: .*DXF", out, re.MULTILINE)
    for line in ("    1  proven", "    0  proven with warnings", "    1  refused", "    1  unreadable"):
        assert f"\n{line}\n" in out
    assert not re.search(r"^ *\d+  failed$", out, re.MULTILINE)
    assert out.isascii()
    assert sorted(everything(Path("out"))) == [NAME, "good.nc", *REPORTS]
    data = json.loads(Path("out/kerfproof-report.json").read_text(encoding="utf-8"))
    assert [d["result"] for d in data["drawings"]] == ["proven", "refused", "unreadable"]
    text = Path("out/kerfproof-report.csv").read_text(encoding="utf-8-sig")
    assert [row["result"] for row in csv.DictReader(io.StringIO(text))] == ["proven", "refused", "unreadable"]
    page = Path("out/kerfproof-report.html").read_text(encoding="utf-8")
    assert page.count("<svg ") == 2
    assert "in: 3 drawings" in page


@pytest.mark.usefixtures("inline")
def test_a_report_that_can_not_be_written_is_told_and_never_promised(
    monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    put(Path("in/a.dxf"))
    assert cut() == 0
    assert f"report    {Path('out/kerfproof-report')}.html, .csv, .json\n" in capsys.readouterr().out
    replace = store._replace

    def full(target: Path, data: bytes) -> None:
        if target.suffix == ".html":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        replace(target, data)

    monkeypatch.setattr(store, "_replace", full)
    assert cut() == 2
    out, err = capsys.readouterr()
    assert f"report    {Path('out/kerfproof-report')}.csv, .json\n" in out
    said = "can't be written: no space left on device; the one that lies there is of an earlier run"
    assert err == f"kerfproof: {Path('out/kerfproof-report')}.html: {said}\n"


@pytest.mark.usefixtures("inline")
@pytest.mark.parametrize(("holes", "code"), [([20.0], 0), ([20.0, 3.0], 1), ([3.0, 0.0], 2)])
def test_the_exit_code_is_the_worst_that_cutting_them_one_by_one_would_give(holes: list[float], code: int) -> None:
    for k, hole in enumerate(holes):
        put(Path(f"in/{k}.dxf"), plate(hole) if hole else b"rubbish")
    alone = [main(["cut", f"in/{k}.dxf", "-o", "one.nc", *SHOP]) for k in range(len(holes))]
    assert max(alone) == code
    assert cut() == code


@pytest.mark.usefixtures("inline")
def test_the_tally_is_a_sum_that_adds_up(capsys: Capture) -> None:
    for name in ("good.dxf", "sub/other.dxf", "draft 1.dxf", "draft 2.dxf"):
        put(Path("in", name))
    put(Path("in/hole.dxf"), plate(3.0))
    put(Path("in/rubbish.dxf"), b"rubbish")
    Path("in/kerfproof.toml").write_text('format = 1\nskip = ["draft*"]\n')
    cut()
    out = capsys.readouterr().out
    (line,) = (line.strip() for line in out.splitlines() if "drawings = " in line)
    assert line == "6  drawings = 2 written + 2 refused + 0 failed + 2 skipped; 4 done now"
    assert len(everything(Path("in"))) - 1 == 6
    found = json.loads(Path("out/kerfproof-report.json").read_bytes())
    assert found["skipped"] == ["draft 1.dxf", "draft 2.dxf"]
    assert sum(found["counts"].values()) + len(found["skipped"]) == 6


@pytest.mark.usefixtures("inline")
def test_json_goes_to_standard_output_alone(capsys: Capture) -> None:
    put(Path("in/a.dxf"))
    assert cut("--json") == 0
    data = json.loads(capsys.readouterr().out)
    assert data["counts"]["proven"] == 1
    assert data == json.loads(Path("out/kerfproof-report.json").read_text(encoding="utf-8"))


@pytest.mark.usefixtures("inline")
def test_a_tip_that_will_not_last_for_all_programs_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    monkeypatch.setenv(DATA_VARIABLE, str(tmp_path / "data"))
    some_drawings(3)  # of 2 starts each or so; a tip lasts 100 on this plate
    assert cut() == 0
    assert "tip:" not in capsys.readouterr().err
    TipLife.of_person().count("contact-float-mm", "2030-05-01", "x.nc", "0", 98, 300.0, 100)
    assert cut() == 0  # nothing is done again, the warning comes all the same
    told = capsys.readouterr().err
    assert re.search(r"tip: all programs for contact-float-mm take \d+% of a tip's life, 98% is used: have one", told)


@pytest.mark.usefixtures("inline")
def test_what_nobody_chose_is_told(capsys: Capture) -> None:
    put(Path("in/a.dxf"))
    assert main(["batch", "in", "-o", "out"]) == 0
    told = "assumed   mild steel 3 mm for 1 of them (say otherwise with --material and --thickness)"
    assert told in capsys.readouterr().out


@pytest.mark.usefixtures("inline")
def test_the_words_of_the_command_reach_the_program(capsys: Capture) -> None:
    put(Path("in/a.dxf"), plate(4.0, unit=0))
    words = ["--small-holes", "drill", "--units", "mm", "--kerf", "1.8 mm", "--count", "2", "--turn", "90"]
    words += ["--feed", "60 in/min", "--lead-in", "4 mm", "--plate", "400x300 mm", "--join", "0.1 mm", "--amps", "40"]
    assert cut(*words) == 0
    text = Path("out/a.nc").read_text(encoding="ascii")
    for told in (
        "kerf = 1.800 mm",
        "feed = 1524 mm/min",
        "40 A",
        "turn 90 deg",
        "join = 0.1 mm",
        "plate = 0.000 0.000",
    ):
        assert told in text, told
    data = json.loads(Path("out/kerfproof-report.json").read_text(encoding="utf-8"))["drawings"][0]
    assert (data["count"], data["parts"]) == (2, 2)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--thickness", "thick"], "--thickness"),
        (["--kerf", "2"], "--kerf"),
        (["--order", "random"], "--order"),
        (["--names", "{stuff}"], "--names"),
        (["--limit", "0 s"], "--limit"),
        (["--limit", "soon"], "--limit"),
        (["--units", "furlong"], "--units"),
        (["--turn", "left"], "--turn"),
        (["--role", "A=burn"], "--role"),
        (["--page", "fold"], "--page"),
        (["--drill-marks", "star"], "--drill-marks"),
        (["--drill-below", "4"], "--drill-below"),
        (["--rests", "sleep"], "--rests"),
    ],
)
def test_wrong_words_are_refused_by_name_before_any_work(words: list[str], said: str, capsys: Capture) -> None:
    put(Path("in/a.dxf"))
    assert main(["batch", "in", "-o", "out", *words]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == 1
    assert said in err
    assert not Path("out").exists()


def test_folders_that_hold_nothing_are_one_clear_line(capsys: Capture) -> None:
    put(Path("notes/a.txt"), b"")
    put(Path("file"), b"")
    for folder, said in (("in", "empty"), ("notes", "no drawing"), ("no", "no such folder"), ("file", "no folder")):
        assert cut(folder=folder) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert said in err
        assert len(err.splitlines()) == 1
    assert not Path("out").exists()


@pytest.mark.usefixtures("inline")
def test_an_output_folder_that_is_a_file_is_refused(capsys: Capture) -> None:
    put(Path("in/a.dxf"))
    put(Path("out"), b"precious")
    assert cut() == 2
    assert "no folder" in capsys.readouterr().err
    assert Path("out").read_bytes() == b"precious"


# --- with processes -----------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_bytes_and_the_order_do_not_depend_on_how_many_processes_there_are(capsys: Capture) -> None:
    some_drawings(3)
    put(Path("in/hole.dxf"), plate(3.0))
    put(Path("in/rubbish.dxf"), b"rubbish")
    told = []
    for count in ("1", "2"):
        assert cut("--processes", count, out=f"out{count}") == 2
        told.append(capsys.readouterr().out.replace(f"out{count}", "out"))
    assert told[0] == told[1]
    assert everything(Path("out1")) == everything(Path("out2"))
    assert len(everything(Path("out1"))) == 3 + 3 + 1


def command(*words: str) -> list[str]:
    return [sys.executable, "-m", "kerfproof_app", "batch", "in", "-o", "out", *SHOP, *words]


def hear_ctrl_c() -> None:
    """Let Ctrl-C reach the new process even where the tests themselves were started with it ignored."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@contextlib.contextmanager
def running(*words: str) -> Iterator[subprocess.Popen[str]]:
    """Run the command in a group of its own, where Ctrl-C reaches its processes too, as from a terminal."""
    pipe = subprocess.PIPE
    run = subprocess.Popen(
        command(*words), stdout=pipe, stderr=pipe, text=True, start_new_session=True, preexec_fn=hear_ctrl_c
    )
    try:
        yield run
    finally:
        run.kill()
        run.communicate()


def until(run: subprocess.Popen[str], found: Callable[[], object], limit_s: float = 30.0) -> None:
    end = time.monotonic() + limit_s
    while not found():
        assert run.poll() is None, run.communicate()
        assert time.monotonic() < end, "it never came"
        time.sleep(0.02)


def programs() -> list[str]:
    return sorted(path.relative_to("out").as_posix() for path in Path("out").rglob("*.nc"))


def nothing_half_written() -> None:
    for name in everything(Path("out")):
        assert not re.search(r"\.kerfproof-[a-z0-9_]{8}$", name), name
    for name in programs():
        assert Path("out", name).read_text(encoding="ascii").rstrip().endswith(("M2", "M30", "%")), name


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="signals differ there")
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL])
def test_a_run_that_is_ended_leaves_whole_programs_and_the_second_run_does_the_rest(how: int) -> None:
    for k in range(12):
        put(Path(f"in/{k:02d}.dxf"), plate(16.0 + k / 4))
    with running("--processes", "2") as run:
        until(run, lambda: Path("out").is_dir() and len(programs()) >= 3)
        (os.kill if how == signal.SIGKILL else os.killpg)(run.pid, how)
        out, err = run.communicate(timeout=30)
    before = programs()
    assert len(before) < 12
    nothing_half_written()
    if how == signal.SIGKILL:
        assert run.returncode == -signal.SIGKILL
    else:
        assert run.returncode == 130
        assert out == f"report    {Path('out/kerfproof-report')}.html, .csv, .json\n"
        assert "Traceback" not in err
        told = re.search(r"^kerfproof: stopped: (\d+) done, (\d+) left", err, re.MULTILINE)
        assert told is not None, err
        done, left = int(told[1]), int(told[2])
        assert done + left == 12
        named = re.findall(r"^  left: (\d\d\.dxf)$", err, re.MULTILINE)
        assert len(named) == left
        report = json.loads(Path("out/kerfproof-report.json").read_bytes())
        assert report["exit_code"] == 130
        assert [d["drawing"] for d in report["drawings"] if d["result"] == "left"] == named
        assert report["counts"]["proven"] == done
    second = subprocess.run(command("--processes", "2"), capture_output=True, text=True, check=False)
    assert second.returncode == 0, second.stderr
    assert second.stderr == ""
    assert len(programs()) == 12
    nothing_half_written()
    found = re.search(r"12  drawings = 12 written \+ 0 refused \+ 0 failed \+ 0 skipped; (\d+) done now", second.stdout)
    assert found is not None
    assert 1 <= int(found[1]) <= 12 - 3 + 2  # what was remembered is not done again


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="signals differ there")
def test_a_worker_that_is_killed_is_told_and_its_drawing_is_cut_all_the_same(tmp_path: Path) -> None:
    some_drawings(6)
    with running("--processes", "1") as run:
        until(run, lambda: Path("out").is_dir() and programs())
        children = Path(f"/proc/{run.pid}/task/{run.pid}/children")
        if not children.exists():
            pytest.skip("this system does not tell the processes of a process")
        for child in children.read_text(encoding="ascii").split():
            if b"spawn_main" in Path(f"/proc/{child}/cmdline").read_bytes():
                os.kill(int(child), signal.SIGKILL)
        out, err = run.communicate(timeout=60)
    assert run.returncode == 0
    assert re.fullmatch(r"sub \d/\d+\.dxf: its process died \(signal SIGKILL\); it is tried once more, alone\n", err), (
        err
    )
    assert "    6  proven\n" in out
    assert len(programs()) == 6


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="signals differ there")
def test_a_watched_folder_turns_what_is_saved_into_it_into_programs_and_no_other_batch_gets_between(
    capsys: Capture,
) -> None:
    with running("--watch", "--processes", "1") as run:
        until(run, lambda: Path("out").is_dir())
        put(Path("in/a.dxf"))
        until(run, lambda: Path("out/kerfproof-report.html").exists())
        before = everything(Path("out"))
        assert cut("--again") == 2
        said = f"kerfproof: out: another batch is writing to this folder (process {run.pid}) (wait"
        assert capsys.readouterr().err.startswith(said)
        assert everything(Path("out")) == before
        run.send_signal(signal.SIGINT)
        out, err = run.communicate(timeout=30)
    assert run.returncode == 0
    assert "\n    1  proven\n" in out
    assert err.splitlines() == ["watching in; Ctrl-C ends it", "no longer watching"]


# --- progress -----------------------------------------------------------------------------------------


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def done(name: str) -> Result:
    return Result(name=name, state=State.PROVEN, code=0)


def test_progress_tells_count_rate_time_left_and_the_present_drawing() -> None:
    now = 0.0
    terminal = Terminal()
    progress = Progress(terminal, lambda: now)
    progress.total(10, 3)
    progress.begins("a.dxf")
    progress.begins("b\n.dxf")
    assert progress.line() == "0/10  a.dxf"
    now = 4.0
    progress.ends(done("a.dxf"))
    progress.begins("c.dxf")
    progress.ends(done("c.dxf"))
    assert progress.line() == "2/10  30.0/min  16 s left  b\ufffd.dxf"
    progress.says("something")
    progress.clear()
    shown = terminal.getvalue()
    assert "\n" not in shown.replace("something\n", "")
    assert shown.endswith("\r")
    assert "something\n" in shown


def test_progress_is_quiet_where_nobody_looks_but_for_what_must_be_said() -> None:
    stream = io.StringIO()
    progress = Progress(stream)
    progress.total(1, 0)
    progress.begins("a.dxf")
    progress.says("something")
    progress.ends(done("a.dxf"))
    progress.clear()
    assert stream.getvalue() == "something\n"


def test_there_is_one_process_for_each_core_unless_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda pid: {0, 2, 5}, raising=False)
    assert batch_order.cores() == 3
    options: dict[str, Any] = dict.fromkeys(
        "machine chart material thickness amps kerf feed units names count origin plate small_holes lead_in order turn "
        "sharp_corners leave_out bridges layers roles join again drill_marks drill_below page rests".split()
    )
    options |= {"folder": "in", "output": "out", "limit": "2 min", "processes": None}
    order = batch_order.order_of(options)
    assert (order.processes, order.limit_s, order.again) == (3, 120.0, False)
    assert batch_order.order_of({**options, "processes": 7}).processes == 7
