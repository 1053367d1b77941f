from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import pypdfium2
import pytest

from kerfproof.shop.chart_file import parse_chart
from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from kerfproof_app.shop.tip_usage import DATA_VARIABLE

GUSSET = str(Path(__file__).resolve().parents[3] / "resources/kerfproof_resources/drawings/gusset.dxf")
Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    monkeypatch.setenv(DATA_VARIABLE, str(tmp_path / "data"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")


def own(machine: str = "shed", chart: str = "mine") -> list[str]:
    """Make own files and return the words that choose them."""
    assert main(["machines", "copy", "contact-float-mm", machine]) == 0
    assert main(["charts", "copy", "air-50a", chart]) == 0
    return ["--machine", machine, "--chart", chart]


def test_the_kinds_are_listed(capsys: Capture) -> None:
    assert main(["coupon", "list"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == [
        "feed",
        "float",
        "hole",
        "joints",
        "kerf",
        "pierce",
        "square",
        "start",
    ]


@pytest.mark.parametrize("kind", ["feed", "float", "hole", "joints", "kerf", "pierce", "square", "start"])
def test_every_piece_is_written_and_holds_when_it_is_proven_again(kind: str, capsys: Capture) -> None:
    assert main(["coupon", kind, "-o", "piece.nc", "--thickness", "3 mm", "--material", "mild steel"]) == 0
    assert capsys.readouterr().out.startswith(f"PROVEN: piece.nc is the {kind} piece")
    assert main(["prove", "piece.nc"]) == 0


def test_only_the_piece_as_written_is_excused_what_it_tries(capsys: Capture) -> None:
    assert main(["coupon", "start", "-o", "start.nc"]) == 0
    text = Path("start.nc").read_text(encoding="ascii")
    Path("dark.nc").write_text(text.replace("G4 P0.4\n", ""), encoding="ascii")
    Path("spaced.nc").write_text(text.replace("G90 G94", "G90G94 (modes)").replace("\n", "\r\n"), encoding="ascii")
    capsys.readouterr()
    assert main(["prove", "spaced.nc"]) == 0
    assert "meant: " in capsys.readouterr().out
    assert main(["prove", "dark.nc"]) == 1
    told = capsys.readouterr().out
    assert told.startswith("NOT PROVEN") and "error: light-delay-short" in told and "meant: " not in told


def test_the_feeds_that_a_piece_tries_contradict_no_heading(capsys: Capture) -> None:
    assert main(["coupon", "feed", "-o", "feed.nc"]) == 0
    capsys.readouterr()
    assert main(["prove", "feed.nc"]) == 0
    assert "heading-contradicted" not in capsys.readouterr().out


def test_from_the_piece_to_the_persons_own_chart(capsys: Capture) -> None:
    mine = own()
    assert main(["coupon", "kerf", "-o", "kerf.nc", "--thickness", "3 mm", "--json", *mine]) == 0
    said = capsys.readouterr().out
    told = json.loads(said[said.index("{") :])
    assert told["proven"] and [r["name"] for r in told["readings"]] == ["S1", "H1", "S2", "H2", "S3", "H3"]
    Path("r.txt").write_text(
        "unit = mm\nS1 = 35.85 35.87\nS2=45.85 45.83\nS3=55.86\nH1=20.15 20.16\nH2=30.15\nH3=40.14\n"
    )
    assert main(["coupon", "kerf", "--of", "kerf.nc", "--read", "r.txt", "--save", *mine]) == 0
    out = capsys.readouterr().out
    assert "row 13.kerf = 1.594 mm, it was 1.45 mm" in out
    assert main(["charts", "check", "mine"]) == 0
    assert "kerf measured 20" in store.own_path("charts", "mine").read_text()


def test_a_reading_that_cannot_be_is_named_and_nothing_is_saved(capsys: Capture) -> None:
    mine = own()
    assert main(["coupon", "kerf", "-o", "kerf.nc", "--thickness", "3 mm", *mine]) == 0
    before = store.own_path("charts", "mine").read_text()
    readings = ["--read", "S1=1.41 mm", "--read", "S2=45.85 S3=55.86 H1=20.15 mm"]
    assert main(["coupon", "kerf", "--of", "kerf.nc", "--save", *readings, *mine]) == 1
    out, err = capsys.readouterr()
    assert "S1 = 1.41 mm" in out and "inches typed as mm" in out and "not saved" in err
    assert store.own_path("charts", "mine").read_text() == before


def test_the_float_goes_to_the_machine_that_the_program_names(capsys: Capture) -> None:
    own()
    assert main(["coupon", "float", "-o", "float.nc", "--machine", "shed"]) == 0
    assert (
        main(["coupon", "float", "--of", "float.nc", "--read", "gap=1.1 touch=-19 -19.01 -18.99 -19 -19 mm", "--save"])
        == 0
    )
    assert 'float = "18.9 mm"' in store.own_path("machines", "shed").read_text()
    assert "touch_off.float = 18.9 mm, it was 19 mm" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["anvil", "-o", "x.nc"], "there is no test piece 'anvil'"),
        (["kerf"], "nothing to do"),
        (["kerf", "--read", "S1=3 mm"], "--of PROGRAM"),
        (["kerf", "--read", "S1=3 mm", "-o", "x.nc"], "one after the other"),
        (["kerf", "--read", "S1=3 mm", "--of", "plain.nc"], "no test piece"),
        (["feed", "--read", "best=1", "--of", "kerf.nc"], "is a kerf piece"),
        (["kerf", "--read", "nothing.txt", "--of", "kerf.nc"], "no such file"),
        (["kerf", "--read", "Q7=3 mm", "--of", "kerf.nc"], "no reading 'Q7'"),
        (["kerf", "-o", "x.nc", "--sizes", "big"], "big"),
        (["kerf", "-o", "nowhere/x.nc"], "its folder does not exist"),
        (["kerf", "--read", "S1=36 mm", "--of", "spoilt.nc"], "changed by hand"),
    ],
)
def test_wrong_words_are_one_sentence(words: list[str], message: str, capsys: Capture) -> None:
    Path("plain.nc").write_text("G21\nM2\n")
    Path("spoilt.nc").write_text('(proof: coupon = {"kind":"kerf","cut":3})\nM2\n')
    assert main(["coupon", "kerf", "-o", "kerf.nc"]) == 0
    capsys.readouterr()
    assert main(["coupon", *words]) == 2
    _, err = capsys.readouterr()
    told = [line for line in err.splitlines() if line.startswith("kerfproof: ")]
    assert len(told) == 1 and message in told[0]


def test_an_estimate_is_printed_as_a_row(capsys: Capture) -> None:
    assert main(["charts", "estimate", "air-50a", "--thickness", "7 mm"]) == 0
    out = capsys.readouterr().out
    assert "estimated by energy balance" in out and out.splitlines()[1].startswith('{material = "mild steel"')
    assert main(["charts", "estimate", "air-50a", "--thickness", "9 mm", "--amps", "50 A"]) == 2
    assert "beyond what 50 A pierces" in capsys.readouterr().err


def test_an_estimate_is_saved_marked_and_nothing_is_estimated_from_it(capsys: Capture) -> None:
    own()
    capsys.readouterr()
    words = ["charts", "estimate", "mine", "--save", "mine", "--thickness"]
    before = main(["charts", "estimate", "mine", "--thickness", "7 mm"]), capsys.readouterr().out
    assert main([*words, "7 mm"]) == 0
    rows = parse_chart(store.own_path("charts", "mine").read_text(), "mine").rows
    assert (rows[-1].thickness, rows[-1].estimated) == (7.0, True)
    assert date.today().isoformat() in rows[-1].source
    assert main([*words, "7 mm"]) == 0  # in the place of the older estimate
    assert len(parse_chart(store.own_path("charts", "mine").read_text(), "mine").rows) == len(rows)
    capsys.readouterr()
    assert (main(["charts", "estimate", "mine", "--thickness", "7 mm"]), capsys.readouterr().out) == before
    assert main(["cut", GUSSET, "-o", "g.nc", "--thickness", "7 mm", "--chart", "mine"]) == 0
    assert "the chart has no measured row for 0.276 in: estimated by energy balance" in capsys.readouterr().out
    assert main([*words, "6 mm", "--amps", "50 A"]) == 2
    assert "stands measured in row" in capsys.readouterr().err
    assert main(["charts", "estimate", "mine", "--thickness", "7 mm", "--save", "air-50a"]) == 2
    assert "is a built-in one" in capsys.readouterr().err


READINGS = {
    "feed": ("best = 4 5", ["charts", "feed = ", "feed measured"]),
    "pierce": ("through = 3 4 5 6 7", ["charts", "pierce_delay = ", "pierce measured"]),
    "hole": (
        "A1=6.2 A2=6.25 A3=6.2 A4=6.22 B1=9.2 B2=9.21 C3=12.2 mm\nbest = A2 B2 C2",
        ["charts", 'hole_over_burn = "1 mm"', "hole measured"],
    ),
    "float": ("gap = 1.7 mm", ["machines", "float = ", "# measured"]),
    "square": ("width=600 height=600 d1=848.8 d2=848.3 mm", ["machines", "square_note = ", "# measured"]),
    "start": ("A1=2 A2=2 A3=10", ["machines", "light_delay = ", "# measured"]),
}


@pytest.mark.parametrize("kind", READINGS)
def test_what_each_piece_says_is_kept_with_its_date(kind: str, capsys: Capture) -> None:
    mine = own()
    readings, (folder, key, note) = READINGS[kind]
    assert main(["coupon", kind, "-o", "p.nc", "--thickness", "3 mm", *mine]) == 0
    of = ["coupon", kind, "--of", "p.nc", "--read", "r.txt", *mine]
    Path("r.txt").write_text(readings + "\n")
    assert main([*of, "--save"]) == 0
    assert "saved  " in capsys.readouterr().out
    text = store.own_path(folder, "mine" if folder == "charts" else "shed").read_text()
    line = next(x for x in text.splitlines() if key in x and date.today().isoformat() in x)
    assert note in line
    assert main(["cut", GUSSET, "-o", "g.nc", "--thickness", "3 mm", *mine]) == 0


def test_cuts_that_are_counted_warn_before_the_tip_is_gone(capsys: Capture) -> None:
    words = ["cut", GUSSET, "-o", "g.nc", "--thickness", "6 mm"]  # a tip lasts 50 starts, the gusset takes 6
    assert main(words) == 0
    assert "tip:" not in capsys.readouterr().err
    for _ in range(8):
        assert main(["tip", "cut", "g.nc"]) == 0
    assert "the 8. time on this tip" in capsys.readouterr().out
    assert main(words) == 0
    assert "tip: the job takes 6 starts, the tip has about 2 left (96% used)" in capsys.readouterr().err
    assert main(["prove", "g.nc"]) == 0
    assert "tip: the job takes 6 starts, the tip has about 2 left (96% used)" in capsys.readouterr().err
    stops = ["--set", "machine.watch.tip_changes=true", "--sheet", "g.pdf"]
    assert main([*words, *stops, "--tip-used", "counted"]) == 0
    assert "tip-outrun" in capsys.readouterr().out  # worn before its one part ends: begin with a new one
    text = pypdfium2.PdfDocument("g.pdf")[0].get_textpage().get_text_range()
    assert "96% used, 108% after" in " ".join(text.split())
    assert main([*words, "--tip-used", "half"]) == 2
    assert "'half' is no share of a tip's life" in capsys.readouterr().err
    assert main(["tip", "new"]) == 0
    assert main(words) == 0
    assert "tip: the job" not in capsys.readouterr().err
    assert main(["tip", "--json"]) == 0
    said = capsys.readouterr().out
    assert json.loads(said[said.index("{") :])["tips"][0]["starts"] == 0


def test_a_damaged_count_never_stops_a_cut(tmp_path: Path, capsys: Capture) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "tiplife.sqlite").write_bytes(b"spoilt" * 300)
    assert main(["cut", GUSSET, "-o", "g.nc"]) == 0
    assert "damaged" in capsys.readouterr().err


