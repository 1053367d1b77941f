from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontDatabase

from kerfproof.errors import Finding, Severity
from kerfproof.job.job import SmallHoles
from kerfproof.report.picture.picture import compose
from kerfproof_app.shop import store
from kerfproof_app.window.findings.findings_list import WORDS, advice, what
from kerfproof_app.window.findings.findings_panel import FindingsPanel
from kerfproof_app.work.session import Session
from support.app import panels
from support.app.at_the_window import actions_of
from support.shop import shop


@pytest.fixture(autouse=True)
def _config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KERFPROOF_CONFIG", str(tmp_path / "config"))


def panel_of(session: Session, qtbot) -> FindingsPanel:
    made = FindingsPanel(session)
    qtbot.addWidget(made)
    made.resize(340, 500)
    made.show()
    return made


def rules(panel: FindingsPanel) -> list[str]:
    return [panel.model.at(panel.model.index(k)).finding.rule for k in range(panel.model.rowCount())]


def choose(panel: FindingsPanel, rule: str) -> None:
    panel.view.setCurrentIndex(panel.model.index(rules(panel).index(rule)))


def press(panel: FindingsPanel, words: str) -> None:
    button = next(b for b in actions_of(panel) if words in b.text())
    button.click()


def test_the_worst_stand_first_as_sentences(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20), small_holes=SmallHoles.ERROR)
    found = (
        Finding("n", Severity.NOTE, "a note"),
        *session.outcome.findings,
        Finding("w", Severity.WARNING, "mind it"),
    )
    session.outcome = replace(session.outcome, findings=found)
    panel = panel_of(session, qtbot)
    order = [panel.model.at(panel.model.index(k)).finding.severity for k in range(panel.model.rowCount())]
    assert order == sorted(order, key=[Severity.ERROR, Severity.WARNING, Severity.NOTE].index)
    words = panel.model.index(0).data()
    assert words.startswith("Error A: hole 1 D4 is under 5.8 mm")


def test_the_filter_hides_severities_and_words(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20), small_holes=SmallHoles.ERROR)
    found = (*session.outcome.findings, Finding("w", Severity.WARNING, "mind the slats"))
    session.outcome = replace(session.outcome, findings=found)
    panel = panel_of(session, qtbot)
    panel.filters[Severity.ERROR].click()
    assert rules(panel) == ["w"]
    assert panel.filters[Severity.ERROR].text() != "0"
    panel.filters[Severity.ERROR].click()
    panel.search.setText("slats MIND")
    assert rules(panel) == ["w"]
    panel.search.setText("nothing has this")
    assert panel.nothing.text() == "No finding matches the filter."


def test_show_where_selects_the_finding_for_all(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20), small_holes=SmallHoles.ERROR)
    panel = panel_of(session, qtbot)
    choose(panel, "hole-too-small")
    press(panel, "Show where")
    assert session.findings[session.selection.finding].rule == "hole-too-small"


def test_enter_shows_where_as_well(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20), small_holes=SmallHoles.ERROR)
    panel = panel_of(session, qtbot)
    choose(panel, "hole-too-small")
    qtbot.keyClick(panel.view, Qt.Key.Key_Return)
    assert session.selection.finding is not None


def test_what_is_chosen_elsewhere_is_chosen_here(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 5, 20), small_holes=SmallHoles.ERROR)
    panel = panel_of(session, qtbot)
    numbers = [k for k, f in enumerate(session.findings) if f.rule == "hole-too-small"]
    assert len(numbers) == 2
    session.select(finding=numbers[1])
    assert panel.chosen.number == numbers[1]


def test_leaving_small_holes_to_the_drill_mends_and_undo_takes_it_back(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20), small_holes=SmallHoles.ERROR)
    panel = panel_of(session, qtbot)
    assert session.verdict == "NOT PROVEN"
    choose(panel, "hole-too-small")
    press(panel, "drill")
    assert session.job.small_holes is SmallHoles.DRILL
    assert session.undo_label == "leave small holes to the drill"
    session.settle()
    assert session.verdict.startswith("PROVEN")
    assert "hole-too-small" not in rules(panel)
    session.undo()
    session.settle()
    assert "hole-too-small" in rules(panel)


def test_a_gap_in_the_only_outline_is_joined_from_here(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.outline_with_gap(0.6))
    assert session.state == "failed"
    panel = panel_of(session, qtbot)
    assert rules(panel)[0] == "nothing-to-cut"
    choose(panel, "open-chain")
    press(panel, "Join gaps up to 0.61 mm")
    session.settle()
    assert session.verdict.startswith("PROVEN")
    session.undo()
    session.settle()
    assert session.state == "failed"


def test_findings_of_an_older_state_are_called_so(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20), small_holes=SmallHoles.ERROR)
    panel = panel_of(session, qtbot)
    session.change("thicker", thickness=4.0)
    assert panel.verdict.text().startswith("Checking.")
    session.settle()
    assert panel.verdict.text() == ""


def test_nothing_wrong_is_said_with_what_it_holds_for(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(20), small_holes=SmallHoles.ERROR)
    session.outcome = replace(session.outcome, findings=())
    panel = panel_of(session, qtbot)
    assert "Nothing was found wrong." in panel.nothing.text()
    assert "lost steps" in panel.nothing.text()


