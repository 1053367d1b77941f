from __future__ import annotations

import io
import json
from pathlib import Path

import ezdxf
import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.__main__ import main
from kerfproof_app.cli.common.shop_from_options import changed, split_changes
from kerfproof_app.shop import store

DRAWINGS = Path(__file__).resolve().parents[3] / "resources" / "kerfproof_resources" / "drawings"
Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def workplace(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    (tmp_path / "work").mkdir()
    monkeypatch.chdir(tmp_path / "work")


@pytest.mark.parametrize(("kind", "name"), [("machines", "contact-float-inch"), ("charts", "air-50a")])
def test_built_in_files_are_listed_shown_and_good(kind: str, name: str, capsys: Capture) -> None:
    assert main([kind, "list"]) == 0
    rows = capsys.readouterr().out.splitlines()
    assert any(row.split()[:2] == [name, "built-in"] for row in rows)
    assert not any("can't be used" in row for row in rows)
    assert main([kind, "show", name]) == 0
    shown = capsys.readouterr().out
    assert shown.strip() == store.shop_file(kind, name).text.strip()
    for file in store.shop_files(kind):
        assert main([kind, "check", file.name]) == 0
        assert "good" in capsys.readouterr().out


def test_a_copy_is_ones_own_and_all_mistakes_in_it_are_told_at_once(capsys: Capture) -> None:
    assert main(["machines", "copy", "contact-float-inch", "shed"]) == 0
    path = Path(capsys.readouterr().out.strip())
    assert main(["machines", "list"]) == 0
    assert any(row.split()[:2] == ["shed", "own"] for row in capsys.readouterr().out.splitlines())
    text = path.read_text(encoding="utf-8").replace('"48 in"', '"48"').replace('"contact"', '"magic"')
    path.write_text(text, encoding="utf-8")
    assert main(["machines", "check", "shed"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    for words in ("table.travel_x", "table.travel_y", "torch.start", "magic"):
        assert words in err
    assert main(["machines", "list"]) == 0
    assert "can't be used" in capsys.readouterr().out


def test_no_sub_command_is_help_and_exit_2(capsys: Capture) -> None:
    assert main(["machines"]) == 2
    assert "copy" in capsys.readouterr().err


def test_rules_are_listed_and_each_page_has_a_bad_and_a_good_example(capsys: Capture) -> None:
    assert main(["rules"]) == 0
    names = [row.split()[0] for row in capsys.readouterr().out.splitlines()]
    assert "torch-left-on" in names
    assert names == sorted(names)
    for name in names:
        assert main(["rules", name]) == 0
        page = capsys.readouterr().out
        assert "Bad::" in page, name
        assert "Good::" in page, name


def test_inspect_tells_parts_and_what_is_not_cut(capsys: Capture) -> None:
    assert main(["inspect", str(DRAWINGS / "sluice-sheet.dxf")]) == 0
    out = capsys.readouterr().out
    assert "5 with 9 holes" in out
    assert "1 x TEXT" in out
    assert main(["inspect", str(DRAWINGS / "pump-flange.dxf"), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["units"] == {"source": "header", "mm_per_unit": 25.4, "name": "inch"}
    assert data["size_mm"] == pytest.approx([152.4, 139.7])
    (part,) = data["parts"]
    assert (part["name"], part["holes"], part["slits"], part["inside"]) == ("pump-flange", 7, 0, None)
    assert part["hole_sizes"] == {"D14.29": 6, "D60.32": 1}


def test_inspect_of_a_drawing_without_a_unit_gives_its_size_in_each(capsys: Capture) -> None:
    doc = ezdxf.new("R2010", units=0)
    doc.modelspace().add_circle((0, 0), 2)
    stream = io.StringIO()
    doc.write(stream)
    Path("plain.dxf").write_text(stream.getvalue(), encoding="utf-8")
    assert main(["inspect", "plain.dxf"]) in (0, 1)
    out = capsys.readouterr().out
    assert "--units" in out
    for words in ("if mm: 4 x 4 mm", "if cm: 40 x 40 mm", "if in: 101.6 x 101.6 mm"):
        assert words in out


def test_changes_are_read_as_toml_or_as_text() -> None:
    texts = ["a=1", "b.c = true", "d=0.5 s", 'e="x=y"', "f=[1, 2]", "g=2024-01-01"]
    assert split_changes(texts) == [
        ("a", 1),
        ("b.c", True),
        ("d", "0.5 s"),
        ("e", "x=y"),
        ("f", [1, 2]),
        ("g", "2024-01-01"),
    ]
    for text in ("a", "=1", "a="):
        with pytest.raises(KerfproofError, match="KEY=VALUE"):
            split_changes([text])


def test_changes_go_into_the_text_at_their_place_and_comments_stay() -> None:
    text = "# top\n[torch]\nstart = 'contact' # kept\n"
    after = changed(text, [("torch.start", "pilot"), ("table.x", 3)], "m.toml")
    assert "# kept" in after
    assert 'start = "pilot"' in after
    assert "[table]\nx = 3" in after
    with pytest.raises(KerfproofError, match="start holds a value"):
        changed(text, [("torch.start.deep", 1)], "m.toml")


@pytest.mark.parametrize(
    ("on", "off", "told"),
    [
        ("hello", "M5", 'torch.on: "hello" can\'t be read'),
        ("(torch)", "M5", 'torch.on: "(torch)" can\'t be read'),
        ("M64", "M65 P0", "M64 needs P"),
        ("M64 P0", "M65 P1", "write M65 P0"),
        ("M62 P0", "M63 P0", "acts with the next motion only"),
    ],
)
def test_a_machine_whose_torch_words_say_nothing_is_refused_everywhere(
    on: str, off: str, told: str, capsys: Capture
) -> None:
    assert main(["machines", "copy", "contact-float-mm", "shed"]) == 0
    Path("part.dxf").write_bytes((DRAWINGS / "gusset.dxf").read_bytes())
    assert main(["cut", "part.dxf", "-o", "right.nc", "--machine", "shed"]) == 0
    path = store.own_path("machines", "shed")
    path.write_text(
        path.read_text().replace('\non = "M3"', f'\non = "{on}"').replace('\noff = "M5"', f'\noff = "{off}"')
    )
    for words in (
        ["machines", "check", "shed"],
        ["cut", "part.dxf", "-o", "part.nc", "--machine", "shed"],
        ["prove", "right.nc", "--machine", "shed"],
    ):
        capsys.readouterr()
        assert main(words) == 2
        assert told in capsys.readouterr().err
    assert not Path("part.nc").exists()
