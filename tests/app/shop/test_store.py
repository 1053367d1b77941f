from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.shop import store


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "own"
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(folder))
    return folder


def test_a_missing_file_a_folder_and_an_odd_name_are_told_apart(tmp_path: Path) -> None:
    for path, words in ((tmp_path / "no.dxf", "no such file"), (tmp_path, "folder"), (Path("a\0b"), "no file name")):
        with pytest.raises(KerfproofError, match=words) as caught:
            store.read_bytes(path)
        assert len(str(caught.value).splitlines()) == 1


def test_text_is_read_with_a_byte_mark_and_in_western_letters(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    for data in (b"\xef\xbb\xbfa = '\xc3\xb8'", "a = 'ø'".encode("cp1252")):
        path.write_bytes(data)
        assert store.read_text(path) == "a = 'ø'"


def test_a_written_file_is_whole_and_leaves_nothing_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "a.nc"
    store.write_bytes(path, b"first\n")
    store.write_bytes(path, b"second\n")
    assert path.read_bytes() == b"second\n"
    assert [p.name for p in tmp_path.iterdir()] == ["a.nc"]


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such permissions")
def test_an_overwritten_file_keeps_its_permissions_and_a_new_one_follows_the_mask(tmp_path: Path) -> None:
    path = tmp_path / "a.nc"
    path.write_bytes(b"old")
    path.chmod(0o640)
    store.write_bytes(path, b"new")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    mask = os.umask(0o027)
    try:
        store.write_bytes(tmp_path / "b.nc", b"new")
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "b.nc").stat().st_mode) == 0o640


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_link_goes_on_pointing_to_its_file(tmp_path: Path) -> None:
    real, link = tmp_path / "real.nc", tmp_path / "link.nc"
    real.write_bytes(b"old")
    link.symlink_to(real)
    store.write_bytes(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


@pytest.mark.skipif(os.name == "nt", reason="a device of Unix")
def test_a_device_is_written_to_and_not_replaced() -> None:
    store.write_bytes(Path("/dev/null"), b"gone")
    assert Path("/dev/null").is_char_device()


def test_a_failed_write_leaves_the_old_file_and_no_rest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.nc"
    path.write_bytes(b"old")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(KerfproofError, match="no space left"):
        store.write_bytes(path, b"new")
    assert path.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.nc"]


def test_a_folder_a_missing_folder_and_a_file_as_folder_are_refused_before_the_work(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")
    for path, words in (
        (tmp_path, "this is a folder"),
        (tmp_path / "no" / "a.nc", "does not exist"),
        (tmp_path / "file" / "a.nc", "does not exist"),
    ):
        with pytest.raises(KerfproofError, match=words):
            store.check_target(path)


def test_built_in_machines_and_charts_are_found_by_name() -> None:
    names = [file.name for file in store.shop_files("machines")]
    assert "contact-float-inch" in names
    assert names == sorted(names)
    assert store.shop_file("charts", "air-50a").origin == "built-in"


def test_an_unknown_name_is_answered_with_the_names_there_are() -> None:
    with pytest.raises(KerfproofError, match="contact-float-inch") as caught:
        store.shop_file("machines", "contact")
    assert "no machine is called 'contact'" in str(caught.value)


def test_a_copy_gets_its_own_name_and_hides_nothing_else(own_folder: Path) -> None:
    path = store.copy_shop_file("machines", "contact-float-inch", "shed")
    assert path == own_folder / "machines" / "shed.toml"
    copied, source = store.shop_file("machines", "shed"), store.shop_file("machines", "contact-float-inch")
    assert (copied.origin, source.origin) == ("own", "built-in")
    assert 'name = "shed"' in copied.text
    own = copied.text.replace('name = "shed"', 'name = "contact-float-inch"')
    assert (
        own.replace(
            '"shed (Contact start, floating head, inch programs)"', '"Contact start, floating head, inch programs"'
        )
        == source.text
    )
    again = store.copy_shop_file("machines", "shed", "barn").read_text(encoding="utf-8")
    assert 'title = "barn (Contact start, floating head, inch programs)"' in again


def test_a_copy_never_overwrites_and_takes_only_plain_names(own_folder: Path) -> None:
    path = store.copy_shop_file("charts", "air-50a", "mine")
    path.write_text("kept", encoding="utf-8")
    with pytest.raises(KerfproofError, match="there already"):
        store.copy_shop_file("charts", "air-50a", "mine")
    assert path.read_text(encoding="utf-8") == "kept"
    for name in ("", "../out", ".hidden", "a b"):
        with pytest.raises(KerfproofError, match="no name"):
            store.copy_shop_file("charts", "air-50a", name)


def test_own_files_come_before_built_in_ones_and_paths_before_names(own_folder: Path, tmp_path: Path) -> None:
    (own_folder / "charts").mkdir(parents=True)
    (own_folder / "charts" / "air-50a.toml").write_text("own", encoding="utf-8")
    (tmp_path / "loose.toml").write_text("loose", encoding="utf-8")
    assert store.shop_file("charts", "air-50a").text == "own"
    assert store.shop_file("charts", str(tmp_path / "loose.toml")).text == "loose"
