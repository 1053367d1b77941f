"""Real sessions with events alone: mouse, keys, drops and the desktop's dialogs."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QLineEdit, QListView

from kerfproof.job.job import SmallHoles
from support.app.at_the_window import LEFT, actions_of, cut_of, drag, press_shortcut, settle
from support.app.panels import plate_with_holes
from support.shop import shop

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def drop(qtbot, window, *paths):
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    actions, keys = Qt.DropAction.CopyAction, Qt.KeyboardModifier.NoModifier
    at = QPoint(200, 300)
    QApplication.sendEvent(window, QDragEnterEvent(at, actions, data, LEFT, keys))
    QApplication.sendEvent(window, QDropEvent(QPointF(at), actions, data, LEFT, keys))
    settle(qtbot, window)


def choose_finding(qtbot, window, rule):
    """Click a finding in the list, then return its buttons by their words."""
    panel = window.area.findings
    row = next(k for k in range(panel.model.rowCount()) if panel.model.at(panel.model.index(k)).finding.rule == rule)
    index = panel.model.index(row)
    panel.view.scrollTo(index)
    qtbot.mouseClick(panel.view.viewport(), LEFT, pos=panel.view.visualRect(index).center())
    assert panel.chosen.finding.rule == rule
    return {button.text(): button for button in actions_of(panel)}


def answer_dialog(qtbot, window, path):
    """Type a name into the dialog that stands open, and press Return."""
    dialog = next(d for d in window.findChildren(QFileDialog) if d.isVisible())
    line = dialog.findChild(QLineEdit, "fileNameEdit")
    dialog.findChild(QListView, "listView").clearSelection()  # what is offered, not what is wanted
    line.setText(str(path))
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert not dialog.isVisible()
    dialog.deleteLater()


def a_gap_and_a_duplicate(space):
    corners = [(0, 0), (120, 0), (120, 80), (0, 80), (0, 0.3)]
    for a, b in pairwise(corners):
        space.add_line(a, b)
    space.add_line((0, 0), (120, 0))
    space.add_circle((60, 40), 15)


def test_from_a_faulty_drawing_to_the_same_bytes_again(qtbot, window, tmp_path):
    drawing, program, job, again = (tmp_path / n for n in ("lid.dxf", "lid.nc", "lid.kerfproof.toml", "again.nc"))
    drawing.write_bytes(shop.dxf(a_gap_and_a_duplicate))
    drop(qtbot, window, drawing)
    session = window.session
    assert "outline" not in {cut.kind for cut in session.outcome.plan.cuts if cut.contour.length() > 200}
    assert session.state == "current"

    qtbot.mouseClick(window.header.cards["safe"], LEFT)
    assert "duplicate" in " ".join(f.message for f in session.findings), "dropped by itself, and said"
    buttons = choose_finding(qtbot, window, "open-chain")
    join = next(button for words, button in buttons.items() if words.startswith("Join gaps"))
    qtbot.mouseClick(join, LEFT)
    settle(qtbot, window)
    assert session.verdict.startswith("PROVEN")

    outline = cut_of(window, "outline")
    x0, _y0, x1, y1 = session.outcome.parts.parts[0].outline.contour.path.bounds()
    middle = ((x0 + x1) / 2, y1 + 0.7)
    drag(window.canvas, outline.pierce, ((x0 + x1) / 2 + 25, y1 + 1), middle)
    settle(qtbot, window)
    moved = cut_of(window, "outline")
    assert moved.contour.start[1] > y1
    text = session.outcome.program.text

    press_shortcut(qtbot, window, Qt.Key.Key_Z, CTRL)
    settle(qtbot, window)
    assert cut_of(window, "outline").pierce == outline.pierce
    press_shortcut(qtbot, window, Qt.Key.Key_Z, CTRL)
    settle(qtbot, window)
    assert "open-chain" in {f.rule for f in session.findings}
    for _ in range(2):
        press_shortcut(qtbot, window, Qt.Key.Key_Z, CTRL | SHIFT)
        settle(qtbot, window)
    assert session.outcome.program.text == text

    qtbot.mouseClick(window.header.export, LEFT)
    answer_dialog(qtbot, window, program)
    assert program.read_text() == text
    assert "Written" in window.question.asks
    press_shortcut(qtbot, window, Qt.Key.Key_S, CTRL)
    answer_dialog(qtbot, window, job)
    kept = job.read_bytes()
    press_shortcut(qtbot, window, Qt.Key.Key_W, CTRL)
    assert window.stack.currentWidget() is window.pages.start

    drop(qtbot, window, job)
    assert session.verdict.startswith("PROVEN")
    press_shortcut(qtbot, window, Qt.Key.Key_S, CTRL)
    assert job.read_bytes() == kept
    qtbot.mouseClick(window.header.export, LEFT)
    answer_dialog(qtbot, window, again)
    assert again.read_bytes() == program.read_bytes()
    assert window.close()


def test_a_hole_too_small_is_mended_by_click_and_several_drawings_are_dropped_at_once(qtbot, window, tmp_path):
    cover, gusset = tmp_path / "cover.dxf", tmp_path / "gusset.dxf"
    cover.write_bytes(plate_with_holes(20.0, 2.0))
    gusset.write_bytes(shop.demo("gusset"))
    drop(qtbot, window, cover, gusset)
    session = window.session
    assert [use.name for use in session.job.drawings] == ["cover.dxf", "gusset.dxf"]
    session.change("for the test", small_holes=SmallHoles.ERROR)
    settle(qtbot, window)
    assert session.verdict == "NOT PROVEN"
    window.show_page("safe")
    rule = next(f.rule for f in session.findings if f.rule.startswith("hole"))
    buttons = choose_finding(qtbot, window, rule)
    mend = next(button for words, button in buttons.items() if words not in ("Show where", "What does this mean?"))
    qtbot.mouseClick(mend, LEFT)
    settle(qtbot, window)
    assert session.verdict.startswith("PROVEN")
    assert session.undo_label
