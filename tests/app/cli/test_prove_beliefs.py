"""What a heading or a comment says takes no finding away: programs that spoil a sheet and say that all is well."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from ezdxf.layouts.layout import Modelspace

from kerfproof import api
from kerfproof.errors import Severity
from kerfproof.gcode.header_lines import heading_lines
from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from kerfproof_app.work.opening import Opening
from kerfproof_app.work.program_document import judged
from kerfproof_resources import drawing_bytes
from support.shop.shop import dxf

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")


def plate(space: Modelspace) -> None:
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    space.add_circle((30, 40), 10)
    space.add_circle((90, 40), 10, dxfattribs={"layer": "HOLES"})


def cut(name: str = "plate", draw=plate, *words: str) -> str:
    """Write a drawing and its program; return the program."""
    Path(f"{name}.dxf").write_bytes(dxf(draw))
    main(["cut", f"{name}.dxf", "-o", f"{name}.nc", *words])
    return Path(f"{name}.nc").read_text(encoding="ascii")


def prove(text: str, capsys: Capture, *words: str, name: str = "said.nc") -> tuple[int, str]:
    """Return exit code and words of the proof of a text, and hold that the window finds the same."""
    Path(name).write_text(text, encoding="ascii")
    capsys.readouterr()
    code = main(["prove", name, *words])
    out = capsys.readouterr().out
    if not words:
        version = Opening((Path(name).resolve(),)).run(lambda stage, share: None)
        found = judged(version, lambda stage, share: None).findings
        told = {f"{f.severity}: {f.rule}" for f in found}
        assert told == {m for m in re.findall(r"^(?:error|warning|note): [\w-]+", out, re.MULTILINE)}
        assert (code == 1) == any(f.severity is Severity.ERROR for f in found)
    return code, out


def said(text: str, *pairs: str) -> str:
    """Return a program with more pairs in its heading."""
    return text.replace("(proof: join", "".join(f"(proof: {pair})\n" for pair in pairs) + "(proof: join", 1)


def without_cut(text: str, number: int) -> str:
    """Return a program without one of its cuts, counted from 1."""
    lines = text.split("\n")
    starts = [k for k, line in enumerate(lines) if line.startswith("(cut ")]
    return "\n".join([*lines[: starts[number - 1]], *lines[starts[number] :]])


# --- what is taken out of the drawing ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "pair",
    ["role = ignore HOLES", "role = mark HOLES", "contour-role = ignore at 100.0000 40.0000 mm of plate.dxf",
     "layer = 0", "drill-marks = pierce 25 mm"],
)  # fmt: skip
def test_a_heading_that_takes_a_hole_out_of_the_drawing_is_no_clean_proof(pair: str, capsys: Capture) -> None:
    words = {"role = ignore HOLES": ["--role", "HOLES=ignore"], "role = mark HOLES": ["--role", "HOLES=mark"],
             "layer = 0": ["--layers", "0"], "drill-marks = pierce 25 mm": ["--drill-below", "25 mm"]}  # fmt: skip
    cut()
    capsys.readouterr()
    for chosen in [words[pair]] if pair in words else []:
        assert main(["cut", "plate.dxf", "-o", "chosen.nc", *chosen]) == 0
        out = capsys.readouterr().out
        (line,) = [line for line in out.split("\n") if "[chosen-not-cut]" in line]
        assert line.startswith("warning: ") and "PROVEN WITH WARNINGS" in out
        code, told = prove(Path("chosen.nc").read_text(), capsys)
        assert code == 0 and told.startswith("PROVEN WITH WARNINGS")
        assert line.removeprefix("warning: ").split(" (")[0] in told, "the same sentence in both"
    lacking = without_cut(Path("plate.nc").read_text(encoding="ascii"), 2)
    assert prove(lacking, capsys)[0] == 1
    if pair.startswith(("role", "contour", "layer")):
        code, out = prove(said(lacking, pair), capsys)
        assert code == 0 and out.startswith("PROVEN WITH WARNINGS") and "warning: chosen-not-cut" in out


def test_a_choice_that_takes_nothing_off_the_parts_changes_no_verdict(capsys: Capture) -> None:
    def with_notes(space: Modelspace) -> None:
        plate(space)
        space.add_line((10, 10), (110, 10), dxfattribs={"layer": "FOLDED"})
        space.add_circle((400, 400), 10, dxfattribs={"layer": "FARAWAY"})

    text = cut("plate", with_notes, "--role", "FOLDED=ignore", "--role", "FARAWAY=ignore")
    code, out = prove(text, capsys)
    assert code == 0 and out.startswith("PROVEN: ") and "chosen-not-cut" not in out


def test_only_holes_for_the_drill_are_left_out(capsys: Capture) -> None:
    text = cut()
    lacking = said(without_cut(text, 2), *[f"left-out = {label}" for label in labels(text)])
    code, out = prove(lacking, capsys)
    assert code == 1 and "error: feature-not-cut" in out


def labels(text: str) -> list[str]:
    """Return the places of both holes as a heading would say that they are left out."""
    shift = re.search(r"shift = (\S+) (\S+) mm", text)
    assert shift is not None
    x, y = float(shift[1]), float(shift[2])
    return [f"hole {k} D20 at {x + at:.3f} {y + 40:.3f} mm" for k, at in ((1, 30), (2, 90))]


# --- what cut says of the drawing ---------------------------------------------------------------------------------


def opened_hole(space: Modelspace) -> None:
    plate(space)
    space.add_lwpolyline([(50, 60), (70, 60), (70, 70), (50, 70), (50, 60.5)])


def second_part_with_a_gap(space: Modelspace) -> None:
    plate(space)
    space.add_lwpolyline([(200, 0), (260, 0), (260, 60), (200, 60), (200, 0.5)])


def crossing(space: Modelspace) -> None:
    plate(space)
    space.add_circle((60, 70), 8)
    space.add_circle((66, 70), 8)


def frozen_hole(space: Modelspace) -> None:
    plate(space)
    space.doc.layers.add("HIDDEN").freeze()
    space.add_circle((60, 40), 8, dxfattribs={"layer": "HIDDEN"})


@pytest.mark.parametrize(
    ("draw", "code", "line"),
    [(opened_hole, 1, "error: open-chain"), (second_part_with_a_gap, 1, "error: open-chain"),
     (crossing, 1, "error: contours-cross"), (frozen_hole, 0, "note: left-out")],
)  # fmt: skip
def test_what_cut_tells_of_a_drawing_is_told_of_a_program_that_is_there_already(
    draw, code: int, line: str, capsys: Capture
) -> None:
    text = cut()
    bare = "".join(one for one in text.splitlines(keepends=True) if "proof:" not in one)
    Path("drawn.dxf").write_bytes(dxf(draw))
    assert prove(bare, capsys, "--drawing", "plate.dxf")[0] == 0
    found, out = prove(bare, capsys, "--drawing", "drawn.dxf")
    assert found == code and line in out
    capsys.readouterr()
    assert main(["cut", "drawn.dxf", "-o", "never.nc"]) == code
    rule = line.split(": ")[1]
    assert f"[{rule}]" in capsys.readouterr().out, "cut says so, too"


def test_how_a_drawing_is_read_can_be_said_for_the_proof(capsys: Capture) -> None:
    text = cut()
    bare = "".join(one for one in text.splitlines(keepends=True) if "proof:" not in one)
    Path("drawn.dxf").write_bytes(dxf(opened_hole))
    assert prove(bare, capsys, "--drawing", "drawn.dxf", "--join", "0.6 mm")[0] == 1, "then it is a hole"

    def scribbled(space: Modelspace) -> None:
        plate(space)
        space.add_lwpolyline([(50, 60), (70, 60), (70, 70), (50, 70), (50, 60.5)], dxfattribs={"layer": "IDEAS"})

    Path("drawn.dxf").write_bytes(dxf(scribbled))
    assert prove(bare, capsys, "--drawing", "drawn.dxf")[0] == 1
    code, out = prove(bare, capsys, "--drawing", "drawn.dxf", "--role", "IDEAS=ignore")
    assert code == 0, out


def test_a_program_of_two_drawings_one_of_which_has_faults_tells_each_fault_once(capsys: Capture) -> None:
    Path("other.dxf").write_bytes(dxf(lambda space: (plate(space), space.add_line((10, 5), (40, 5)))))
    Path("plate.dxf").write_bytes(dxf(plate))
    main(["cut", "plate.dxf", "other.dxf", "other.dxf", "-o", "many.nc", "--plate", "500x500 mm"])
    code, out = prove(Path("many.nc").read_text(), capsys)
    assert code == 0 and out.startswith("PROVEN WITH WARNINGS") and out.count("does not close") == 1


# --- values, verdicts, pieces -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("was", "pairs", "line"),
    [
        (r"\(proof: kerf = [^)]*\)", "(proof: kerf = 3.500 mm chosen)", "warning: far-from-chart"),
        (r"\(proof: kerf = [^)]*\)", "(proof: kerf = 9.000 mm chosen)", "error: far-from-chart"),
        (r"\(proof: feed = [^)]*\)", "(proof: feed = 900 mm/min chosen)", "warning: far-from-chart"),
        (r"\(proof: join", "(proof: pierce-delay = 0 s)\n(proof: join", "warning: far-from-chart"),
    ],
)
def test_values_that_a_heading_calls_chosen_are_judged_by_the_chart(
    was: str, pairs: str, line: str, capsys: Capture
) -> None:
    _, out = prove(re.sub(was, pairs, cut(), count=1), capsys)
    assert line in out and not out.startswith("PROVEN:")


def test_values_chosen_for_the_cut_are_warned_of_alike(capsys: Capture) -> None:
    Path("plate.dxf").write_bytes(dxf(plate))
    assert main(["cut", "plate.dxf", "-o", "slow.nc", "--feed", "1000 mm/min"]) == 0
    first = capsys.readouterr().out
    (sentence,) = [line for line in first.split("\n") if "[far-from-chart]" in line]
    code, out = prove(Path("slow.nc").read_text(), capsys)
    assert code == 0 and sentence.removeprefix("warning: ").split(" ->")[0] in out


def test_a_program_that_says_that_it_is_not_proven_is_not(capsys: Capture) -> None:
    Path("drawn.dxf").write_bytes(dxf(opened_hole))
    assert main(["cut", "drawn.dxf", "-o", "forced.nc", "--force"]) == 1
    text = Path("forced.nc").read_text(encoding="ascii")
    assert text.startswith("(NOT PROVEN - WRITTEN WITH 1 ERROR")
    Path("drawn.dxf").write_bytes(dxf(plate))
    code, out = prove(text, capsys)
    assert code == 1 and "error: says-not-proven" in out


@pytest.mark.parametrize("note", ["this is not proven steel", "NOT PROVEN FOR 4 mm", "stock not proven flat, clamp it"])
def test_a_note_that_holds_the_words_of_the_mark_is_a_note(note: str, capsys: Capture) -> None:
    code, out = prove(f"({note})\n" + cut(), capsys)
    assert code == 0 and "says-not-proven" not in out


@pytest.mark.parametrize("mode", ["cut", "dry", "touch", "frame"])
@pytest.mark.parametrize("drawn", [True, False])
def test_a_program_cut_off_within_its_heading_is_none(mode: str, drawn: bool, capsys: Capture) -> None:
    text = cut()
    if not drawn:
        Path("plate.dxf").unlink()
    lines = text.replace("(proof: mode = cut)", f"(proof: mode = {mode})").split("\n")
    last = max(k for k, line in enumerate(lines) if line.startswith("(proof: join"))
    for end in (last - 4, last, last + 2, last + 7):
        code, out = prove("\n".join(lines[:end]) + "\n", capsys)
        assert code == 1 and "error: nothing-done" in out


def test_a_program_whose_cuts_are_gone_is_none(capsys: Capture) -> None:
    text = cut()
    Path("plate.dxf").unlink()
    code, out = prove(re.sub(r"(?m)^M3.*\n", "", text), capsys)
    assert code == 1 and "error: nothing-done" in out


def test_a_heading_makes_less_of_no_error(capsys: Capture) -> None:
    lacking = without_cut(cut(), 2)
    for rule in ("feature-not-cut", "says-not-proven", "far-from-chart", "chosen-not-cut", "rule-weighed"):
        lacking = said(lacking, f"rule = {rule} off it is meant")
    code, out = prove("(NOT PROVEN)\n" + lacking, capsys)
    assert code == 1 and "error: feature-not-cut" in out and "error: says-not-proven" in out
    assert "only the machine file may make less of an error" in out


EXCUSES = ["gouge", "metal-left", "feature-not-cut", "not-free", "wrong-side", "light-delay-short", "feature-differs"]


@pytest.mark.parametrize("kind", ["start", "hole", "feed"])
@pytest.mark.parametrize("spoil", ["gouge", "hole not cut", "no light delay"])
def test_a_spoiled_part_that_says_it_is_a_test_piece_is_none(kind: str, spoil: str, capsys: Capture) -> None:
    text = cut("plate", plate, "--machine", "contact-float-mm")
    if spoil == "gouge":  # the first arc of a hole, half a millimetre larger
        text = re.sub(r"(?m)^(G3 X)(-?[\d.]+)", lambda m: f"{m[1]}{float(m[2]) + 0.5:.4f}", text, count=1)
    elif spoil == "hole not cut":
        text = without_cut(text, 1)
    else:
        text = text.replace("G4 P0.4\n", "")
    # What anybody can work out: the digest of the words, written beside the rules that it is to excuse.
    words = "".join(re.sub(r"\([^()\n]*\)", "", text).split())
    facts = {"kind": kind, "meant": EXCUSES, "words": api.digest(words.encode())}
    lines = "\n".join(heading_lines([("coupon", json.dumps(facts, separators=(",", ":")))]))
    code, out = prove(text.replace("(proof: join", f"{lines}\n(proof: join", 1), capsys)
    assert code == 1 and out.startswith("NOT PROVEN") and "meant: " not in out


@pytest.mark.parametrize("mark", ["\x0c", "\x0b", "\x1c", "\x85", "\u2028", "\u2029"])
def test_what_is_no_end_of_a_line_moves_no_finding(mark: str, capsys: Capture) -> None:
    lines = cut().split("\n")
    off = next(k for k, line in enumerate(lines) if line.startswith("M5") and k > 40)
    lines[off - 1] += "\nG4 P1.5"
    lines[3] += f" (a{mark}b)"
    lines = [line for line in lines if line not in ("M2", "M30")]
    told = []
    for name, text in (("marked.nc", "\n".join(lines)), ("plain.nc", "\n".join(lines).replace(mark, " "))):
        Path(name).write_text(text, encoding="utf-8")
        capsys.readouterr()
        main(["prove", name, "--json"])
        found = json.loads(capsys.readouterr().out)["findings"]
        told.append({(f["rule"], f["line"]) for f in found if f["rule"] not in ("text-not-plain", "unreadable-text")})
    assert ("dwell-in-cut", off + 1) in told[1]
    assert told[0] == told[1]


@pytest.mark.parametrize("demo", ["gusset", "pump-flange", "sluice-sheet"])
@pytest.mark.parametrize("words", [[], ["--machine", "contact-float-mm", "--rests", "stop"], ["--tabs", "3"]])
def test_a_program_is_judged_as_it_was_when_it_was_cut(demo: str, words: list[str], capsys: Capture) -> None:
    Path(f"{demo}.dxf").write_bytes(drawing_bytes(demo))
    assert main(["cut", f"{demo}.dxf", "-o", "demo.nc", *words]) == 0
    told = capsys.readouterr().out
    code, out = prove(Path("demo.nc").read_text(encoding="ascii"), capsys)
    assert code == 0
    assert out.split(":")[0] == re.findall(r"^PROVEN[A-Z ]*", told, re.MULTILINE)[0]
    warned = set(re.findall(r"^warning: .*\[([\w-]+)\]$", told, re.MULTILINE))
    assert set(re.findall(r"^warning: ([\w-]+)", out, re.MULTILINE)) == warned
