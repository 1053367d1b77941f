from __future__ import annotations

import io
import json
import os
import re
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest

from kerfproof_app.__main__ import main
from kerfproof_app.shop import store

DRAWINGS = Path(__file__).resolve().parents[3] / "resources" / "kerfproof_resources" / "drawings"
GUSSET = str(DRAWINGS / "gusset.dxf")
Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")


def drawn(name: str, draw: Callable[[object], None], unit: int = 4) -> str:
    doc = ezdxf.new("R2010", units=unit)
    draw(doc.modelspace())
    stream = io.StringIO()
    doc.write(stream)
    Path(name).write_text(stream.getvalue(), encoding="utf-8")
    return name


STRICT = ["--small-holes", "error"]


def plate(hole: float) -> Callable[[object], None]:
    """Return what draws a plate of 100 x 60 mm with one hole in its middle."""

    def draw(space: object) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)  # type: ignore[attr-defined]
        space.add_circle((50, 30), hole / 2)  # type: ignore[attr-defined]

    return draw


def said(capsys: Capture) -> str:
    """Return the one sentence on standard error, with nothing on standard output."""
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("kerfproof: ")
    assert len(err.splitlines()) == 1, err
    return err


def test_the_demo_command_cuts_the_gusset_and_says_what_it_assumed(capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "gusset.nc", "--picture", "gusset.svg"]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("PROVEN")
    assert "mild steel 3 mm (say otherwise with --material and --thickness)" in out
    assert "1 with 5 holes, 200 x 150 mm (7.874 x 5.906 in)" in out
    assert "6 pierces" in out
    assert "holds for" in out
    assert out.isascii()
    text = Path("gusset.nc").read_bytes().decode("ascii")
    assert text.endswith("\n")
    assert "\r" not in text
    assert len(re.findall(r"^M3\b", text, re.MULTILINE)) == 6
    root = ElementTree.parse("gusset.svg").getroot()
    assert sum(e.get("class") == "pierce" for e in root.iter()) == 6
    assert not err


def test_the_same_words_give_the_same_bytes(capsys: Capture) -> None:
    names = ("nc", "json", "svg")
    for _ in range(2):
        assert main(["cut", GUSSET, "-o", "a.nc", "--report", "a.json", "--picture", "a.svg"]) == 0
        first = {name: Path(f"a.{name}").read_bytes() for name in names}
    assert main(["cut", GUSSET, "-o", "b.nc", "--report", "b.json", "--picture", "b.svg"]) == 0
    assert first == {name: Path(f"b.{name}").read_bytes() for name in names}


def test_what_was_chosen_is_not_assumed(capsys: Capture) -> None:
    words = ["cut", GUSSET, "-o", "a.nc", "--material", "mild steel", "--thickness", "2 mm", "--report", "a.json"]
    assert main(words) == 0
    assert "assumed" not in capsys.readouterr().out
    process = json.loads(Path("a.json").read_text(encoding="utf-8"))["process"]
    assert (process["material"], process["thickness_mm"]) == ("mild steel", 2)


def test_the_persons_own_settings_are_the_defaults(capsys: Capture) -> None:
    folder = store.config_folder()
    folder.mkdir()
    (folder / "settings.toml").write_text(
        'machine = "contact-float-mm"\nmaterial = "aluminium"\nthickness = "2 mm"\n', encoding="utf-8"
    )
    assert main(["cut", GUSSET, "-o", "a.nc", "--report", "a.json"]) == 0
    assert "assumed" not in capsys.readouterr().out
    data = json.loads(Path("a.json").read_text(encoding="utf-8"))
    assert (data["machine"]["name"], data["process"]["material"]) == ("contact-float-mm", "aluminium")


