from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QHelpEvent, QMouseEvent
from PySide6.QtWidgets import QApplication, QToolTip

from kerfproof.errors import Finding, Severity
from kerfproof_app.window.program.program_text import ProgramText
from kerfproof_app.window.program.program_view import ProgramView
from kerfproof_app.window.program.word_kinds import WordReader
from kerfproof_app.window.widgets.theme import palette
from kerfproof_app.work.session import Session
from kerfproof_app.work.view_state import Change
from support.app import panels
from support.shop import shop


@pytest.fixture
def session(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Session:
    monkeypatch.setenv("KERFPROOF_CONFIG", str(tmp_path / "config"))
    return panels.session_on(tmp_path, shop.demo("gusset"))


@pytest.fixture
def view(session: Session, qtbot) -> ProgramView:
    made = ProgramView(session)
    qtbot.addWidget(made)
    made.resize(420, 500)
    made.show()
    return made


def click(widget, place: QPointF) -> None:
    for kind, held in (
        (QEvent.Type.MouseButtonPress, Qt.MouseButton.LeftButton),
        (QEvent.Type.MouseButtonRelease, Qt.MouseButton.NoButton),
    ):
        QApplication.sendEvent(
            widget,
            QMouseEvent(
                kind, place, widget.mapToGlobal(place), Qt.MouseButton.LeftButton, held, Qt.KeyboardModifier.NoModifier
            ),
        )


def top(view: ProgramView) -> None:
    view.text.verticalScrollBar().setValue(0)
    view.grab()


def formats(text: ProgramText, line: int) -> list:
    return text.document().findBlockByNumber(line - 1).layout().formats()


def test_it_shows_the_program_as_written(session: Session, view: ProgramView) -> None:
    assert view.text.toPlainText() == session.outcome.program.text
    assert view.text.isReadOnly()


def test_the_present_line_follows_the_scrubber(session: Session, view: ProgramView) -> None:
    session.go_to(session.timeline.seconds / 2)
    assert view.text.present_line == session.moment.line
    marked = view.text.extraSelections()
    assert [m.cursor.blockNumber() + 1 for m in marked] == [session.moment.line]
    seen = [line for line, _top, _height in view.text._margin.lines_in_sight()]
    assert session.moment.line in seen


def test_a_click_on_a_line_goes_to_its_moment(session: Session, view: ProgramView) -> None:
    view.text.verticalScrollBar().setValue(40)
    line, above, height = view.text._margin.lines_in_sight()[6]
    click(view.text.viewport(), QPointF(30, above + height / 2))
    expected = session.timeline.moment_of_line(line)
    assert session.moment_s == pytest.approx(expected)


def test_the_keyboard_moves_the_line_as_well(session: Session, view: ProgramView, qtbot) -> None:
    view.text.setFocus()
    for _ in range(60):
        qtbot.keyClick(view.text, Qt.Key.Key_Down)
    assert session.moment_s == pytest.approx(session.timeline.moment_of_line(61))


def test_words_in_sight_are_coloured_and_others_wait(view: ProgramView) -> None:
    view.grab()
    seen = [line for line, _top, _height in view.text._margin.lines_in_sight()]
    assert all(formats(view.text, line) for line in seen if view.text.document().findBlockByNumber(line - 1).text())
    last = view.text.blockCount() - 2
    assert last not in seen
    assert not formats(view.text, last)


def test_torch_words_are_bold_and_of_their_own_colour(view: ProgramView) -> None:
    top(view)
    lines = view.text.toPlainText().splitlines()
    number = next(n for n, line in enumerate(lines, 1) if line == "M5")
    (part,) = formats(view.text, number)
    assert part.format.fontWeight() >= 700
    other = formats(view.text, next(n for n, line in enumerate(lines, 1) if line.startswith("G17")))[0]
    assert other.format.foreground().color() != part.format.foreground().color()


def test_findings_stand_in_the_margin_with_their_sentence(session: Session, view: ProgramView) -> None:
    found = (
        Finding("a", Severity.NOTE, "a note here", line=5),
        Finding("b", Severity.ERROR, "the worst here", "mend it", line=5),
    )
    session.outcome = replace(session.outcome, findings=found)
    session.tell(Change.OUTCOME)
    top(view)
    assert [f.severity for f in view.text._margin.findings_at(5)] == [Severity.ERROR, Severity.NOTE]
    _line, above, height = next(row for row in view.text._margin.lines_in_sight() if row[0] == 5)
    tip = view.text._margin.tip_at(int(above + height / 2))
    assert tip.splitlines() == ["the worst here (line 5) -> mend it", "a note here (line 5)"]
    place = QPointF(5, above + height / 2).toPoint()
    QApplication.sendEvent(
        view.text._margin, QHelpEvent(QEvent.Type.ToolTip, place, view.text._margin.mapToGlobal(place))
    )
    assert "the worst here" in QToolTip.text()
    QToolTip.hideText()


def test_the_arrows_go_from_finding_to_finding(session: Session, view: ProgramView) -> None:
    found = tuple(Finding("a", Severity.WARNING, "look", line=n) for n in (60, 90))
    session.outcome = replace(session.outcome, findings=found)
    session.tell(Change.OUTCOME)
    view.after.click()
    assert session.selection.finding == 0
    assert session.moment_s == pytest.approx(session.timeline.moment_of_line(60))
    view.after.click()
    assert session.selection.finding == 1
    view.before.click()
    assert session.selection.finding == 0


def test_an_older_program_is_called_so(session: Session, view: ProgramView) -> None:
    session.change("thicker", thickness=4.0)
    assert session.state == "checking"
    assert "before the last change" in view.state.text()
    session.settle()
    assert "before" not in view.state.text()
    assert view.text.toPlainText() == session.outcome.program.text


def test_without_a_program_it_says_so(tmp_path: Path, qtbot) -> None:
    view = ProgramView(panels.empty(tmp_path))
    qtbot.addWidget(view)
    assert view.state.text() == "No program"
    assert not view.after.isEnabled()


def test_another_theme_colours_anew(view: ProgramView) -> None:
    top(view)
    line = next(n for n, text in enumerate(view.text.toPlainText().splitlines(), 1) if text == "M5")
    before = formats(view.text, line)[0]
    light = before.format.foreground().color().name()
    view.setPalette(palette(True))
    top(view)
    after = formats(view.text, line)[0]
    assert after.format.foreground().color().name() != light


def test_of_two_hundred_thousand_lines_only_those_on_the_screen_are_read(qtbot, monkeypatch) -> None:
    read, words = [], WordReader.words
    monkeypatch.setattr(WordReader, "words", lambda self, line: read.append(line) or words(self, line))
    text = ProgramText()
    qtbot.addWidget(text)
    text.resize(400, 600)
    text.show()
    lines = [f"G1 X{n * 0.001:.4f} Y{n * 0.002:.4f} F2200" for n in range(200_000)]
    text.show_program("\n".join(lines))
    text.grab()
    on_a_screen = len(text._margin.lines_in_sight())
    assert 10 < len(read) <= on_a_screen < 100
    for line in range(1000, 200_000, 10_000):
        read.clear()
        text.show_line(line)
        text.grab()
        assert lines[line - 1] in read
        assert len(read) <= on_a_screen + 1
    read.clear()
    text.grab()
    assert not read, "what has its colours is not read again"


def test_the_panel_forgets_the_session_when_it_goes(session: Session, qtbot) -> None:
    view = ProgramView(session)
    listening = len(session._listeners)
    view.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert len(session._listeners) == listening - 1
    session.go_to(3.0)


@pytest.mark.parametrize("mark", ["\x0c", "\x0b", "\x1c", "\x85", "\u2028", "\u2029"])
def test_lines_are_counted_as_a_control_counts_them(view: ProgramView, mark: str) -> None:
    view.text.show_program(f"(a{mark}b)\r\nG21\rM5\nM2\n")
    blocks = [view.text.document().findBlockByNumber(k).text() for k in range(view.text.blockCount())]
    assert blocks[1:] == ["G21", "M5", "M2", ""] and view.text.blockCount() == 5
