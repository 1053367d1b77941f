from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.errors import KerfproofError
from kerfproof.job import reading
from kerfproof.report.picture.colors import LIGHT
from kerfproof_app.__main__ import main
from kerfproof_app.batch import run as batching
from kerfproof_app.batch.done_before import NAME
from kerfproof_app.batch.folder_settings import FolderSettings
from kerfproof_app.batch.one_drawing import Task, make
from kerfproof_app.batch.pool import Begun, Done, Lost
from kerfproof_app.batch.result import Result, State
from kerfproof_app.cli.common.batch_order import resolved
from kerfproof_app.shop import store
from support.app import batches
from support.app.batches import Inline, Listener, everything, order, plate, put

LONG = "\u00dcbergro\u00dfe Platte 'No. 8' \"links\" " + "x" * 163 + ".dxf"
"""A name of 200 characters with an umlaut, blanks and quotes."""
Plain = FolderSettings(machine="contact-float-mm", material="mild steel", thickness=3.0)


@pytest.fixture(autouse=True)
def inline(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    monkeypatch.setattr(batching, "Pool", Inline)


class Shop:
    """Two folders and a way to run the batch over them."""

    def __init__(self, top: Path) -> None:
        self.folder, self.out = top / "in", top / "out"
        self.folder.mkdir()
        self.talk = Listener()

    def run(self, **changes: Any) -> batching.Batch:
        self.talk = Listener()
        return batching.run(order(self.folder, self.out, **changes), resolved, self.talk)

    def states(self, **changes: Any) -> dict[str, str]:
        return {r.name: str(r.state) for r in self.run(**changes).results}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path)


def only(batch: batching.Batch, name: str) -> Result:
    return next(r for r in batch.results if r.name == name)


def test_the_tree_is_mirrored_and_each_program_is_the_one_that_cut_writes(shop: Shop, tmp_path: Path) -> None:
    put(shop.folder / "a.dxf")
    put(shop.folder / "deep" / "er" / "b.DXF", plate(25.0))
    batch = shop.run()
    assert [(r.name, str(r.state), r.program) for r in batch.results] == [
        ("a.dxf", "proven", "a.nc"),
        ("deep/er/b.DXF", "proven", "deep/er/b.nc"),
    ]
    assert (batch.results[0].pierces, batch.results[0].width, batch.results[0].height) == (2, 100.0, 60.0)
    # Outline and hole, each moved by half the kerf; leads and over-burn come on top.
    assert 320 + 62 < (batch.results[0].cut_length or 0) < 320 + 62 + 60
    one = tmp_path / "one.nc"
    words = ["--machine", "contact-float-mm", "--material", "mild steel", "--thickness", "3 mm"]
    for drawing in ("a.dxf", "deep/er/b.DXF"):
        assert main(["cut", str(shop.folder / drawing), "-o", str(one), *words]) == 0
        assert one.read_bytes() == (shop.out / (drawing[:-4] + ".nc")).read_bytes()


def test_one_bad_drawing_stops_no_other(shop: Shop) -> None:
    put(shop.folder / "1 rubbish.dxf", bytes(range(256)) * 20)
    put(shop.folder / "2 empty.dxf", b"")
    put(shop.folder / "3 small hole.dxf", plate(3.0))
    put(shop.folder / "4 no unit.dxf", plate(20.0, unit=0))
    put(shop.folder / "5 huge.dxf", plate(20.0, width=9000.0))
    put(shop.folder / "6 good.dxf")
    batch = shop.run()
    assert [(r.name[0], str(r.state), r.code) for r in batch.results] == [
        ("1", "unreadable", 2), ("2", "unreadable", 2), ("3", "refused", 1), ("4", "refused", 2),
        ("5", "refused", 2), ("6", "proven", 0),
    ]  # fmt: skip
    assert all(r.worst() for r in batch.results[:5])
    assert "--units" in only(batch, "4 no unit.dxf").reason
    assert [name for name in everything(shop.out) if name.endswith(".nc")] == ["6 good.nc"]


