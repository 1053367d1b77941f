from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from ezdxf.layouts.layout import Modelspace

from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from support.shop.shop import dxf

DRAWINGS = Path(__file__).resolve().parents[3] / "resources" / "kerfproof_resources" / "drawings"
GUSSET = str(DRAWINGS / "gusset.dxf")
Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capture) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")
    assert main(["cut", GUSSET, "-o", "gusset.nc"]) == 0
    capsys.readouterr()


def text() -> str:
    return Path("gusset.nc").read_text(encoding="ascii")


def test_a_written_program_is_proven_again_from_its_heading(capsys: Capture) -> None:
    assert main(["prove", "gusset.nc", "--drawing", GUSSET]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN: gusset.nc against gusset.dxf\n")
    assert "mild steel 3 mm (0.118 in), kerf 1.45 mm (0.057 in)" in out
    assert "assumed" not in out


@pytest.mark.parametrize("thickness", ["1/8 in", "3/16 in", "1/4 in", "16 ga"])
def test_plate_between_two_rows_of_the_chart_is_proven_again(thickness: str, capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "between.nc", "--thickness", thickness]) == 0
    capsys.readouterr()
    assert main(["prove", "between.nc", "--drawing", GUSSET]) == 0
    assert capsys.readouterr().out.startswith("PROVEN")


@pytest.mark.parametrize("words", [["--turn", "90"], ["--mirror"], ["--origin", "drawing"], ["--kerf", "2 mm"]])
def test_what_was_chosen_for_the_cut_is_known_to_the_proof(words: list[str], capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "chosen.nc", *words]) == 0
    assert main(["prove", "chosen.nc", "--drawing", GUSSET]) == 0
    assert "\nPROVEN: chosen.nc" in capsys.readouterr().out


def test_several_drawings_copies_and_holes_left_for_the_drill_are_all_compared(capsys: Capture) -> None:
    flange = str(DRAWINGS / "pump-flange.dxf")
    words = ["--plate", "40x40 in", "--small-holes", "drill", "--set", "machine.torch.preload=1 mm"]
    assert main(["cut", GUSSET, flange, GUSSET, "-o", "many.nc", *words]) == 0
    text = Path("many.nc").read_text(encoding="ascii")
    assert main(["prove", "many.nc", "--drawing", GUSSET, "--drawing", flange, *words[-2:]]) == 0
    out = capsys.readouterr().out
    assert "against gusset.dxf and pump-flange.dxf" in out
    assert "surplus" not in out
    lines = text.splitlines(keepends=True)
    last = max(k for k, line in enumerate(lines) if line.startswith("(cut "))
    Path("short.nc").write_text("".join(lines[:last]) + "M5\nM2\n", encoding="ascii")
    assert main(["prove", "short.nc", "--drawing", GUSSET, "--drawing", flange, *words[-2:]]) == 1