def test_options_reach_the_job(capsys: Capture) -> None:
    words = ["cut", GUSSET, "-o", "a.nc", "--report", "a.json", "--kerf", "0.07 in", "--feed", "50 in/min"]
    words += ["--plate", "12x10 in", "--turn", "90", "--set", "machine.torch.light_delay=0.9 s"]
    assert main(words) == 0
    data = json.loads(Path("a.json").read_text(encoding="utf-8"))
    assert data["process"]["kerf_mm"] == pytest.approx(1.778)
    assert data["process"]["feed_mm_min"] == pytest.approx(1270)
    assert data["program"]["plate_mm"] == pytest.approx([304.8, 254.0])
    assert data["drawing"]["size_mm"] == pytest.approx([150, 200], abs=1e-6)
    assert (
        main(
            [
                "cut",
                GUSSET,
                "-o",
                "b.nc",
                "--kerf",
                "0.07 in",
                "--feed",
                "50 in/min",
                "--plate",
                "12x10 in",
                "--turn",
                "90",
            ]
        )
        == 0
    )
    assert Path("a.nc").read_bytes() != Path("b.nc").read_bytes()


def test_a_drawing_named_twice_is_cut_twice(capsys: Capture) -> None:
    assert main(["cut", drawn("p.dxf", plate(20)), "p.dxf", "-o", "a.nc"]) == 0
    assert "2 with 2 holes" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (["--kerf", "2"], "--kerf"),
        (["--kerf", "-1 mm"], "--kerf"),
        (["--feed", "0 mm/min"], "--feed: '0 mm/min' must be more than 0"),
        (["--feed", "0.001 mm/min"], "at least 1 mm/min"),
        (["--feed", "0"], '--feed: 0 needs a unit, for example "1 in/min" or "1 mm/min"'),
        (["--amps", "-5"], "--amps: '-5' must be more than 0"),
        (["--amps", "0"], "--amps: '0' must be more than 0"),
        (["--set", "machine.torch.light_delay=-1s"], "--set: machine.torch.light_delay: "),
        (["--set", "machine.torch.nope=1"], "is not known here, only start, chart, on,"),
        (["--set", "machine.nope.x=1"], "--set: machine.nope.x: nope is no section of a machine file, only "),
        (["--thickness", "thick"], "--thickness"),
        (["--units", "furlong"], "--units"),
        (["--origin", "middle"], "--origin"),
        (["--small-holes", "fill"], "drill, rough, error"),
        (["--order", "random"], "parts, holes-first"),
        (["--plate", "12 in"], "--plate"),
        (["--window", "1,2,3"], "--window"),
        (["--material", "cheese"], "cheese"),
        (["--machine", "mill"], "contact-float-inch"),
        (["--chart", "none"], "air-50a"),
        (["--set", "kerf"], "KEY=VALUE"),
        (["--set", "machine.torch.light=1 s"], "light"),
        (["--set", "no_such_key=1"], "no_such_key"),
        (["--dry", "--frame"], "--dry and --frame"),
        (["--picture", "a.bmp"], ".svg or .png"),
        (["--picture", "no/a.svg"], "does not exist"),
    ],
)
def test_wrong_values_are_refused_by_name_and_nothing_is_written(
    words: list[str], expected: str, capsys: Capture
) -> None:
    assert main(["cut", GUSSET, "-o", "a.nc", *words]) == 2
    assert expected in said(capsys)
    assert not list(Path().iterdir())


def test_missing_drawings_folders_and_rubbish_are_refused(capsys: Capture) -> None:
    Path("folder.dxf").mkdir()
    Path("rubbish.dxf").write_bytes(bytes(range(256)) * 20)
    Path("empty.dxf").write_bytes(b"")
    for name, words in (("no.dxf", "no such file"), ("folder.dxf", "folder"), ("rubbish.dxf", ""), ("empty.dxf", "")):
        assert main(["cut", name, "-o", "a.nc"]) == 2
        sentence = said(capsys)
        assert name in sentence
        assert words in sentence
    assert not Path("a.nc").exists()


def test_a_drawing_without_anything_to_cut_is_refused(capsys: Capture) -> None:
    assert main(["cut", drawn("bare.dxf", lambda space: None), "-o", "a.nc"]) == 2
    assert "bare.dxf" in said(capsys)
    assert not Path("a.nc").exists()


def test_a_drawing_without_a_unit_is_a_question_with_sizes(capsys: Capture) -> None:
    name = drawn("plain.dxf", plate(20), unit=0)
    assert main(["cut", name, "-o", "a.nc"]) == 2
    sentence = said(capsys)
    assert "--units" in sentence
    assert "2540.0 x 1524.0 mm (100.00 x 60.00 in)" in sentence
    assert main(["cut", name, "-o", "a.nc", "--units", "mm"]) == 0


