from __future__ import annotations

import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from kerfproof_app.shop.tip_usage import Tip, TipLife, outruns


def life(tmp_path: Path, patience: float = 5.0) -> TipLife:
    return TipLife(tmp_path / "data" / "tiplife.sqlite", patience)


def counted(kept: TipLife, starts: int = 10, lasts: int = 100, digest: str = "d") -> tuple[Tip, int]:
    return kept.count("shed", "2030-05-01T10:00:00", "part.nc", digest, starts, 12.5, lasts)


def test_nothing_is_made_until_something_is_counted(tmp_path: Path) -> None:
    kept = life(tmp_path)
    assert kept.tip("shed") is None and kept.tips() == []
    assert not kept.path.parent.exists()


def test_starts_and_arc_time_add_up_until_a_new_tip_is_fitted(tmp_path: Path) -> None:
    kept = life(tmp_path)
    counted(kept)
    tip, times = counted(kept)
    assert (tip.starts, tip.arc_s, tip.used, tip.programs, times) == (20, 25.0, pytest.approx(0.2), 2, 2)
    assert kept.fit_new("shed", "2030-05-02", "blue box") == tip
    fresh = kept.tip("shed")
    assert fresh is not None and (fresh.starts, fresh.used, fresh.note) == (0, 0.0, "blue box")


def test_each_start_counts_by_the_life_on_its_own_plate(tmp_path: Path) -> None:
    kept = life(tmp_path)
    counted(kept, 30, 150)
    tip, _ = counted(kept, 25, 50)
    assert tip.used == pytest.approx(30 / 150 + 25 / 50)
    tip, _ = counted(kept, 5, 0)
    assert not tip.counted and tip.starts == 60


def test_machines_have_their_own_tips(tmp_path: Path) -> None:
    kept = life(tmp_path)
    counted(kept)
    kept.fit_new("barn", "2030-01-01")
    assert [t.machine for t in kept.tips()] == ["barn", "shed"]


def test_a_job_that_outruns_the_tip_is_warned_of() -> None:
    tip = Tip(machine="shed", fitted="", starts=90, used=0.9)
    assert outruns(tip, 10, 100) == ""
    assert "about 10 left (90% used)" in outruns(tip, 11, 100)
    assert outruns(None, 100, 100) == "" and "have spare tips" in outruns(None, 101, 100)
    assert outruns(tip, 50, 0) == ""  # the row does not say how long a tip lasts


def test_a_damaged_file_is_kept_a_new_one_begun_and_it_is_told(tmp_path: Path) -> None:
    kept = life(tmp_path)
    kept.path.parent.mkdir()
    kept.path.write_bytes(b"this is no database at all, but long enough to look at" * 20)
    tip, _ = counted(kept)
    assert tip.starts == 10
    assert (kept.path.parent / "tiplife-damaged-1.sqlite").read_bytes().startswith(b"this is no")
    assert len(kept.told) == 1 and "damaged" in kept.told[0] and "tiplife-damaged-1.sqlite" in kept.told[0]
    kept.path.write_bytes(b"broken once more" * 100)
    counted(kept)
    assert (kept.path.parent / "tiplife-damaged-2.sqlite").is_file()


def test_a_file_of_other_tables_is_damaged_too(tmp_path: Path) -> None:
    kept = life(tmp_path)
    kept.path.parent.mkdir()
    db = sqlite3.connect(kept.path)
    db.execute("CREATE TABLE tips (colour TEXT)")
    db.commit()
    db.close()
    tip, _ = counted(kept)
    assert tip.starts == 10 and kept.told


def test_a_file_that_stays_locked_is_set_aside_and_told(tmp_path: Path) -> None:
    kept = life(tmp_path, patience=0.1)
    counted(kept)
    holder = sqlite3.connect(kept.path, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    tip, _ = counted(kept, 7)
    holder.execute("ROLLBACK")
    holder.close()
    assert tip.starts == 7
    assert "locked" in kept.told[0]
    old = sqlite3.connect(kept.path.parent / "tiplife-locked-1.sqlite")
    assert old.execute("SELECT SUM(starts) FROM cuts").fetchone() == (10,)
    old.close()


_COUNT = """
import sys
from pathlib import Path
from kerfproof_app.shop.tip_usage import TipLife
life = TipLife(Path(sys.argv[1]))
for k in range(25):
    life.count("shed", "now", "p.nc", sys.argv[2] + str(k), 3, 1.0, 100)
assert not life.told
"""


@pytest.mark.slow
def test_two_processes_at_once_lose_nothing(tmp_path: Path) -> None:
    kept = life(tmp_path)
    running = [
        subprocess.Popen([sys.executable, "-c", _COUNT, str(kept.path), name]) for name in ("first", "second", "third")
    ]
    assert [process.wait(timeout=60) for process in running] == [0, 0, 0]
    tip = kept.tip("shed")
    assert tip is not None and tip.starts == 3 * 25 * 3