def test_marks_are_nothing_to_drill_and_what_lies_round_a_drilled_hole_is_compared_all_the_same(
    capsys: Capture,
) -> None:
    def washer(space: Modelspace) -> None:
        space.add_circle((0, 0), 30)
        space.add_circle((0, 0), 1.5)
        space.add_circle((0, 0), 20, dxfattribs={"layer": "ENGRAVE"})

    Path("washer.dxf").write_bytes(dxf(washer))
    assert main(["cut", "washer.dxf", "-o", "washer.nc", "--small-holes", "drill"]) == 0
    assert re.search(r"to drill    hole 1 D3 at X\S+ Y\S+\n", capsys.readouterr().out)
    assert Path("washer.nc").read_text().count("left-out = ") == 1
    assert main(["prove", "washer.nc"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS: washer.nc against washer.dxf\n")
    assert "warning: hole-to-drill" in out and "1 warning" in out, "as cut says it, and nothing else"


def test_several_drawings_in_a_program_that_says_nothing_are_each_found(capsys: Capture) -> None:
    flange = str(DRAWINGS / "pump-flange.dxf")
    assert main(["cut", GUSSET, flange, GUSSET, "-o", "many.nc", "--plate", "40x40 in"]) == 0
    text = Path("many.nc").read_text(encoding="ascii")
    bare = "".join(line for line in text.splitlines(keepends=True) if "proof:" not in line)
    Path("bare.nc").write_text(bare, encoding="ascii")
    capsys.readouterr()
    assert main(["prove", "bare.nc", "--drawing", flange, "--drawing", GUSSET]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS: bare.nc against pump-flange.dxf and gusset.dxf\n")
    assert "warning: layer-ignored" in out and "1 warning" in out, "cut warns of that layer, too"
    assert out.count("the zero of drawing 1 lies at") == 1 and out.count("the zero of drawing 2 lies at") == 2
    other = str(DRAWINGS / "sluice-sheet.dxf")
    assert main(["prove", "bare.nc", "--drawing", flange, "--drawing", GUSSET, "--drawing", other]) == 1
    out = capsys.readouterr().out
    assert "drawing 3 of 3 is found nowhere in the program" in out and "gouge" not in out


def test_a_drawing_given_twice_is_wanted_twice_and_two_of_one_name_are_two(capsys: Capture) -> None:
    def holed(*at: float):  # type: ignore[no-untyped-def]
        def draw(space):  # type: ignore[no-untyped-def]
            space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
            for x in at:
                space.add_circle((x, 30), 10)

        return draw

    for side, at in (("left", (20.0,)), ("right", (70.0,))):
        Path(side).mkdir()
        Path(side, "part.dxf").write_bytes(dxf(holed(*at)))
    left, right = (str(Path(side, "part.dxf")) for side in ("left", "right"))
    Path("a.dxf").write_bytes(Path(left).read_bytes())
    Path("b.dxf").write_bytes(Path(right).read_bytes())
    assert main(["cut", "a.dxf", "b.dxf", "a.dxf", "-o", "three.nc", "--plate", "20x20 in"]) == 0
    lines = Path("three.nc").read_text(encoding="ascii").splitlines(keepends=True)
    Path("bare.nc").write_text("".join(line for line in lines if "proof:" not in line), encoding="ascii")
    for files in ((left, right), (right, left, left), (left, left, right)):
        words = [word for file in files for word in ("--drawing", file)]
        assert main(["prove", "bare.nc", *words]) == 0, capsys.readouterr().out
    capsys.readouterr()
    assert main(["prove", "bare.nc", "--drawing", left, "--drawing", right, "--drawing", right]) == 1
    assert "feature-not-cut" in capsys.readouterr().out, "nowhere are there two of the right one"
    assert main(["prove", "bare.nc", "--drawing", left]) == 1, "the holes of the other are cut where none is drawn"


def test_a_drawing_that_the_heading_does_not_name_is_told(capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "one.nc"]) == 0
    capsys.readouterr()
    assert main(["prove", "one.nc", "--drawing", GUSSET, "--drawing", str(DRAWINGS / "pump-flange.dxf")]) == 0
    out = capsys.readouterr().out
    assert "drawing-missing" in out and "the heading does not name pump-flange.dxf, so it was not compared" in out


def test_a_drawing_is_told_from_the_others_of_the_heading_by_its_bytes_and_its_name(capsys: Capture) -> None:
    def square(size: float):  # type: ignore[no-untyped-def]
        return lambda space: space.add_lwpolyline([(0, 0), (size, 0), (size, size), (0, size)], close=True)

    Path("mm.dxf").write_bytes(dxf(square(60)))
    Path("inch.dxf").write_bytes(dxf(square(2), 1))
    assert main(["cut", "mm.dxf", "inch.dxf", "-o", "two.nc", "--plate", "12x12 in"]) == 0
    capsys.readouterr()
    assert main(["prove", "two.nc", "--drawing", "inch.dxf"]) == 0, "the other lies beside the program"
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS: two.nc against mm.dxf and inch.dxf\n")
    assert "warning: units-contradict" in out and "1 warning" in out, "cut says so, too"
    Path("inch.dxf").rename("renamed.dxf")
    assert main(["prove", "two.nc", "--drawing", "renamed.dxf", "--drawing", "mm.dxf"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS: two.nc against mm.dxf and renamed.dxf\n") and "1 warning" in out
    assert main(["prove", "two.nc", "--drawing", "mm.dxf"]) == 0
    out = capsys.readouterr().out
    assert "the heading names inch.dxf too, which was not given" in out
    assert "drawing-changed" not in out and "off-plate" not in out


@pytest.mark.parametrize("mode", ["dry", "frame", "tour"])
def test_a_program_without_an_arc_is_not_said_to_cut(mode: str, capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "raised.nc", f"--{mode}"]) == 0
    capsys.readouterr()
    assert main(["prove", "raised.nc", "--drawing", GUSSET]) == 0
    out = capsys.readouterr().out
    assert out.startswith(f"PROVEN: raised.nc lights no torch and stays raised ({mode} of gusset.dxf)\n")
    assert "kerf" not in out and "arc failing" not in out
    burning = text().replace("(proof: mode = cut)", f"(proof: mode = {mode})")
    Path("burning.nc").write_text(burning, encoding="ascii")
    assert main(["prove", "burning.nc", "--drawing", GUSSET]) == 1
    out = capsys.readouterr().out
    assert out.startswith(f"NOT PROVEN: burning.nc should light no torch and stay raised ({mode} of gusset.dxf)\n")


def test_the_drawing_beside_the_program_is_found_and_its_absence_told(capsys: Capture) -> None:
    assert main(["prove", "gusset.nc"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS, BY RULES ALONE: gusset.nc, compared with no drawing\n")
    assert "drawing-missing" in out
    shutil.copy(GUSSET, "gusset.dxf")
    assert main(["prove", "gusset.nc"]) == 0
    assert capsys.readouterr().out.startswith("PROVEN: gusset.nc against gusset.dxf")


def test_a_changed_drawing_and_a_changed_machine_are_told(capsys: Capture) -> None:
    drawing = Path(GUSSET).read_bytes().replace(b"SLUICE FRAME", b"SLUICE GATE!")
    Path("gusset.dxf").write_bytes(drawing)
    assert main(["prove", "gusset.nc", "--set", "machine.torch.arc_out=0.4 s"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS")
    assert "warning: drawing-changed" in out
    assert "warning: other-machine" in out


def test_a_moved_pierce_is_not_proven(capsys: Capture) -> None:
    at = re.search(r"^G0 X([\d.]+) Y", text(), re.MULTILINE)
    assert at is not None
    Path("bad.nc").write_text(text().replace(at[0], f"G0 X{float(at[1]) + 0.4:.5f} Y"), encoding="ascii")
    assert main(["prove", "bad.nc", "--drawing", GUSSET, "--json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert (data["verdict"], data["compared"]) == ("NOT PROVEN", True)
    assert any(finding["severity"] == "error" and finding["line"] for finding in data["findings"])


def test_a_program_without_a_heading_is_proven_with_what_is_given(capsys: Capture) -> None:
    shift = re.search(r"proof: shift = ([\d.]+) ([\d.]+) mm", text())
    assert shift is not None
    bare = "".join(line for line in text().splitlines(keepends=True) if "proof:" not in line)
    Path("bare.nc").write_text(bare, encoding="ascii")
    words = ["prove", "bare.nc", "--drawing", GUSSET, "--thickness", "3 mm", "--material", "mild steel"]
    assert main([*words, "--at", "0,0 mm"]) == 1
    assert "error: shifted" in capsys.readouterr().out
    assert main([*words, "--at", f"{shift[1]},{shift[2]} mm"]) == 0
    assert capsys.readouterr().out.startswith("PROVEN")
    assert main(words) == 0, "without --at its place is found"
    out = capsys.readouterr().out
    assert out.startswith("PROVEN: bare.nc against gusset.dxf")
    x, y = (f"{float(mm) / 25.4:.3f}" for mm in shift.groups())
    assert f"the drawing's zero lies at {x}, {y} in: found from the cut" in out, "an inch machine is told inches"


def test_findings_stand_rule_by_rule_with_their_line_and_a_mark(capsys: Capture) -> None:
    lines = text().splitlines()
    at = [k for k, line in enumerate(lines) if line.startswith("G1 X")]
    lines[at[0]] = "G1 X1.5.5 (edited)"
    lines[at[1]] += " F0.1"
    Path("bad.nc").write_text("\n".join(lines) + "\n", encoding="ascii")
    assert main(["prove", "bad.nc", "--drawing", GUSSET]) == 1
    out = capsys.readouterr().out.splitlines()
    assert out[0] == "NOT PROVEN: bad.nc against gusset.dxf"
    here = out.index("error: unreadable-text")
    assert out[here + 2] == f"{at[0] + 1:>6} | G1 X1.5.5 (edited)"
    assert out[here + 3] == f"{'':7}| {'':7}^", "the mark stands under the second point"
    slow = next(k for k, line in enumerate(out) if line.startswith("error: feed-off-chart"))
    assert out[slow + 2].index("F0.1") == out[slow + 3].index("^")
    assert re.fullmatch(r"\d+ errors?, \d+ warnings?(, \d+ notes?)?", out[-1])
    rank = {"error": 0, "warning": 1, "note": 2}
    order = [rank[line.split(":")[0]] for line in out if line.split(":")[0] in rank]
    assert order == sorted(order)


def test_without_a_drawing_the_pieces_are_told_with_their_holes(capsys: Capture) -> None:
    assert main(["prove", "gusset.nc"]) == 0
    assert "comes free  1 of 7.874 x 5.906 in with 4 holes D0.551 in, 1 hole D1.732 in" in capsys.readouterr().out
    assert main(["prove", "gusset.nc", "--json"]) == 0
    (piece,) = json.loads(capsys.readouterr().out)["pieces"]
    assert [round(v, 2) for v in piece["size_mm"]] == [200.0, 150.0]
    assert sorted(round(h["diameter_mm"], 2) for h in piece["holes"]) == [14.0, 14.0, 14.0, 14.0, 44.0]


def test_a_heading_that_contradicts_the_words_is_told(capsys: Capture) -> None:
    for old, new, said in (
        ("kerf = 1.450", "kerf = 1.600", "the heading says kerf 0.063 in, but the path was made for 0.0571 in"),
        ("feed = 2200", "feed = 1500", "the heading says 59.1 in/min, the fastest cut runs at 86.6 in/min"),
        ("plate = 0.000 0.000 222.900", "plate = 100.000 0.000 222.900", "but a pierce lies at"),
        ("join = 0.05 mm", "join = 50 mm", "closes gaps of up to 1.969 in in the drawing, wider than the kerf"),
    ):
        assert old in text()
        Path("bad.nc").write_text(text().replace(old, new), encoding="ascii")
        main(["prove", "bad.nc", "--drawing", GUSSET])
        out = capsys.readouterr().out
        assert "heading-contradicted" in out and said in out
    slow = text().replace("F86.614", "F36.614")
    Path("bad.nc").write_text(slow, encoding="ascii")
    main(["prove", "bad.nc", "--drawing", GUSSET])
    assert "the heading says 86.6 in/min, this cut runs at 36.6 in/min" in capsys.readouterr().out
    words = text().replace("G20\n", "G21\n")
    Path("bad.nc").write_text(words, encoding="ascii")
    assert main(["prove", "bad.nc", "--drawing", GUSSET]) == 1
    assert "whose programs are in inches, but the words say G21" in capsys.readouterr().out


@pytest.mark.parametrize("kind", ["svg", "png"])
def test_the_picture_shows_what_the_program_does_and_its_findings(kind: str) -> None:
    Path("bad.nc").write_text(text().replace("M5\nG4 P0.3\n", "M5\n", 1), encoding="ascii")
    assert main(["prove", "bad.nc", "--drawing", GUSSET, "--picture", f"p.{kind}"]) == 0
    data = Path(f"p.{kind}").read_bytes()
    if kind == "png":
        assert data.startswith(b"\x89PNG")
        return
    svg = data.decode("utf-8")
    assert "PROVEN WITH WARNINGS" in svg and "callout warning" in svg and "kerf, true width" in svg
    assert main(["prove", "bad.nc", "--picture", "bare.svg"]) == 0
    assert "callout warning" in Path("bare.svg").read_text(encoding="utf-8"), "without the drawing, too"


def test_a_warning_that_the_job_silenced_leaves_one_behind(capsys: Capture) -> None:
    bad = text().replace("M5\nG4 P0.3\n", "M5\n", 1)
    quiet = bad.replace(
        "(proof: join", "(proof: rule = raise-before-arc-out off the supply has a fast relay)\n(proof: join"
    )
    Path("bad.nc").write_text(quiet, encoding="ascii")
    assert main(["prove", "bad.nc", "--drawing", GUSSET]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS:") and "warning: rule-weighed" in out
    assert "1 finding of raise-before-arc-out not told, because: the supply has a fast relay" in out


def test_a_program_beyond_the_limit_is_refused_with_its_length(
    monkeypatch: pytest.MonkeyPatch, capsys: Capture
) -> None:
    monkeypatch.setattr("kerfproof.programs.prove_program.MOST_LINES", 200)
    assert main(["prove", "gusset.nc"]) == 2
    out, err = capsys.readouterr()
    assert out == "" and re.search(r"gusset.nc: the program has \d+ lines, more than 200 can't be proven at once", err)


@pytest.mark.parametrize(
    ("data", "said"),
    [(b"", "empty"), (b"  \n", "empty"), (Path(GUSSET).read_bytes(), "this is a drawing (DXF), not a program")],
)
def test_what_is_no_program_is_refused(data: bytes, said: str, capsys: Capture) -> None:
    Path("x.nc").write_bytes(data)
    assert main(["prove", "x.nc"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    assert len(err.splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "rule"),
    [
        (["--material", "aluminium", "--amps", "50"], "wrong-kerf"),
        (["--thickness", "6 mm", "--amps", "50"], "feed-off-chart"),
        (["--thickness", "1 mm", "--amps", "25"], "wrong-kerf"),
    ],
)
def test_another_plate_than_the_headings_takes_neither_kerf_nor_feed_from_it(
    words: list[str], rule: str, capsys: Capture
) -> None:
    main(["prove", "gusset.nc", "--drawing", GUSSET, *words])
    out = capsys.readouterr().out
    assert not out.startswith("PROVEN:")
    assert f": {rule}" in out and ": heading-contradicted" in out


def test_a_heading_whose_plate_was_changed_by_hand_is_told(capsys: Capture) -> None:
    changed = text().replace("mild steel 3 mm 40 A", "mild steel 6 mm 50 A")
    Path("changed.nc").write_text(changed, encoding="ascii")
    main(["prove", "changed.nc", "--drawing", GUSSET])
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS") and out.count("no one chose another") == 2


def test_a_kerf_and_a_feed_that_were_chosen_are_no_contradiction(capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "chosen.nc", "--kerf", "1.6 mm", "--feed", "2000 mm/min"]) == 0
    capsys.readouterr()
    assert main(["prove", "chosen.nc", "--drawing", GUSSET]) == 0
    assert capsys.readouterr().out.startswith("PROVEN:")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("kerf = 1.450 mm", "kerf = banana", "kerf = banana"),
        ("feed = 2200 mm/min", "feed = 0", "feed = 0"),
        ("material = mild steel 3 mm 40 A", "material = steel", "material = steel"),
        ("mode = cut", "mode = cutt", "mode = cutt"),
        ("shift = 11.4500 11.4500 mm", "shift = here", "shift = here turn 0 deg"),
    ],
)
def test_a_heading_that_cannot_be_read_is_told(old: str, new: str, said: str, capsys: Capture) -> None:
    assert f"(proof: {old}" in text()
    Path("changed.nc").write_text(text().replace(f"(proof: {old}", f"(proof: {new}"), encoding="ascii")
    main(["prove", "changed.nc", "--drawing", GUSSET])
    out = capsys.readouterr().out
    assert not out.startswith("PROVEN:") and f"the heading can't be read where it says {said}" in out