def test_errors_keep_the_old_program_and_exit_1(capsys: Capture) -> None:
    Path("a.nc").write_bytes(b"(old)\n")
    words = ["cut", drawn("small.dxf", plate(3)), "-o", "a.nc", *STRICT, "--report", "a.json", "--picture", "a.png"]
    assert main(words) == 1
    out = capsys.readouterr().out
    assert out.startswith("NOT PROVEN: ")
    assert "a.nc was not written" in out
    assert "\nerror: " in out
    assert Path("a.nc").read_bytes() == b"(old)\n"
    assert json.loads(Path("a.json").read_text(encoding="utf-8"))["proof"]["ok"] is False
    assert Path("a.png").read_bytes().startswith(b"\x89PNG")


def test_force_writes_what_has_errors_and_its_first_lines_say_so(capsys: Capture) -> None:
    assert main(["cut", drawn("small.dxf", plate(3)), "-o", "a.nc", *STRICT, "--force", "--report", "a.json"]) == 1
    assert "a.nc was written all the same" in capsys.readouterr().out
    lines = Path("a.nc").read_text(encoding="ascii").splitlines()
    first = 1 if lines[0] == "%" else 0
    assert re.match(r"\(NOT PROVEN - WRITTEN WITH [1-9]\d* ERRORS? - DO NOT RUN UNSEEN\)$", lines[first])
    assert lines[first + 1].startswith("(ERROR ")
    assert all(len(line) < 80 and line.count("(") == 1 for line in lines[first : first + 2])
    cuts = json.loads(Path("a.json").read_text(encoding="utf-8"))["cuts"]
    assert cuts
    assert all("M3" in lines[cut["line"] - 1] for cut in cuts)


