"""``kerfproof inspect`` on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from kerfproof_app.__main__ import main
from support.shop.shop import dxf

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


def write(name: str, *circles: tuple[float, float, float], more=None) -> None:
    def draw(space) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        for x, y, r in circles:
            space.add_circle((x, y), r)
        if more is not None:
            more(space)

    Path(name).write_bytes(dxf(draw))


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_a_picture_is_written(ending: str, capsys: Capture) -> None:
    write("p.dxf", (50, 30, 10), more=lambda s: s.add_line((5, 5), (30, 5)))
    assert main(["inspect", "p.dxf", "--picture", f"p.{ending}"]) == 0
    data = Path(f"p.{ending}").read_bytes()
    assert data.startswith(b"<svg" if ending == "svg" else b"\x89PNG")
    assert "1 with 1 hole" in capsys.readouterr().out


@pytest.mark.parametrize(("unit", "told", "gap"), [(4, "0.00, 0.00 mm", "0.41mm"), (1, "0, 0 in", "0.0166in")])
def test_what_is_wrong_is_told_in_the_unit_of_the_drawing(unit: int, told: str, gap: str, capsys: Capture) -> None:
    chain = [(0, 0), (20, 0), (20, 6), (0, 6), (0, 0.4 if unit == 4 else 0.0163)]
    Path("open.dxf").write_bytes(dxf(lambda s: s.add_lwpolyline(chain), unit))
    assert main(["inspect", "open.dxf"]) == 1
    out = capsys.readouterr().out
    assert told in out and f"--join {gap}" in out


def test_a_drawing_without_a_unit_is_told_as_read_in_mm_and_in_inches(capsys: Capture) -> None:
    def bar(space) -> None:  # its corners are 0.04 apart: closed in mm, a millimetre open in inches
        for a, b in (((0, 0), (3, 0)), ((3, 0.04), (3, 1)), ((3, 1), (0, 1)), ((0, 1), (0, 0))):
            space.add_line(a, b)
        space.add_lwpolyline([(10, 0), (14, 0), (14, 2), (10, 2)], close=True)

    Path("p.dxf").write_bytes(dxf(bar, units=0))
    assert main(["inspect", "p.dxf"]) == 1  # the unit has to be given
    out = capsys.readouterr().out
    assert "if mm: 2 with 0 holes" in out and "if in: 1 with 0 holes" in out and "101.6 x 50.8 mm" in out
    main(["inspect", "p.dxf", "--json"])
    told = json.loads(capsys.readouterr().out)["parts_if"]
    assert [p["size_mm"] for p in told["in"]] == [[101.6, 50.8]] and len(told["mm"]) == 2
    main(["inspect", "p.dxf", "--units", "in", "--json"])
    assert "parts_if" not in json.loads(capsys.readouterr().out)


def test_a_picture_never_overwrites_the_drawing(capsys: Capture) -> None:
    write("p.svg")
    before = Path("p.svg").read_bytes()
    assert main(["inspect", "p.svg", "--picture", "p.svg"]) == 2
    assert Path("p.svg").read_bytes() == before


def test_rules_by_colour_and_line_type_are_understood(capsys: Capture) -> None:
    def slit(space) -> None:
        space.add_line((20, 10), (60, 10), dxfattribs={"color": 1})

    write("p.dxf", more=slit)
    assert main(["inspect", "p.dxf", "--role", "color:red=slit"]) == 0
    assert "1 slit" in capsys.readouterr().out
    assert main(["inspect", "p.dxf", "--role", "colour:blue=slit"]) == 0
    assert "nothing is drawn on colour blue" in capsys.readouterr().out
    for wrong in ("red", "color:=slit", "weight:5=cut", "color:red=burn", "=cut"):
        assert main(["inspect", "p.dxf", "--role", wrong]) == 2, wrong
        assert "--role" in capsys.readouterr().err


def test_drill_marks_by_option(capsys: Capture) -> None:
    write("p.dxf", (20, 20, 2.0), (70, 30, 10))
    assert main(["inspect", "p.dxf", "--drill-below", "4 mm"]) == 0
    assert "1 with 1 hole and 1 slit" in capsys.readouterr().out


def test_an_older_version_is_compared(capsys: Capture) -> None:
    write("old.dxf", (20, 30, 5), (50, 30, 8))
    write("new.dxf", (20, 30, 5), (50, 33, 8), (80, 30, 4))
    assert main(["inspect", "new.dxf", "--against", "old.dxf"]) == 0
    out = capsys.readouterr().out
    assert "2 contours as they were" in out
    assert "moved: hole 2 D16 by 0.00, 3.00 mm" in out and "new: hole 3 D8 at 80.00, 30.00" in out
    main(["inspect", "new.dxf", "--against", "old.dxf", "--json"])
    data = json.loads(capsys.readouterr().out)
    assert data["changes"]["kept"] == 2 and data["changes"]["gone"] == []


def test_the_unit_given_is_not_that_of_an_older_drawing_which_says_another(capsys: Capture) -> None:
    def plate(u: float):
        return lambda space: space.add_lwpolyline([(0, 0), (4 * u, 0), (4 * u, 2 * u), (0, 2 * u)], close=True)

    Path("old.dxf").write_bytes(dxf(plate(1.0), units=1))
    Path("new.dxf").write_bytes(dxf(plate(25.4), units=0))
    assert main(["inspect", "new.dxf", "--units", "mm", "--against", "old.dxf"]) == 0
    assert "1 contour as it was" in capsys.readouterr().out
    Path("old.dxf").write_bytes(dxf(plate(25.4), units=0))
    assert main(["inspect", "new.dxf", "--units", "mm", "--against", "old.dxf"]) == 0
    assert "1 contour as it was" in capsys.readouterr().out


def test_errors_in_the_drawing_are_exit_code_1_and_unreadable_files_2(capsys: Capture) -> None:
    write("p.dxf", more=lambda s: s.add_lwpolyline([(200, 0), (250, 50), (250, 0), (200, 50)], close=True))
    assert main(["inspect", "p.dxf"]) == 1
    Path("q.dxf").write_bytes(b"%PDF-1.4")
    assert main(["inspect", "q.dxf"]) == 2
    err = capsys.readouterr().err
    assert "PDF" in err and "Traceback" not in err


def test_many_faults_of_one_kind_are_shortened_so_that_all_kinds_fit_on_a_screen(capsys: Capture) -> None:
    def many(space) -> None:
        for k in range(60):
            space.add_lwpolyline(
                [(200 + 20 * k, 0), (210 + 20 * k, 9), (210 + 20 * k, 0), (200 + 20 * k, 9)], close=True
            )
        for k in range(9):
            space.add_line((5, 5 + 5 * k), (95, 5 + 5 * k))

    write("p.dxf", more=many)
    assert main(["inspect", "p.dxf"]) == 1
    rows = capsys.readouterr().out.splitlines()
    assert len(rows) <= 24
    assert any("does not close" in row for row in rows) and "more like these" in rows[-1]
