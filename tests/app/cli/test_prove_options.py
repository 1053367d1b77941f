"""What ``prove`` is told by options, what it takes for granted, and what it carries over from a first program."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from support.shop.shop import dxf

Capture = pytest.CaptureFixture[str]
MACHINE = ["--machine", "contact-float-mm"]


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
    space.add_circle((50, 30), 10)


def with_small(space) -> None:
    plate(space)
    space.add_circle((20, 20), 2)
    space.add_circle((80, 20), 6, dxfattribs={"layer": "WELDED"})


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    monkeypatch.chdir(tmp_path)
    Path("plate.dxf").write_bytes(dxf(plate))
    assert main(["cut", "plate.dxf", "-o", "own.nc", *MACHINE]) == 0
    text = Path("own.nc").read_text(encoding="ascii")
    Path("f.nc").write_text("".join(x for x in text.splitlines(True) if not x.startswith("(")), encoding="ascii")
    capsys.readouterr()


def told(capsys: Capture, *words: str) -> tuple[int, str]:
    code = main(list(words))
    out, err = capsys.readouterr()
    return code, out + err


def test_a_program_that_names_no_machine_is_told_which_one_it_was_judged_on(capsys: Capture) -> None:
    _, out = told(capsys, "prove", "f.nc", "--drawing", "plate.dxf")
    assert "note: machine-assumed" in out and "it was judged on contact-float-inch (" in out
    assert "name another one with --machine" in out
    assert "machine-assumed" not in told(capsys, "prove", "f.nc", "--drawing", "plate.dxf", *MACHINE)[1]
    assert "machine-assumed" not in told(capsys, "prove", "own.nc")[1]
    text = Path("own.nc").read_text(encoding="ascii").replace("machine: contact-float-mm", "machine: gone")
    text = text.replace("machine = contact-float-mm", "machine = gone")
    Path("gone.nc").write_text(text, encoding="ascii")
    assert "for machine gone, which is not known here: it was judged on" in told(capsys, "prove", "gone.nc")[1]


def test_where_the_zero_lies_is_believed_or_refused(capsys: Capture) -> None:
    words = ["prove", "f.nc", "--drawing", "plate.dxf", *MACHINE]
    at = next(x for x in told(capsys, *words)[1].splitlines() if "the drawing's zero lies at" in x)
    x, y = at.split(" at ")[1].split(" mm")[0].split(", ")
    code, out = told(capsys, *words, "--at", f"{x},{y} mm")
    assert code == 0 and out.startswith("PROVEN: ") and "drawing-found" not in out
    code, out = told(capsys, *words, "--at", "0,0 mm")
    assert code == 1 and "error: shifted" in out
    code, out = told(capsys, "prove", "own.nc", "--at", "1,1 mm")
    assert code == 2 and "the heading of this program says where its drawings lie" in out
    code, out = told(capsys, "prove", "f.nc", *MACHINE, "--at", "1,1 mm")
    assert code == 2 and "there is no drawing to lay there" in out


def test_set_changes_the_plate_as_the_options_do(capsys: Capture) -> None:
    words = ["prove", "f.nc", "--drawing", "plate.dxf", *MACHINE]
    by_option = told(capsys, *words, "--thickness", "6 mm")
    assert told(capsys, *words, "--set", "thickness=6 mm") == by_option and by_option[0] == 1
    assert "made for    mild steel 6 mm" in by_option[1]
    assert told(capsys, *words, "--set", "job.kerf=1.9 mm") == told(capsys, *words, "--kerf", "1.9 mm")
    assert "light-delay-short" in told(capsys, *words, "--set", "machine.torch.light_delay=0.6s")[1]


def test_what_tells_why_nothing_was_compared_is_told_once(capsys: Capture) -> None:
    Path("alone").mkdir()
    shutil.copy("own.nc", "alone/own.nc")
    _, out = told(capsys, "prove", "alone/own.nc")
    assert "drawing-missing" in out and "not-compared" not in out
    assert told(capsys, "resume", "own.nc", "--from-cut", "2", "--at", "50 mm", "-o", "rest.nc")[0] == 0
    shutil.copy("rest.nc", "alone/rest.nc")
    Path("alone/own.nc").unlink()
    _, out = told(capsys, "prove", "alone/rest.nc")
    assert "first-missing" in out and "not-compared" not in out
    assert "not-compared" in told(capsys, "prove", "f.nc", *MACHINE)[1], "where nothing else tells it"


def test_what_is_not_cut_of_the_drawing_is_told_of_the_rest_of_a_program_too(capsys: Capture) -> None:
    Path("small.dxf").write_bytes(dxf(with_small))
    words = ["--small-holes", "drill", "--layers", "0"]
    assert told(capsys, "cut", "small.dxf", "-o", "small.nc", *MACHINE, *words)[0] == 0
    _, first = told(capsys, "prove", "small.nc")
    assert told(capsys, "resume", "small.nc", "--from-cut", "2", "--at", "50 mm", "-o", "rest.nc")[0] == 0
    code, out = told(capsys, "prove", "rest.nc")
    assert code == 0 and out.startswith("PROVEN WITH WARNINGS: rest.nc against small.dxf after what small.nc cut")
    for rule in ("hole-to-drill", "chosen-not-cut"):
        assert f"warning: {rule}" in first and f"warning: {rule}" in out
    assert "it lies on layer WELDED and measures" in out
    assert "mm of the drawing)" in out


def test_a_small_hole_that_is_marked_for_the_drill_is_what_was_asked_for(capsys: Capture) -> None:
    Path("small.dxf").write_bytes(dxf(with_small))
    words = ["cut", "small.dxf", "-o", "m.nc", *MACHINE, "--drill-marks", "cross", "--drill-below"]
    code, out = told(capsys, *words, "12 mm")
    assert code == 0 and "chosen-not-cut" not in out and "1 place to drill is marked by a small cross" in out
    assert "1 hole to drill, left out: 1 of 4 mm" in out  # no room for a cross
    code, out = told(capsys, *words, "5 mm")
    assert code == 0 and "to drill is marked" not in out
    code, out = told(capsys, *words, "20 mm")
    assert code == 0 and "warning: 1 closed contour on or near the parts is drawn and not cut as drawn" in out


def test_a_strangers_first_program_is_read_for_the_machine_of_its_rest(capsys: Capture) -> None:
    words = ["resume", "f.nc", "--from-cut", "2", "--at", "50 mm", "-o", "rest.nc", "--drawing", "plate.dxf"]
    assert told(capsys, *words, *MACHINE, "--thickness", "3 mm")[0] == 0
    code, out = told(capsys, "prove", "rest.nc", "--drawing", "plate.dxf")
    assert code == 0 and "rest.nc against plate.dxf after what f.nc cut" in out
    assert "contact-float-inch" not in out