def test_small_holes_are_left_for_the_drill(capsys: Capture) -> None:
    assert main(["cut", drawn("small.dxf", plate(3)), "-o", "a.nc"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("PROVEN WITH WARNINGS") or out.startswith("PROVEN:")
    assert "to drill" in out


def test_a_hole_that_the_plan_refuses_is_told_once_and_the_option_for_it_is_named(capsys: Capture) -> None:
    assert main(["cut", drawn("small.dxf", plate(3)), "-o", "a.nc", *STRICT, "--force"]) == 1
    out = capsys.readouterr().out
    assert out.startswith("NOT PROVEN: 1 error;")
    assert "--small-holes drill leaves it out for the drill" in out and "feature-not-cut" not in out
    assert main(["prove", "a.nc"]) == 1
    assert "error: feature-not-cut" in capsys.readouterr().out, "the proof alone is blind to plans"


def test_json_puts_only_findings_and_verdict_on_standard_output(capsys: Capture) -> None:
    assert main(["cut", drawn("small.dxf", plate(3)), "-o", "a.nc", *STRICT, "--json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert (data["verdict"], data["written"]) == ("NOT PROVEN", False)
    keys = {"rule", "severity", "message", "advice", "line", "column", "x", "y", "handle"}
    assert data["findings"]
    assert all(finding.keys() == keys for finding in data["findings"])


def test_a_dash_sends_the_program_to_standard_output_and_the_talk_past_it(capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "-"]) == 0
    out, err = capsys.readouterr()
    assert main(["cut", GUSSET, "-o", "a.nc"]) == 0
    assert out == Path("a.nc").read_text(encoding="ascii")
    assert err.startswith("PROVEN")


def test_no_input_and_no_other_output_is_ever_overwritten(capsys: Capture) -> None:
    name = drawn("p.dxf", plate(20))
    before = Path(name).read_bytes()
    for words in (["-o", name], ["-o", "a.nc", "--report", "./a.nc"], ["-o", "-", "--json"]):
        assert main(["cut", name, *words]) == 2
        said(capsys)
    assert Path(name).read_bytes() == before


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_permission_is_refused_before_the_work(capsys: Capture) -> None:
    Path("shut").mkdir(mode=0o500)
    assert main(["cut", GUSSET, "-o", "shut/a.nc"]) == 2
    assert "no permission" in said(capsys)


@pytest.mark.parametrize("mode", ["--dry", "--frame"])
def test_a_trial_lights_no_torch(mode: str, capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "a.nc", mode]) == 0
    text = Path("a.nc").read_text(encoding="ascii")
    code = re.sub(r"\([^)]*\)", "", text)
    assert not re.search(r"\bM0*[34]\b", code)


def test_every_demo_drawing_is_proven_on_every_built_in_machine(capsys: Capture) -> None:
    for file in store.shop_files("machines"):
        for drawing in sorted(DRAWINGS.glob("*.dxf")):
            assert main(["cut", str(drawing), "-o", "a.nc", "--machine", file.name]) == 0, (file.name, drawing.name)
            assert capsys.readouterr().out.startswith("PROVEN")


def test_a_gauge_is_a_thickness(capsys: Capture) -> None:
    # 11 ga mild steel is 0.1196 in (Manufacturers' Standard Gauge): 3.04 mm, so the 3 mm row of the chart.
    drawn("plate.dxf", plate(20))
    assert main(["cut", "plate.dxf", "-o", "p.nc", "--thickness", "11 ga", "--report", "r.json"]) == 0
    assert json.loads(Path("r.json").read_text())["process"]["thickness_mm"] == pytest.approx(3.0, abs=0.05)
    assert "assumed     mild steel (" in capsys.readouterr().out


def test_roles_and_gaps_on_the_command_line_reach_the_joining_and_the_heading(capsys: Capture) -> None:
    def slotted(space) -> None:  # type: ignore[no-untyped-def]
        plate(12)(space)
        space.add_line((15, 15), (35, 15), dxfattribs={"layer": "SLOTS"})
        space.add_lwpolyline([(200, 0), (300, 0), (300, 60), (200, 60), (200, 0.3)])

    name = drawn("slotted.dxf", slotted)
    assert main(["cut", name, "-o", "s.nc"]) == 1
    assert "--join" in capsys.readouterr().out
    words = ["cut", name, "-o", "s.nc", "--role", "slots=slit", "--join", "0.4 mm", "--report", "s.json"]
    assert main(words) == 0
    assert [c["kind"] for c in json.loads(Path("s.json").read_text())["cuts"]].count("slit") == 1
    text = Path("s.nc").read_text()
    assert "(proof: role = slit slots)" in text and "(proof: join = 0.4 mm)" in text
    capsys.readouterr()
    assert main(["prove", "s.nc", "--drawing", name]) == 0
    assert capsys.readouterr().out.startswith("PROVEN")


def test_many_findings_of_one_kind_are_told_in_one_line_after_the_first(capsys: Capture) -> None:
    def pierced(space) -> None:  # type: ignore[no-untyped-def]
        space.add_lwpolyline([(0, 0), (200, 0), (200, 60), (0, 60)], close=True)
        for k in range(9):
            space.add_circle((15 + 20 * k, 30), 1.5)

    assert main(["cut", drawn("many.dxf", pierced), "-o", "m.nc", *STRICT]) == 1
    out = capsys.readouterr().out
    assert len(re.findall(r"\[hole-too-small\]", out)) == 4
    assert "error: 6 more like these [hole-too-small]" in out
    assert "edge  " not in out, "a deviation of what is not cut says nothing"


def test_an_older_program_that_stays_is_told(capsys: Capture) -> None:
    assert main(["cut", drawn("good.dxf", plate(20)), "-o", "a.nc"]) == 0
    before = Path("a.nc").read_bytes()
    capsys.readouterr()
    assert main(["cut", drawn("bad.dxf", plate(3)), "-o", "a.nc", *STRICT]) == 1
    assert "an older a.nc is still there" in capsys.readouterr().out
    assert Path("a.nc").read_bytes() == before


def test_a_dry_run_promises_no_cut(capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "dry.nc", "--dry"]) == 0
    assert capsys.readouterr().out.startswith("PROVEN: dry.nc lights no torch and stays raised (dry of gusset.dxf)")
