from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QDropEvent

from support.app.at_the_window import PLAIN, click, open_demo, press_key, settle


def order(window):
    return [cut.feature for cut in window.session.outcome.plan.cuts]


def test_a_cut_moved_in_the_list_is_cut_so_and_the_rest_stays(qtbot, window):
    open_demo(qtbot, window)
    before = order(window)
    window.pages.cuts.list.setCurrentRow(0)
    window.pages.cuts.down.click()
    settle(qtbot, window)
    assert order(window) == [before[1], before[0], *before[2:]]
    assert len(window.session.job.sequence) == len(before)
    assert window.session.verdict.startswith("PROVEN")
    window.pages.cuts.rule.click()
    settle(qtbot, window)
    assert order(window) == before


def drop(cuts, rows, before_row):
    """Drop rows of the list of cuts before another, as the drag of a mouse does in the end."""
    cuts.clearSelection()
    for row in rows:
        cuts.item(row).setSelected(True)
    mime = cuts.model().mimeData(cuts.selectedIndexes())
    assert mime.hasFormat("application/x-qabstractitemmodeldatalist")
    if before_row < cuts.count():
        place = QPointF(cuts.visualItemRect(cuts.item(before_row)).topLeft()) + QPointF(20, 2)
    else:
        place = QPointF(cuts.visualItemRect(cuts.item(cuts.count() - 1)).bottomLeft()) + QPointF(20, 4)
    event = QDropEvent(place, Qt.DropAction.MoveAction, mime, Qt.MouseButton.LeftButton, PLAIN)
    cuts.dropEvent(event)
    assert event.isAccepted()
    assert event.dropAction() is Qt.DropAction.IgnoreAction, "what drags it removes nothing afterwards"


def test_cuts_dropped_in_the_list_are_cut_where_they_were_dropped(qtbot, window):
    open_demo(qtbot, window)
    window.show_page("torch")
    window.pages.torch_tabs.setCurrentWidget(window.pages.cuts)
    cuts = window.pages.cuts.list
    first = order(window)
    assert len(first) >= 6
    a, b, c, d, *rest = first
    drop(cuts, [0], 2)
    settle(qtbot, window)
    assert order(window) == cuts.features() == [b, a, c, d, *rest]
    drop(cuts, [0, 2], 4)
    settle(qtbot, window)
    assert order(window) == cuts.features() == [a, d, b, c, *rest], "several keep their order among themselves"
    held = window.session.job
    drop(cuts, [1], 2)
    assert window.session.job is held, "dropped where it lies, nothing changes"
    window.session.undo()
    window.session.undo()
    settle(qtbot, window)
    assert order(window) == first


def test_an_outline_dropped_before_its_holes_is_refused_with_the_reason(qtbot, window):
    open_demo(qtbot, window)
    before = order(window)
    window.show_page("torch")
    window.pages.torch_tabs.setCurrentWidget(window.pages.cuts)
    drop(window.pages.cuts.list, [len(before) - 1], 0)
    settle(qtbot, window)
    assert order(window) == before
    assert window.session.job.sequence == ()
    assert "lies inside outline" in window.session.notice
    assert window.pages.cuts.list.features() == before


def test_the_order_is_picked_on_the_plate(qtbot, window):
    open_demo(qtbot, window)
    cuts = window.session.outcome.plan.cuts
    before = order(window)
    window.commands["pick_order"].trigger()
    for number in (2, 0):
        click(window.canvas, cuts[number].pierce)
    press_key(window.canvas, Qt.Key.Key_Return)
    settle(qtbot, window)
    after = order(window)
    assert after.index(before[2]) < after.index(before[0])
    assert window.session.verdict.startswith("PROVEN")


def test_moving_a_lead_keeps_the_order(qtbot, window):
    open_demo(qtbot, window)
    window.pages.cuts.list.setCurrentRow(0)
    window.pages.cuts.down.click()
    settle(qtbot, window)
    by_hand = order(window)
    window.plate_commands.hold_lead(by_hand[0])
    window.canvas.tool.lead.hop(1)
    window.canvas.tool.lead.step(3.0)
    window.canvas.tool.lead.drop()
    settle(qtbot, window)
    assert order(window) == by_hand
