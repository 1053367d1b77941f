from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.batch.folder import clashes, look, shown, target_of
from support.app.batches import put


def names(folder: Path, out: Path | None = None) -> list[str]:
    return [source.name for source in look(folder, out).sources]


def test_all_drawings_of_a_tree_are_found_in_order_and_nothing_else(tmp_path: Path) -> None:
    for name in ("b/z.dxf", "b/a.DXF", "a.dxf", "b/c/d.Dxf", "note.txt", ".hidden.dxf", ".git/x.dxf", "b/x.dxf.bak"):
        put(tmp_path / name, b"")
    assert names(tmp_path) == ["a.dxf", "b/a.DXF", "b/c/d.Dxf", "b/z.dxf"]


def test_what_lies_in_the_output_folder_is_no_input(tmp_path: Path) -> None:
    put(tmp_path / "a.dxf", b"")
    put(tmp_path / "out" / "a.dxf", b"")
    assert names(tmp_path, tmp_path / "out") == ["a.dxf"]
    assert names(tmp_path, tmp_path) == ["a.dxf", "out/a.dxf"]


def test_settings_files_are_found_by_folder(tmp_path: Path) -> None:
    put(tmp_path / "kerfproof.toml", b"")
    put(tmp_path / "x" / "y" / "kerfproof.toml", b"")
    tree = look(tmp_path)
    assert tree.settings == {"": tmp_path / "kerfproof.toml", "x/y": tmp_path / "x" / "y" / "kerfproof.toml"}


def test_the_folders_of_a_drawing_lead_from_the_top_to_it(tmp_path: Path) -> None:
    put(tmp_path / "x" / "y" / "a.dxf", b"")
    assert look(tmp_path).sources[0].folders == ("", "x", "x/y")


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_links_in_a_loop_end_and_every_drawing_is_found_once(tmp_path: Path) -> None:
    top = tmp_path / "top"
    put(top / "a" / "one.dxf", b"")
    put(top / "b" / "two.dxf", b"")
    (top / "a" / "to-b").symlink_to(top / "b")
    (top / "b" / "to-a").symlink_to(top / "a")
    (top / "a" / "self").symlink_to(top / "a")
    (top / "up").symlink_to(tmp_path)
    (top / "knot").symlink_to(top / "knot")
    tree = look(top)
    assert [source.name for source in tree.sources] == ["a/one.dxf", "b/two.dxf"]
    assert sorted(line.split(":")[0] for line in tree.passed) == ["a/self", "a/to-b", "b/to-a", "up"]


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_folder_linked_from_outside_is_entered_once_even_if_it_links_back(tmp_path: Path) -> None:
    top = tmp_path / "top"
    put(tmp_path / "away" / "far.dxf", b"")
    put(top / "near.dxf", b"")
    (top / "first").symlink_to(tmp_path / "away")
    (top / "second").symlink_to(tmp_path / "away")
    (tmp_path / "away" / "back").symlink_to(top)
    assert names(top) == ["first/far.dxf", "near.dxf"]


@pytest.mark.skipif(os.name == "nt", reason="no such files there")
def test_a_broken_link_a_pipe_and_a_folder_called_like_a_drawing_are_told_and_never_opened(tmp_path: Path) -> None:
    (tmp_path / "gone.dxf").symlink_to(tmp_path / "nowhere.dxf")
    os.mkfifo(tmp_path / "pipe.dxf")
    put(tmp_path / "folder.dxf" / "in.dxf", b"")
    problems = {source.name: source.problem for source in look(tmp_path).sources}
    assert problems == {
        "gone.dxf": "a link to a file that is not there",
        "pipe.dxf": "this is no file with a drawing",
        "folder.dxf/in.dxf": "",
    }


def test_a_folder_that_can_not_be_listed_is_told_and_the_rest_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path / "a.dxf")
    put(tmp_path / "shut" / "b.dxf")
    scan = os.scandir

    def refuse(folder: Path) -> Any:
        if folder.name == "shut":
            raise PermissionError(errno.EACCES, "Permission denied")
        return scan(folder)

    monkeypatch.setattr(os, "scandir", refuse)
    found = look(tmp_path)
    assert [source.name for source in found.sources] == ["a.dxf"]
    assert found.passed == ("shut: the folder can't be listed: permission denied",)
    with pytest.raises(KerfproofError, match="can't be listed: permission denied"):
        look(tmp_path / "shut")


def test_a_folder_that_is_none_is_refused(tmp_path: Path) -> None:
    with pytest.raises(KerfproofError, match="no such folder"):
        look(tmp_path / "no")
    with pytest.raises(KerfproofError, match="no folder"):
        look(put(tmp_path / "a.dxf"))


def test_programs_mirror_the_drawings() -> None:
    assert target_of("a/b.c/Part.DXF", ".tap") == "a/b.c/Part.tap"


def test_programs_that_are_one_file_on_some_disk_clash() -> None:
    composed, decomposed = "\u00fc.nc", "u\u0308.nc"
    targets = {"a.dxf": "a.nc", "A.dxf": "A.nc", "b.dxf": "b.nc", "1": composed, "2": decomposed}
    assert list(clashes(targets)) == [("a.dxf", "A.dxf"), ("1", "2")]


def test_names_are_shown_on_one_line_whatever_they_hold() -> None:
    assert shown("a\nb\x1b[31m\udcff.dxf") == "a\ufffdb\ufffd[31m\ufffd.dxf"
    assert shown("Blech \u00d8 8 \"gro\u00df\" 'x'.dxf") == "Blech \u00d8 8 \"gro\u00df\" 'x'.dxf"
