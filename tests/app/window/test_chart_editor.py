from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QLineEdit

from kerfproof.shop.chart_file import Row, parse_chart
from kerfproof.shop.energy import estimate
from kerfproof_app.shop import store
from kerfproof_app.window.shop.chart_editor import ChartEditor
from kerfproof_app.work.session import Session
from support.app import panels
from support.shop import shop


@pytest.fixture(autouse=True)
def _config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KERFPROOF_CONFIG", str(tmp_path / "config"))


@pytest.fixture
def session(tmp_path: Path) -> Session:
    return panels.opened(tmp_path, shop.demo("gusset"))


@pytest.fixture
def editor(session: Session, qtbot) -> ChartEditor:
    made = ChartEditor(session)
    qtbot.addWidget(made)
    made.resize(1000, 640)
    made.show()
    return made


@pytest.fixture
def own(editor: ChartEditor) -> ChartEditor:
    editor.name.setText("mine")
    editor.copy.click()
    return editor


def field(editor: ChartEditor, key: str):
    return next(f for f in editor.fields() if f.keys[-1] == key)


def type_into(editor: ChartEditor, key: str, text: str, qtbot) -> None:
    line = field(editor, key).editor
    assert isinstance(line, QLineEdit)
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)


def test_all_rows_stand_in_the_table(editor: ChartEditor) -> None:
    rows = shop.chart().rows
    assert editor.table.rowCount() == len(rows)
    assert editor.table.item(12, 1).text() == "3 mm"
    assert editor.table.item(12, 2).text() == "40 A"


def test_there_is_a_field_for_every_key_of_a_row(editor: ChartEditor) -> None:
    keys = {f.keys[-1] for f in editor.row_form.fields}
    assert keys == {info.alias or name for name, info in Row.model_fields.items()}
    assert all(f.text.text() for f in editor.row_form.fields)


def test_the_form_shows_the_row_chosen(editor: ChartEditor) -> None:
    editor.table.setCurrentCell(17, 0)
    assert field(editor, "thickness").editor.text() == "4 mm"
    assert editor.row_name.text() == "Row 18: mild steel, 4 mm, 45 A"
    editor.table.setCurrentCell(0, 0)
    assert field(editor, "thickness").editor.text() == "0.8 mm"


def test_it_opens_at_the_row_that_the_job_cuts_with(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, shop.demo("gusset"), thickness=6.0)
    editor = ChartEditor(session)
    qtbot.addWidget(editor)
    editor.show()
    used = session.outcome.process
    rows = shop.chart().rows
    row = editor.table.currentRow()
    assert row > 0 and (rows[row].material, rows[row].thickness, rows[row].amps) == (used.material, 6.0, used.amps)
    assert editor.row_name.text().startswith(f"Row {row + 1}: {used.material}, 6 mm")
    assert field(editor, "thickness").editor.text() == "6 mm"


def test_a_row_is_estimated_between_the_measured_ones(own: ChartEditor, qtbot) -> None:
    own.table.setCurrentCell(17, 0)
    own.thickness.setText("3.5 mm")
    own.estimate.click()
    assert own.said.text() == ""
    assert own.table.currentRow() == 18 and own.row_name.text() == "Row 19: mild steel, 3.5 mm, 45 A"
    assert own.document.good
    own.save.click()
    made = parse_chart(store.own_path("charts", "mine").read_text(), "mine").rows[18]
    alike = [row for row in shop.chart().rows if row.material == "mild steel"]
    wanted = estimate(alike, 3.5, 45.0, "mine")
    assert made.estimated and made.feed_mm_min == pytest.approx(wanted.feed_mm_min, rel=1e-4)
    assert wanted.source in made.source
    own.undo.click()
    assert own.table.rowCount() == len(shop.chart().rows)


@pytest.mark.parametrize(("text", "why"), [("90 mm", "too far from the rows"), ("thick", "is no length")])
def test_an_estimate_that_can_t_be_made_says_why(own: ChartEditor, text: str, why: str) -> None:
    own.thickness.setText(text)
    own.estimate.click()
    assert why in own.said.text() and own.said.isVisible()
    assert not own.document.changed


def test_a_measured_kerf_goes_into_the_own_chart_alone(session: Session, own: ChartEditor, qtbot) -> None:
    own.table.setCurrentCell(12, 0)
    type_into(own, "kerf", "1.62", qtbot)
    own.save.click()
    mine = parse_chart(store.own_path("charts", "mine").read_text(), "mine")
    assert mine.rows[12].kerf == 1.62
    assert [r.kerf for k, r in enumerate(mine.rows) if k != 12] == [
        r.kerf for k, r in enumerate(shop.chart().rows) if k != 12
    ]
    own.use.click()
    session.settle()
    assert session.outcome.process.kerf == 1.62


def test_a_mistake_stands_at_its_row_and_field(own: ChartEditor, qtbot) -> None:
    own.table.setCurrentCell(12, 0)
    type_into(own, "kerf", "wide", qtbot)
    assert '"wide" is no length' in field(own, "kerf").said.text()
    assert not own.table.verticalHeaderItem(12).icon().isNull()
    assert own.table.verticalHeaderItem(11).icon().isNull()
    own.table.setCurrentCell(2, 0)
    assert not field(own, "kerf").said.isVisible()
    assert "row 13.kerf" in own.said.text()


def test_rows_are_copied_and_taken_out(own: ChartEditor, qtbot) -> None:
    count = own.table.rowCount()
    own.table.setCurrentCell(12, 0)
    own.add.click()
    assert own.table.rowCount() == count + 1
    assert own.table.currentRow() == 13
    assert "stands already in row 13" in own.said.text()
    type_into(own, "current", "45 A", qtbot)
    assert own.save.isEnabled()
    own.remove.click()
    assert own.table.rowCount() == count
    assert own.document.good


def test_the_built_in_chart_can_t_be_changed(editor: ChartEditor, qtbot) -> None:
    assert not editor.add.isEnabled()
    assert not editor.remove.isEnabled()
    type_into(editor, "kerf", "9 mm", qtbot)
    assert not editor.document.changed


def test_a_row_broken_by_hand_opens_at_its_field(session: Session, qtbot) -> None:
    store.copy_shop_file("charts", "air-50a", "bent")
    path = store.own_path("charts", "bent")
    path.write_text(path.read_text().replace('kerf = "1.35 mm"', 'kerf = "thin"', 1))
    editor = ChartEditor(session)
    qtbot.addWidget(editor)
    editor.show()
    editor.show_file("bent")
    assert editor.table.currentRow() == 9
    assert '"thin" is no length' in field(editor, "kerf").said.text()


def test_a_chart_without_rows_says_so(session: Session, qtbot) -> None:
    (store.config_folder() / "charts").mkdir(parents=True, exist_ok=True)
    store.own_path("charts", "bare").write_text('name = "bare"\n')
    editor = ChartEditor(session)
    qtbot.addWidget(editor)
    editor.show()
    editor.show_file("bare")
    assert editor.row_name.text() == "The chart has no rows yet"
    assert not editor.save.isEnabled()
    editor.add_row()
    assert editor.table.rowCount() == 1