def test_pierces_and_holes_to_drill_are_listed(capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "g.nc", "--thickness", "8 mm", "--material", "mild steel"]) == 0
    capsys.readouterr()
    assert main(["pierces", "g.nc"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 7 and "gusset, hole 1 D14" in "\n".join(lines)
    assert main(["pierces", "g.nc", "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["pierces"]) == 6


def test_pierces_are_listed_in_the_unit_of_the_program_whatever_the_machine(capsys: Capture) -> None:
    Path("mm.nc").write_text("G21 G90 G17 G40 G54\nG0 X70 Y50\nM3\nG4 P0.5\nG1 X80 F2200\nM5\nM2\n", encoding="ascii")
    for machine in ("contact-float-inch", "contact-float-mm"):
        assert main(["pierces", "mm.nc", "--machine", machine]) == 0
        head, row = capsys.readouterr().out.splitlines()
        assert "X mm" in head and "70.000" in row


def test_a_tour_is_written_like_a_dry_run(capsys: Capture) -> None:
    assert main(["cut", GUSSET, "-o", "tour.nc", "--tour"]) == 0
    text = Path("tour.nc").read_text()
    assert text.count("\nM0\n") == 6 and "M3" not in text
    assert main(["prove", "tour.nc"]) == 0
    assert main(["cut", GUSSET, "-o", "x.nc", "--tour", "--dry"]) == 2
    assert "exclude each other" in capsys.readouterr().err


def proven(text: str, capsys: Capture, *words: str) -> tuple[int, str]:
    Path("changed.nc").write_text(text, encoding="ascii")
    capsys.readouterr()
    return main(["prove", "changed.nc", *words]), capsys.readouterr().out


def test_a_piece_that_was_changed_is_proven_no_more(capsys: Capture) -> None:
    assert main(["coupon", "hole", "-o", "hole.nc", "--thickness", "3 mm"]) == 0
    text = Path("hole.nc").read_text(encoding="ascii")
    code, out = proven(text, capsys)
    assert code == 0 and "meant: the cut ends 0 in after it closes" in out and "not-the-piece" not in out
    numbered = "".join(
        f"N{k} {line}\n" if line[:1].isalpha() else f"{line}\n" for k, line in enumerate(text.split("\n"))
    )
    code, out = proven(numbered, capsys)
    assert code == 0 and "meant: the cut ends 0 in after it closes" in out, "in another spelling it is the same piece"
    moved = re.sub(r"(?m)^G0 X([\d.]+)", lambda m: f"G0 X{float(m[1]) + 0.1:.5f}", text, count=1)
    code, out = proven(moved, capsys)
    assert code == 1 and "error: not-the-piece" in out and "no longer the test piece hole" in out
    assert "meant: " not in out, "and nothing of it is excused"
    code, out = proven(text.replace('"kind":"hole"', '"kind":"hale"'), capsys)
    assert code == 1 and "the heading says that this is a test piece, which can't be made" in out


def test_a_heading_of_a_test_piece_over_a_program_of_a_drawing_is_told(capsys: Capture) -> None:
    assert main(["coupon", "kerf", "-o", "kerf.nc"]) == 0
    said = [line for line in Path("kerf.nc").read_text(encoding="ascii").split("\n") if "proof: coupon" in line]
    assert main(["cut", GUSSET, "-o", "g.nc"]) == 0
    text = Path("g.nc").read_text(encoding="ascii").replace("(proof:", "\n".join(said) + "\n(proof:", 1)
    code, out = proven(text, capsys, "--drawing", GUSSET)
    assert code == 0 and "warning: not-the-piece" in out