def test_a_drawing_that_lies_in_two_folders_is_planned_once_and_written_twice(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(shop.folder / "kerfproof.toml", b"count = 1\n")
    for name in ("a.dxf", "x/a.dxf", "x/other name.dxf", "more/a.dxf"):
        put(shop.folder / name)
    put(shop.folder / "more" / "kerfproof.toml", b"count = 2\n")
    for folder in ("y", "z"):
        put(shop.folder / folder / "hole.dxf", plate(3.0))
        put(shop.folder / folder / "rubbish.dxf", b"rubbish")
    made: list[Task] = []
    monkeypatch.setattr(batches, "make", lambda task: made.append(task) or make(task))
    batch = shop.run()
    names = ["a.dxf", "more/a.dxf", "x/other name.dxf", "y/hole.dxf", "y/rubbish.dxf"]
    assert [task.name for task in made] == names
    assert (batch.made, len(batch.results)) == (8, 8)
    there = everything(shop.out)
    assert sorted(name for name in there if name != NAME) == ["a.nc", "more/a.nc", "x/a.nc", "x/other name.nc"]
    assert shop.run().made == 0
    # What each becomes by itself is the same in every field, the bytes too.
    monkeypatch.setattr(batching, "like", lambda *_: None)
    assert shop.run(again=True).results == batch.results
    assert len(made) == 5 + 8
    assert everything(shop.out) == there


def test_a_copy_whose_original_changed_meanwhile_is_made_by_itself(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("x/a.dxf", "y/a.dxf"):
        put(shop.folder / name)

    def late(task: Task) -> Result:
        if task.name == "x/a.dxf":
            put(task.source, plate(25.0))
        return make(task)

    monkeypatch.setattr(batches, "make", late)
    batch = shop.run()
    assert {str(r.state) for r in batch.results} == {"proven"}
    assert (shop.out / "x/a.nc").read_bytes() != (shop.out / "y/a.nc").read_bytes()
    assert shop.run().made == 0


def test_a_drawing_is_parsed_once_and_what_can_not_be_planned_is_shown_as_drawn(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    parsed: list[str] = []

    def counted(data: bytes, name: str, *rest: Any) -> Any:
        parsed.append(name)
        return read_dxf(data, name, *rest)

    monkeypatch.setattr(reading, "read_dxf", counted)
    put(shop.folder / "1 fine.dxf")
    put(shop.folder / "2 huge.dxf", plate(20.0, width=9000.0))
    put(shop.folder / "3 no unit.dxf", plate(20.0, unit=0))
    put(shop.folder / "4 rubbish.dxf", b"rubbish")
    batch = shop.run()
    assert parsed == sorted(parsed)
    assert len(set(parsed)) == len(parsed) == 4
    assert [str(r.state) for r in batch.results] == ["proven", "refused", "refused", "unreadable"]
    assert all(r.picture.startswith("<svg ") for r in batch.results[:3])
    assert LIGHT["uncut"] in batch.results[1].picture
    assert batch.results[3].picture == ""


def test_an_empty_folder_and_one_without_drawings_are_refused_and_nothing_is_made(shop: Shop) -> None:
    with pytest.raises(KerfproofError, match="the folder is empty"):
        shop.run()
    put(shop.folder / "sub" / "note.txt", b"")
    with pytest.raises(KerfproofError, match="no drawing"):
        shop.run()
    assert not shop.out.exists()


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_loops_and_broken_links_are_told_and_the_rest_is_cut(shop: Shop) -> None:
    put(shop.folder / "a" / "x.dxf")
    (shop.folder / "a" / "again").symlink_to(shop.folder)
    (shop.folder / "lost.dxf").symlink_to(shop.folder / "nowhere")
    (shop.folder / "own.dxf").symlink_to(shop.folder / "own.dxf")
    assert shop.states() == {"a/x.dxf": "proven", "lost.dxf": "unreadable", "own.dxf": "unreadable"}
    assert shop.talk.said == ["a/again: a link to a folder of the same tree, not followed"]


def test_a_file_that_can_not_be_read_is_one_line(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    put(shop.folder / "a.dxf")
    put(shop.folder / "shut.dxf")
    read = Path.read_bytes

    def refuse(self: Path) -> bytes:
        if self.name == "shut.dxf":
            raise PermissionError(13, "Permission denied")
        return read(self)

    monkeypatch.setattr(Path, "read_bytes", refuse)
    batch = shop.run()
    assert {r.name: str(r.state) for r in batch.results} == {"a.dxf": "proven", "shut.dxf": "unreadable"}
    assert only(batch, "shut.dxf").reason == "can't be read: permission denied"
    monkeypatch.undo()
    monkeypatch.setattr(batching, "Pool", Inline)
    assert shop.states() == {"a.dxf": "proven", "shut.dxf": "proven"}
    assert shop.talk.begun == ["shut.dxf"]


def test_drawings_that_would_write_the_same_program_are_told_and_none_of_them_is_cut(shop: Shop) -> None:
    for name in ("a.dxf", "a.DXF", "b.dxf"):
        put(shop.folder / name)
    batch = shop.run()
    assert {r.name: str(r.state) for r in batch.results} == {"a.DXF": "refused", "a.dxf": "refused", "b.dxf": "proven"}
    assert "the same program as a.dxf: a.nc" in only(batch, "a.DXF").reason
    assert only(batch, "a.dxf").code == 2
    assert sorted(p.name for p in shop.out.glob("*.nc")) == ["b.nc"]


def test_names_with_umlauts_quotes_and_200_characters_are_names_like_others(shop: Shop) -> None:
    assert len(LONG) == 200
    names = [LONG, "two words.dxf", 'it\'s "fine" & (good); 50%.dxf', "\u4e2d\u6587.dxf", "-o.dxf", "a" * 200 + ".dxf"]
    for name in names:
        put(shop.folder / "B\u00f6den" / name)
    assert set(shop.states().values()) == {"proven"}
    assert sorted(p.name for p in (shop.out / "B\u00f6den").iterdir()) == sorted(n[:-4] + ".nc" for n in names)


@pytest.mark.skipif(sys.platform != "linux", reason="names are text there")
def test_a_name_that_is_no_text_is_cut_too(shop: Shop) -> None:
    put(Path(os.fsdecode(os.fsencode(shop.folder) + b"/gr\xfcn\n.dxf")))
    batch = shop.run()
    assert [str(r.state) for r in batch.results] == ["proven"]
    assert [os.fsencode(p.name) for p in shop.out.glob("*.nc")] == [b"gr\xfcn\n.nc"]
    assert shop.run().made == 0


def test_unchanged_inputs_are_skipped_and_the_results_are_the_same(shop: Shop) -> None:
    for name in ("a.dxf", "b.dxf"):
        put(shop.folder / name)
    put(shop.folder / "bad.dxf", b"no drawing")
    put(shop.folder / "hole.dxf", plate(3.0))
    first = shop.run()
    files = everything(shop.out)
    second = shop.run()
    assert (first.made, second.made) == (4, 0)
    assert second.results == first.results
    assert everything(shop.out) == files
    assert shop.talk.counts == [(0, 4)]
    assert shop.run(again=True).made == 4
    assert everything(shop.out) == files


def change_content(shop: Shop) -> dict[str, Any]:
    put(shop.folder / "a.dxf", plate(30.0))
    return {}


def change_settings(shop: Shop) -> dict[str, Any]:
    put(shop.folder / "kerfproof.toml", b'kerf = "2 mm"')
    return {}


def change_words(shop: Shop) -> dict[str, Any]:
    return {"said": replace(Plain, thickness=2.0)}


def change_machine(shop: Shop) -> dict[str, Any]:
    text = store.shop_file("machines", "contact-float-mm").text
    slower = re.sub(r'(?m)^light_delay( *)= "[^"]*"', r'light_delay\1= "0.95 s"', text)
    put(store.own_path("machines", "contact-float-mm"), slower.encode())
    return {}


def change_chart(shop: Shop) -> dict[str, Any]:
    put(store.own_path("charts", "air-50a"), store.shop_file("charts", "air-50a").text.encode() + b"\n# measured\n")
    chart = store.own_path("charts", "air-50a")
    chart.write_text(chart.read_text(encoding="utf-8").replace('kerf = "1', 'kerf = "2'), encoding="utf-8")
    return {}


def change_program(shop: Shop) -> dict[str, Any]:
    with (shop.out / "a.nc").open("ab") as file:
        file.write(b"M3\n")
    return {}


def lose_program(shop: Shop) -> dict[str, Any]:
    (shop.out / "a.nc").unlink()
    return {}


def lose_memory(shop: Shop) -> dict[str, Any]:
    (shop.out / NAME).unlink()
    return {}


@pytest.mark.parametrize(
    "change",
    [
        change_content, change_settings, change_words, change_machine, change_chart, change_program, lose_program,
        lose_memory,
    ],
)  # fmt: skip
def test_whatever_the_program_depends_on_makes_it_new(shop: Shop, change: Callable[[Shop], dict[str, Any]]) -> None:
    put(shop.folder / "a.dxf")
    assert shop.run().made == 1
    before = (shop.out / "a.nc").read_bytes()
    changes = change(shop)
    assert shop.run(**changes).made == 1
    same = (shop.out / "a.nc").read_bytes() == before
    assert same is change.__name__.startswith(("lose", "change_program"))
    assert shop.run(**changes).made == 0


def test_another_version_makes_everything_new(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    put(shop.folder / "a.dxf")
    assert shop.run().made == 1
    monkeypatch.setattr("kerfproof_app.batch.one_drawing.version", lambda name: "99.0")
    assert shop.run().made == 1


def test_a_program_whose_drawing_went_bad_or_away_is_told_and_never_deleted(shop: Shop) -> None:
    for name in ("a.dxf", "b.dxf", "c.dxf"):
        put(shop.folder / name)
    assert shop.run().behind == ()
    put(shop.folder / "a.dxf", plate(3.0))
    (shop.folder / "b.dxf").unlink()
    old = (shop.out / "a.nc").read_bytes()
    batch = shop.run()
    assert batch.behind == ("a.nc", "b.nc")
    assert (shop.out / "a.nc").read_bytes() == old
    assert shop.run().behind == ("a.nc", "b.nc")
    put(shop.folder / "a.dxf")
    assert shop.run().behind == ("b.nc",)


# --- settings -----------------------------------------------------------------------------------------


def test_the_nearest_settings_win_and_the_words_of_the_command_over_all(shop: Shop) -> None:
    for name in ("a.dxf", "x/b.dxf", "x/y/c.dxf"):
        put(shop.folder / name)
    put(shop.folder / "kerfproof.toml", b'thickness = "2 mm"\nmaterial = "aluminium"\ncount = 2\n')
    put(shop.folder / "x" / "kerfproof.toml", b'thickness = "3 mm"\n')
    put(shop.folder / "x" / "y" / "kerfproof.toml", b'material = "mild steel"\ncount = 1\n')
    machine = FolderSettings(machine="contact-float-mm")
    told = [(r.material, r.thickness, r.count, r.parts) for r in shop.run(said=machine).results]
    assert told == [("aluminium", 2.0, 2, 2), ("aluminium", 3.0, 2, 2), ("mild steel", 3.0, 1, 1)]
    words = replace(machine, material="mild steel")
    assert {r.material for r in shop.run(said=words).results} == {"mild steel"}


def test_units_and_roles_of_a_folder_reach_its_drawings(shop: Shop) -> None:
    put(shop.folder / "a.dxf", plate(20.0, unit=0))
    put(shop.folder / "kerfproof.toml", b'units = "mm"\n[[role]]\nlayer = "0"\nrole = "ignore"\n')
    batch = shop.run()
    assert str(batch.results[0].state) == "refused"
    assert "closed contour" in batch.results[0].reason
    put(shop.folder / "kerfproof.toml", b'units = "mm"\n')
    assert shop.states() == {"a.dxf": "proven"}


def test_wrong_settings_are_told_once_and_stop_only_the_drawings_below_them(shop: Shop) -> None:
    for name in ("a.dxf", "x/b.dxf", "x/y/c.dxf"):
        put(shop.folder / name)
    put(shop.folder / "x" / "kerfproof.toml", b"thickness = 3\ncuont = 2\n")
    batch = shop.run()
    assert [str(r.state) for r in batch.results] == ["proven", "refused", "refused"]
    told = "x/kerfproof.toml: 2 mistakes; thickness: 3 needs a unit"
    assert all(r.reason.startswith(told) and r.code == 2 for r in batch.results[1:])
    assert len(shop.talk.said) == 1
    assert "thickness:" in shop.talk.said[0]
    assert "did you mean count?" in shop.talk.said[0]


def test_a_machine_that_is_not_there_stops_only_the_drawings_it_is_for(shop: Shop) -> None:
    put(shop.folder / "a.dxf")
    put(shop.folder / "x" / "b.dxf")
    put(shop.folder / "x" / "kerfproof.toml", b'machine = "mill"\n')
    batch = shop.run(said=FolderSettings(material="mild steel", thickness=3.0))
    assert [str(r.state) for r in batch.results] == ["proven", "refused"]
    assert "no machine is called 'mill'" in batch.results[1].reason


def test_names_tell_material_and_thickness_before_folders_do(shop: Shop) -> None:
    for name in ("steel_2mm_a.dxf", "al_3mm_b.dxf", "plain.dxf"):
        put(shop.folder / name)
    text = b'names = "{material}_{thickness}_*"\nthickness = "4 mm"\n[materials]\nal = "aluminium"\n'
    put(shop.folder / "kerfproof.toml", text)
    batch = shop.run(said=FolderSettings(machine="contact-float-mm"))
    found = {r.name: (str(r.state), r.material, r.thickness) for r in batch.results}
    assert found["steel_2mm_a.dxf"] == ("proven", "mild steel", 2.0)
    assert found["al_3mm_b.dxf"] == ("proven", "aluminium", 3.0)
    assert found["plain.dxf"][0] == "refused"
    assert "so material is not known" in only(batch, "plain.dxf").reason


def test_a_name_off_the_pattern_is_noted_where_the_settings_say_the_rest(shop: Shop) -> None:
    put(shop.folder / "plain.dxf")
    batch = shop.run(said=replace(Plain, names="*_{thickness}"))
    assert str(batch.results[0].state) == "proven"
    assert [f["rule"] for f in batch.results[0].findings if f["rule"] == "name-pattern"] == ["name-pattern"]


def test_drawings_that_the_settings_skip_are_left_alone(shop: Shop) -> None:
    put(shop.folder / "a.dxf")
    put(shop.folder / "Draft 1.dxf", b"rubbish")
    put(shop.folder / "kerfproof.toml", b'skip = ["draft*"]\n')
    assert shop.states() == {"a.dxf": "proven"}


# --- disks --------------------------------------------------------------------------------------------


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Give a disk of 64 kB."""
    disk = tmp_path / "disk"
    disk.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(disk)], capture_output=True)
    if made.returncode:
        pytest.skip("no disk of its own may be mounted here")
    try:
        yield disk
    finally:
        subprocess.run(["umount", str(disk)], check=True)


IS_ROOT = sys.platform == "linux" and os.geteuid() == 0
no_root = pytest.mark.skipif(IS_ROOT, reason="root may write anywhere")
needs_root = pytest.mark.skipif(not IS_ROOT, reason="only root may mount a disk that fills up")


@needs_root
def test_a_full_disk_leaves_nothing_half_written_and_the_next_run_does_the_rest(shop: Shop, small_disk: Path) -> None:
    shop.out = small_disk
    for k in range(8):
        put(shop.folder / f"{k}.dxf", plate(20.0 + k))
    filler = put(small_disk / "filler", bytes(44 * 1024))
    batch = shop.run()
    failed = [r for r in batch.results if r.state is State.FAILED]
    proven = [r for r in batch.results if r.state is State.PROVEN]
    assert len(failed) + len(proven) == 8
    assert failed
    assert all("no space left on device" in r.reason and r.code == 2 for r in failed)
    assert sorted(p.name for p in small_disk.glob("*.nc")) == sorted(r.program for r in proven)
    assert not [name for name in everything(small_disk) if name not in ("filler", NAME) and not name.endswith(".nc")]
    filler.unlink()
    subprocess.run(["mount", "-o", "remount,size=1m", str(small_disk)], check=True)
    done = shop.run()
    assert {str(r.state) for r in done.results} == {"proven"}
    assert done.made >= len(failed)
    for k in range(8):
        assert (small_disk / f"{k}.nc").read_bytes().endswith(b"\n")


def test_what_can_not_be_noted_is_told_once_and_stops_nothing(shop: Shop) -> None:
    for name in ("a.dxf", "b.dxf"):
        put(shop.folder / name)
    (shop.out / NAME).mkdir(parents=True)
    assert shop.states() == {"a.dxf": "proven", "b.dxf": "proven"}
    noting, ending = shop.talk.said
    assert noting.startswith(f"{shop.out / NAME}: can't be written: is a directory (")
    assert "the next run does again what could not be noted there" in noting
    assert str(shop.out / NAME) in ending
    (shop.out / NAME).rmdir()
    assert shop.run().made == 2


@needs_root
def test_a_read_only_disk_is_refused_before_the_work(shop: Shop, small_disk: Path) -> None:
    put(shop.folder / "a.dxf")
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    shop.out = small_disk
    with pytest.raises(KerfproofError, match="nothing can be written there: read-only file system"):
        shop.run()
    shop.out = small_disk / "sub"
    with pytest.raises(KerfproofError, match="can't be made: read-only file system"):
        shop.run()
    assert shop.talk.begun == []


@no_root
def test_a_read_only_folder_is_refused_before_the_work(shop: Shop) -> None:
    put(shop.folder / "a.dxf")
    shop.out.mkdir(mode=0o500)
    with pytest.raises(KerfproofError, match="nothing can be written there: permission denied"):
        shop.run()


def test_as_root_one_of_these_tests_is_left_out_and_else_two() -> None:
    left_out = [
        name
        for name, test in globals().items()
        for mark in getattr(test, "pytestmark", [])
        if mark in (needs_root.mark, no_root.mark) and mark.args[0]
    ]
    assert len(left_out) == (1 if IS_ROOT else 2)


# --- processes ----------------------------------------------------------------------------------------


class Losing(Inline):
    """A pool whose process for ``bad.dxf`` dies both times, and that is stopped at ``stop.dxf``."""

    def run(self, tasks: Any) -> Iterator[Any]:
        for index, task in enumerate(tasks):
            yield Begun(index)
            if task.name == "stop.dxf":
                raise KeyboardInterrupt
            if task.name == "bad.dxf":
                yield Lost(index, "its process died (signal SIGKILL)", last=False)
            else:
                yield Done(index, make(task))
        for index, task in enumerate(tasks):
            if task.name == "bad.dxf":
                yield Lost(index, "its process died (signal SIGKILL)", last=True)


def test_a_drawing_that_kills_its_process_twice_is_told_and_tried_again_the_next_time(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(batching, "Pool", Losing)
    put(shop.folder / "bad.dxf")
    put(shop.folder / "good.dxf")
    batch = shop.run()
    bad = only(batch, "bad.dxf")
    assert (str(bad.state), bad.code) == ("failed", 2)
    assert bad.reason == "its process died (signal SIGKILL), twice"
    assert shop.talk.said == ["bad.dxf: its process died (signal SIGKILL); it is tried once more, alone"]
    assert str(only(batch, "good.dxf").state) == "proven"
    monkeypatch.setattr(batching, "Pool", Inline)
    assert shop.states() == {"bad.dxf": "proven", "good.dxf": "proven"}
    assert shop.talk.begun == ["bad.dxf"]


def test_stopping_tells_what_is_done_and_what_is_left_and_the_next_run_does_it(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("gone.dxf", "z.dxf"):
        put(shop.folder / name)
    shop.run()
    (shop.folder / "gone.dxf").unlink()
    put(shop.folder / "z.dxf", plate(25.0))
    for name in ("a.dxf", "stop.dxf"):
        put(shop.folder / name)
    old = (shop.out / "z.nc").read_bytes()
    monkeypatch.setattr(batching, "Pool", Losing)
    reported: list[batching.Batch] = []
    with pytest.raises(batching.Stopped) as stopped:
        batching.run(order(shop.folder, shop.out), resolved, shop.talk, reported.append)
    assert reported == [stopped.value.batch]
    batch = stopped.value.batch
    assert (batch.made, stopped.value.left) == (1, ("stop.dxf", "z.dxf"))
    assert [(r.name, str(r.state), r.code) for r in batch.results] == [
        ("a.dxf", "proven", 0), ("stop.dxf", "left", 130), ("z.dxf", "left", 130),
    ]  # fmt: skip
    assert batch.results[1].reason == "not done: the run was stopped before it"
    assert batch.results[2].reason.endswith("; the program that lies there is an older one")
    assert [name for name in everything(shop.out) if name != NAME] == ["a.nc", "gone.nc", "z.nc"]
    assert (shop.out / "z.nc").read_bytes() == old
    monkeypatch.setattr(batching, "Pool", Inline)
    after = shop.run()
    assert (after.made, after.behind) == (2, ("gone.nc",))
    assert (shop.out / "z.nc").read_bytes() != old


@pytest.mark.skipif(os.name == "nt", reason="signals differ there")
def test_a_polite_request_to_end_counts_as_ctrl_c(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    def asked(index: int, _: Any) -> Iterator[Any]:
        yield Begun(index)
        os.kill(os.getpid(), signal.SIGTERM)

    monkeypatch.setattr(Inline, "run", lambda self, tasks: asked(0, tasks))
    before = signal.getsignal(signal.SIGTERM)
    put(shop.folder / "a.dxf")
    with pytest.raises(batching.Stopped):
        shop.run()
    assert signal.getsignal(signal.SIGTERM) == before


def test_a_file_that_lies_where_a_folder_of_programs_should_stops_only_those(shop: Shop) -> None:
    for name in ("a.dxf", "sub/b.dxf"):
        put(shop.folder / name)
    put(shop.out / "sub", b"precious")
    batch = shop.run()
    assert [(str(r.state), r.code) for r in batch.results] == [("proven", 0), ("failed", 2)]
    assert batch.results[1].reason == "the folder of sub/b.nc can't be made: file exists"
    assert (shop.out / "sub").read_bytes() == b"precious"


def test_an_unforeseen_fault_in_one_drawing_is_one_line(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from kerfproof import api

    plan = api.Bench.plan

    def fails(self: api.Bench, job: Any, *rest: Any) -> Any:
        if job.drawings[0].name == "odd.dxf":
            raise IndexError("list index")
        return plan(self, job, *rest)

    monkeypatch.setattr(api.Bench, "plan", fails)
    put(shop.folder / "a.dxf")
    put(shop.folder / "odd.dxf")
    batch = shop.run()
    assert [str(r.state) for r in batch.results] == ["proven", "failed"]
    assert "this should not have happened (IndexError: list index)" in batch.results[1].reason
    monkeypatch.undo()
    monkeypatch.setattr(batching, "Pool", Inline)
    assert shop.run().made == 1