def test_a_machine_finding_opens_the_field_of_the_machine(tmp_path: Path, qtbot) -> None:
    store.copy_shop_file("machines", "contact-float-mm", "shed")
    path = store.own_path("machines", "shed")
    path.write_text(path.read_text().replace('preload = "1 mm"', 'preload = "0.2 mm"'))
    session = panels.session_on(tmp_path, panels.plate_with_holes(20), machine="shed")
    panel = panel_of(session, qtbot)
    choose(panel, "machine-preload-small")
    with qtbot.waitSignal(panel.field_wanted, timeout=500) as told:
        press(panel, "Open this field")
    assert told.args == ["torch.preload"]


def test_the_rule_is_explained_on_demand(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20), small_holes=SmallHoles.ERROR)
    panel = panel_of(session, qtbot)
    choose(panel, "hole-too-small")
    with qtbot.waitSignal(panel.rule_wanted, timeout=500) as told:
        press(panel, "What does this mean?")
    assert told.args == ["hole-too-small"]


def test_rows_take_the_height_of_their_words(tmp_path: Path, qtbot) -> None:
    for path in store.font_files():
        QFontDatabase.addApplicationFont(path)
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20), small_holes=SmallHoles.ERROR)
    panel = panel_of(session, qtbot)
    panel.view.grab()
    wide = panel.view.visualRect(panel.model.index(0)).height()
    panel.resize(220, 500)
    panel.view.grab()
    assert panel.view.visualRect(panel.model.index(0)).height() > wide


def test_words_for_the_command_line_are_left_out() -> None:
    def told(text: str) -> str:
        return advice(Finding("x", Severity.NOTE, "it is so", text))

    assert told("close the gap in the drawing or allow --join 0.52mm") == "Close the gap in the drawing."
    assert told("cut it all the same with --role BEND=cut") == "Cut it all the same."
    assert told("say --page ignore or --page cut") == ""
    assert told("--small-holes drill leaves it out, --small-holes cut cuts it; or draw it larger") == "Draw it larger."
    assert told("draw it wider") == "Draw it wider."
    assert what(Finding("x", Severity.NOTE, "it is so", "do", line=3)) == "It is so (line 3)"


def test_what_is_found_is_told_and_sought_in_the_unit_shown(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(4, 20), small_holes=SmallHoles.ERROR)
    panel = panel_of(session, qtbot)
    choose(panel, "hole-too-small")
    in_mm = panel.view.currentIndex().data(WORDS)
    assert "D4 is under 5.8 mm" in in_mm[0]
    session.show_inches(True)
    assert panel.chosen is not None and panel.chosen.finding.rule == "hole-too-small"
    wrong, cure = panel.view.currentIndex().data(WORDS)
    assert "D0.157 in is under 0.228 in" in wrong and " mm" not in wrong + cure
    assert panel.view.currentIndex().data() == f"Error A: {panel.chosen.finding.sentence(inches=True)}"
    panel.search.setText("0.228")
    assert rules(panel) == ["hole-too-small"]
    session.show_inches(False)
    panel.search.setText("")
    choose(panel, "hole-too-small")
    assert panel.view.currentIndex().data(WORDS) == in_mm


def test_with_nothing_open_it_says_so(tmp_path: Path, qtbot) -> None:
    panel = panel_of(panels.empty(tmp_path), qtbot)
    assert panel.nothing.text() == "Findings stand here once something is open."
    assert actions_of(panel) == []


def test_marks_differ_in_shape_and_not_only_in_colour(qtbot) -> None:
    from kerfproof_app.window.widgets.severity_marks import mark_icon
    from kerfproof_app.window.widgets.tones import Tones

    shapes = []
    for severity in Severity:
        picture = mark_icon(severity, Tones(False)).pixmap(16, 16).toImage()
        shapes.append(tuple(picture.pixelColor(x, y).alpha() > 128 for x in range(16) for y in range(16)))
    assert len(set(shapes)) == 3


def test_the_demo_sheet_needs_no_mend(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, shop.demo("sluice-sheet"))
    panel = panel_of(session, qtbot)
    assert all(panel.model.at(panel.model.index(k)).finding.severity is Severity.NOTE for k in range(len(rules(panel))))


def test_each_row_has_the_letter_of_its_flag_on_the_plate(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, panels.plate_with_holes(2.0, 3.0, 14.0), small_holes=SmallHoles.ERROR)
    panel = panel_of(session, qtbot)
    shown = compose(session.outcome, brief=True).callouts
    placed = {c.letter: c for c in shown if c.at is not None}
    assert placed
    for k in range(panel.model.rowCount()):
        row = panel.model.at(panel.model.index(k))
        at = session.outcome.place_of(row.finding)
        if at is None:
            assert row.letter == ""
            continue
        flag = placed[row.letter]
        assert at in (flag.at, *flag.more)
        assert f" {row.letter}: " in panel.model.index(k).data()


def test_what_a_drawing_is_told_of_stands_in_its_own_coordinates_and_says_so() -> None:
    finding = Finding("open-chain", Severity.ERROR, "a chain does not close", x=20.0, y=30.0, drawing="a.dxf")
    assert what(finding) == "A chain does not close (at 20.00, 30.00 mm of the drawing)"


def test_a_drawing_with_nothing_to_cut_says_so_once(tmp_path: Path, qtbot) -> None:
    session = panels.session_on(tmp_path, shop.dxf(lambda space: space.add_text("LID", height=10)))
    assert session.state == "failed"
    assert rules(panel_of(session, qtbot)).count("nothing-to-cut") == 1
