from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from kerfproof.errors import KerfproofError
from kerfproof.shop.chart_file import parse_chart
from kerfproof.shop.machine_file import parse_machine
from kerfproof_app.shop import store
from kerfproof_app.window.shop.shop_document import CHARTS, MACHINES, ShopDocument, free_name


@pytest.fixture(autouse=True)
def _config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KERFPROOF_CONFIG", str(tmp_path / "config"))


@pytest.fixture
def machine() -> ShopDocument:
    built_in = ShopDocument(MACHINES, store.shop_file("machines", "contact-float-inch"))
    return built_in.copied("shed")


@pytest.fixture
def chart() -> ShopDocument:
    return ShopDocument(CHARTS, store.shop_file("charts", "air-50a")).copied("mine")


def test_a_built_in_file_is_read_only_and_good() -> None:
    for name in ("contact-float-inch", "contact-float-mm", "contact-skip-mm", "pilot-ohmic-mm"):
        document = ShopDocument(MACHINES, store.shop_file("machines", name))
        assert document.read_only
        assert document.good
        with pytest.raises(KerfproofError, match="built-in"):
            document.save()


def test_one_value_changes_one_line_and_all_comments_stay(machine: ShopDocument) -> None:
    before = machine.text.splitlines()
    machine.set(("touch_off", "float"), "19.4 mm")
    after = machine.text.splitlines()
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert changed == [('float = "0.75 in"', 'float = "19.4 mm"')]
    assert parse_machine(machine.text, "shed").float_travel == 19.4


def test_a_mistake_is_told_at_its_key(machine: ShopDocument) -> None:
    machine.set(("touch_off", "float"), "banana")
    machine.set(("z", "rapid"), "0 mm/min")
    assert set(machine.mistakes) == {"touch_off.float", "z.rapid"}
    assert machine.mistakes["touch_off.float"].startswith('"banana" is no length')
    assert next(iter(machine.mistakes)) == "z.rapid"
    with pytest.raises(KerfproofError, match="mistakes"):
        machine.save()


def test_contradictions_between_keys_are_told_as_well(machine: ShopDocument) -> None:
    machine.set(("touch_off", "float_stroke"), "10 mm")
    assert "must be more than touch_off.float" in machine.mistakes["touch_off.float_stroke"]


def test_a_dialect_that_does_not_exist_is_a_mistake(machine: ShopDocument) -> None:
    machine.set(("control", "dialect"), "klingon")
    assert "ngc" in machine.mistakes["control.dialect"]


def test_taking_a_key_out_and_back(machine: ShopDocument) -> None:
    machine.set(("control", "end_word"), "M30")
    assert machine.get(("control", "end_word")) == "M30"
    machine.set(("control", "end_word"), None)
    assert machine.get(("control", "end_word")) is None
    assert machine.good


def test_undo_and_redo_go_through_all_changes(machine: ShopDocument) -> None:
    begin = machine.text
    machine.set(("torch", "preload"), "1.5 mm")
    machine.set(("torch", "preload"), "2 mm")
    end = machine.text
    machine.undo()
    assert machine.get(("torch", "preload")) == "1.5 mm"
    machine.undo()
    assert machine.text == begin
    assert not machine.can_undo
    machine.redo()
    machine.redo()
    assert machine.text == end


def test_what_is_saved_is_what_stands_there(machine: ShopDocument) -> None:
    machine.set(("title",), "In the shed")
    assert machine.changed
    path = machine.save()
    assert not machine.changed
    assert path.read_text() == machine.text
    assert tomllib.loads(path.read_text())["title"] == "In the shed"


def test_a_text_that_is_no_toml_tells_its_line(machine: ShopDocument) -> None:
    line = machine.text.splitlines().index("[control]") + 1
    machine.set_text(machine.text.replace("[control]", "[control"))
    assert machine.broken_line == line
    assert not machine.good
    machine.set(("torch", "preload"), "2 mm")  # nothing to change in a broken text
    machine.undo()
    assert machine.good


def test_a_value_where_a_section_should_be_is_no_trouble(machine: ShopDocument) -> None:
    machine.set_text('name = "x"\ntable = 3\n')
    machine.set(("table", "travel_x"), "1 m")
    assert machine.get(("table", "travel_x")) is None
    assert "table" in machine.mistakes


def test_warnings_on_a_good_machine_are_kept_apart(machine: ShopDocument) -> None:
    machine.set(("torch", "preload"), "0.2 mm")
    assert machine.good
    assert [f.rule for f in machine.findings] == ["machine-preload-small"]


def test_rows_of_a_chart_are_copied_changed_and_taken_out(chart: ShopDocument) -> None:
    before = chart.text
    at = chart.add_row(5)
    assert at == 6
    assert chart.rows()[6] == chart.rows()[5]
    assert "row 7" in chart.mistakes
    chart.set(("row", 6, "current"), "45 A")
    assert chart.good
    assert parse_chart(chart.text, "mine").rows[6].amps == 45.0
    chart.remove_row(6)
    assert parse_chart(chart.text, "mine").rows == parse_chart(before, "mine").rows
    for _ in range(3):
        chart.undo()
    assert chart.text == before


def test_rows_under_headings_work_as_well() -> None:
    text = 'name = "a"\nsource = "me"\n' + "".join(
        f'\n[[row]]\nmaterial = "mild steel"\nthickness = "{t} mm"\ncurrent = "40 A"\nfeed = "2 m/min"\n'
        f'kerf = "1.4 mm"\ncut_height = "1.5 mm"\nmin_hole = "6 mm"\n'
        for t in (2, 3)
    )
    document = ShopDocument(CHARTS, store.ShopFile("a", text, "own", "a.toml"))
    assert document.good, document.mistakes
    document.add_row(0)
    document.set(("row", 1, "thickness"), "2.5 mm")
    assert [row.thickness for row in parse_chart(document.text, "a").rows] == [2.0, 2.5, 3.0]
    document.remove_row(0)
    assert [row.thickness for row in parse_chart(document.text, "a").rows] == [2.5, 3.0]


def test_a_copy_under_a_taken_name_is_refused(machine: ShopDocument) -> None:
    with pytest.raises(KerfproofError, match="there already"):
        machine.copied("shed")
    with pytest.raises(KerfproofError, match="no name"):
        machine.copied("../etc")


def test_a_free_name_is_free(machine: ShopDocument) -> None:
    assert free_name("machines", "contact-float-inch") == "my-contact-float-inch"
    store.copy_shop_file("machines", "contact-float-inch", "my-shed")
    assert free_name("machines", "shed") == "my-shed-2"
