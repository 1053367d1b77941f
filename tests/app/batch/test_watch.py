from __future__ import annotations

from pathlib import Path

import pytest

from kerfproof.errors import KerfproofError
from kerfproof_app.batch.done_before import open_out
from kerfproof_app.batch.run import Batch
from kerfproof_app.batch.watch import PATIENCE_S, Watcher, ends_whole, watch
from kerfproof_app.cli.common.batch_order import resolved
from kerfproof_app.shop import store
from support.app.batches import Inline, Listener, order, plate, put


class Bench:
    """A watched folder with a clock of its own."""

    def __init__(self, top: Path) -> None:
        self.folder, self.out = top / "in", top / "out"
        self.folder.mkdir()
        self.now = 100.0
        self.pool, self.talk = Inline(), Listener()
        open_out(self.out)
        self.watcher = Watcher(order(self.folder, self.out), resolved, self.talk, self.pool, lambda: self.now)  # type: ignore[arg-type]

    def look(self, later: float = 1.0) -> Batch | None:
        self.now += later
        return self.watcher.look()

    def states(self, batch: Batch | None) -> dict[str, str]:
        assert batch is not None
        return {r.name: str(r.state) for r in batch.results}


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    return Bench(tmp_path)


def test_a_drawing_saved_into_the_folder_is_cut_two_looks_later_and_once(bench: Bench) -> None:
    assert bench.look() is None
    put(bench.folder / "a.dxf")
    assert bench.look() is None
    assert bench.states(bench.look()) == {"a.dxf": "proven"}
    assert (bench.out / "a.nc").is_file()
    assert [bench.look() for _ in range(3)] == [None, None, None]
    put(bench.folder / "sub" / "b.dxf", plate(25.0))
    assert bench.look() is None
    assert bench.states(bench.look()) == {"a.dxf": "proven", "sub/b.dxf": "proven"}
    assert bench.pool.asked == ["a.dxf", "sub/b.dxf"]


def test_a_file_that_grows_is_waited_for(bench: Bench) -> None:
    data = plate()
    for share in (0.2, 0.5, 0.8, 1.0):
        put(bench.folder / "a.dxf", data[: int(len(data) * share)])
        assert bench.look() is None
    assert bench.pool.asked == []
    assert bench.states(bench.look()) == {"a.dxf": "proven"}


def test_a_copy_that_stalls_is_waited_for_as_long_as_its_end_is_missing(bench: Bench) -> None:
    data = plate()
    put(bench.folder / "a.dxf", data[: len(data) // 2])
    for _ in range(6):
        assert bench.look() is None
    assert bench.talk.said == ["a.dxf: its end is missing; it may still be being copied"]
    put(bench.folder / "a.dxf", data)
    assert bench.look() is None
    assert bench.states(bench.look()) == {"a.dxf": "proven"}


def test_a_file_that_never_gets_an_end_is_tried_in_the_end(bench: Bench) -> None:
    put(bench.folder / "a.dxf", b"rubbish")
    assert bench.look() is None
    assert bench.look() is None
    assert bench.states(bench.look(PATIENCE_S)) == {"a.dxf": "unreadable"}
    assert bench.look() is None


def test_a_drawing_that_is_saved_again_is_cut_again_and_meanwhile_stays_as_it_was(bench: Bench) -> None:
    put(bench.folder / "a.dxf")
    put(bench.folder / "b.dxf")
    bench.look()
    bench.look()
    before = (bench.out / "a.nc").read_bytes()
    put(bench.folder / "a.dxf", plate(30.0)[:1000])
    put(bench.folder / "c.dxf")
    bench.look()
    assert bench.states(bench.look()) == {"a.dxf": "proven", "b.dxf": "proven", "c.dxf": "proven"}
    assert (bench.out / "a.nc").read_bytes() == before
    put(bench.folder / "a.dxf", plate(30.0))
    assert bench.look() is None
    assert bench.look() is not None
    assert (bench.out / "a.nc").read_bytes() != before
    assert bench.pool.asked == ["a.dxf", "b.dxf", "c.dxf", "a.dxf"]


def test_a_drawing_that_is_taken_away_leaves_the_report_and_its_program_is_named(bench: Bench) -> None:
    put(bench.folder / "a.dxf")
    put(bench.folder / "b.dxf")
    bench.look()
    bench.look()
    (bench.folder / "a.dxf").unlink()
    batch = bench.look()
    assert bench.states(batch) == {"b.dxf": "proven"}
    assert batch is not None
    assert batch.behind == ("a.nc",)


def test_a_watched_folder_that_goes_away_is_one_clear_line(bench: Bench) -> None:
    assert bench.look() is None
    bench.folder.rmdir()
    with pytest.raises(KerfproofError, match="no such folder"):
        bench.look()


def test_new_settings_make_new_programs(bench: Bench) -> None:
    put(bench.folder / "a.dxf")
    bench.look()
    bench.look()
    before = (bench.out / "a.nc").read_bytes()
    put(bench.folder / "kerfproof.toml", b'kerf = "2 mm"\n')
    assert bench.look() is None
    assert bench.look() is not None
    assert (bench.out / "a.nc").read_bytes() != before


def test_the_end_of_a_drawing_is_known(tmp_path: Path) -> None:
    data = plate()
    assert ends_whole(put(tmp_path / "a", data))
    assert not ends_whole(put(tmp_path / "b", data[:-10]))
    assert not ends_whole(put(tmp_path / "c", b""))
    assert not ends_whole(tmp_path / "nowhere")


def test_watching_goes_on_until_the_person_stops_it(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kerfproof_app.batch.watch.Pool", Inline)
    told: list[Batch] = []
    looks = 0

    def pause(seconds: float) -> None:
        nonlocal looks
        looks += 1
        if looks == 2:
            put(bench.folder / "late.dxf")
        if looks == 5:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        watch(order(bench.folder, bench.out), resolved, bench.talk, told.append, pause)
    assert [r.name for batch in told for r in batch.results] == ["late.dxf"]
