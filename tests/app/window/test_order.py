from __future__ import annotations

from PySide6.QtCore import Qt

from at_the_window import click, open_demo, press_key, settle


def order(window):
    return [cut.feature for cut in window.session.outcome.plan.cuts]


def test_a_cut_moved_in_the_list_is_cut_so_and_the_rest_stays(qtbot, window):
    open_demo(qtbot, window)
    before = order(window)
    window.cuts_page.list.setCurrentRow(0)
    window.cuts_page.down.click()
    settle(qtbot, window)
    assert order(window) == [before[1], before[0], *before[2:]]
    assert window.session.verdict.startswith("PROVEN")
    window.cuts_page.rule.click()
    settle(qtbot, window)
    assert order(window) == before


def test_an_outline_before_its_holes_is_refused_with_the_reason(qtbot, window):
    open_demo(qtbot, window)
    before = order(window)
    window.cuts_page.list.moved.emit([before[-1], *before[:-1]])
    settle(qtbot, window)
    assert order(window) == before
    assert window.session.job.sequence == ()
    assert "lies inside outline" in window.session.notice
    assert window.cuts_page.list.features() == before


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
    window.cuts_page.list.setCurrentRow(0)
    window.cuts_page.down.click()
    settle(qtbot, window)
    by_hand = order(window)
    window.hold_lead(by_hand[0])
    window.canvas.tool.lead.hop(1)
    window.canvas.tool.lead.step(3.0)
    window.canvas.tool.lead.drop()
    settle(qtbot, window)
    assert order(window) == by_hand
