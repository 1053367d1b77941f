from __future__ import annotations

from pathlib import Path

import pytest

from kerfproof.coupon.piece import ShopChange
from kerfproof.errors import KerfproofError
from kerfproof.shop.chart_file import parse_chart
from kerfproof.shop.machine_file import parse_machine
from kerfproof.shop.select_process import select_process
from kerfproof.units import LENGTH, TIME
from kerfproof_app.shop import save_measurements, store
from support.shop import shop

KERF = (ShopChange(file="chart", place=("kerf",), value=1.587, quantity=LENGTH),)


@pytest.fixture(autouse=True)
def own_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.CONFIG_VARIABLE, str(tmp_path / "own"))
    store.copy_shop_file("charts", "air-50a", "mine")
    store.copy_shop_file("machines", "contact-float-inch", "shed")


def row(thickness: float) -> object:
    return select_process(shop.chart(), "mild steel", thickness, None, shop.built_in())


def test_a_measured_kerf_goes_into_its_row_and_every_comment_stays() -> None:
    path = store.own_path("charts", "mine")
    before = path.read_text()
    saved = save_measurements.save_to_chart("mine", row(3.0), KERF, "kerf", "12 readings", "2030-05-01")  # type: ignore[arg-type]
    after = path.read_text()
    assert [(s.key, s.before, s.now) for s in saved] == [("row 13.kerf", "1.45 mm", "1.587 mm")]
    changed = [(a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]
    assert len(changed) == 1 and 'kerf = "1.587 mm"' in changed[0][1]
    assert "kerf measured 2030-05-01: 12 readings" in changed[0][1]
    assert parse_chart(after, "mine").rows[12].kerf == 1.587


def test_a_comment_behind_the_row_stays_too() -> None:
    save_measurements.save_to_chart("mine", row(6.0), KERF, "kerf", "x", "2030-05-01")  # type: ignore[arg-type]
    assert "# honest limit of piercing" in store.own_path("charts", "mine").read_text()


def test_measuring_again_replaces_the_old_note_and_keeps_the_others() -> None:
    delay = (ShopChange(file="chart", place=("pierce_delay",), value=0.35, quantity=TIME),)
    for date in ("2030-05-01", "2031-06-02"):
        save_measurements.save_to_chart("mine", row(3.0), KERF, "kerf", "first", date)  # type: ignore[arg-type]
        save_measurements.save_to_chart("mine", row(3.0), delay, "pierce", "row", date)  # type: ignore[arg-type]
    source = parse_chart(store.own_path("charts", "mine").read_text(), "mine").rows[12].source
    assert source == "kerf measured 2031-06-02: first | pierce measured 2031-06-02: row"


def test_a_row_that_is_not_there_is_added() -> None:
    save_measurements.save_to_chart("mine", row(2.5), KERF, "kerf", "x", "2030-05-01")  # type: ignore[arg-type]
    chart = parse_chart(store.own_path("charts", "mine").read_text(), "mine")
    assert len(chart.rows) == len(shop.chart().rows) + 1
    new = chart.rows[-1]
    assert (new.thickness, new.kerf) == (2.5, 1.587)
    assert "estimated" in new.source and "kerf measured 2030-05-01" in new.source


def test_a_float_goes_into_the_machine_in_its_own_unit_with_date_and_note() -> None:
    changes = (
        ShopChange(file="machine", place=("touch_off", "float"), value=18.9, quantity=LENGTH),
        ShopChange(file="machine", place=("touch_off", "float_spread"), value=0.04, quantity=LENGTH),
    )
    path = store.own_path("machines", "shed")
    before = path.read_text()
    save_measurements.save_to_machine("shed", changes, "float", "8 touches", "2030-05-01")
    after = path.read_text()
    assert 'float = "0.7441 in" # measured 2030-05-01' in after
    machine = parse_machine(after, "shed")
    assert machine.float_travel == pytest.approx(18.9, abs=2e-3)
    assert machine.float_spread == pytest.approx(0.04) and machine.float_note == "2030-05-01, 8 touches"
    assert [line for line in before.splitlines() if line.startswith("#")] == [
        line for line in after.splitlines() if line.startswith("#")
    ]


def test_built_in_files_are_never_changed() -> None:
    with pytest.raises(KerfproofError, match="built-in one"):
        save_measurements.save_to_chart("air-50a", row(3.0), KERF, "kerf", "x", "2030-05-01")  # type: ignore[arg-type]
    with pytest.raises(KerfproofError, match="machines copy contact-float-mm mine"):
        save_measurements.save_to_machine("contact-float-mm", (), "float", "x", "2030-05-01")


def test_a_value_that_would_spoil_the_file_is_not_written() -> None:
    path = store.own_path("machines", "shed")
    before = path.read_text()
    too_much = (ShopChange(file="machine", place=("touch_off", "float"), value=60.0, quantity=LENGTH),)
    with pytest.raises(KerfproofError, match="float_stroke"):
        save_measurements.save_to_machine("shed", too_much, "float", "x", "2030-05-01")
    assert path.read_text() == before
