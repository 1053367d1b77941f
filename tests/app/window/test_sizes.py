"""What is pressed all day at the table can be hit with gloves on."""

from __future__ import annotations

from support.app.at_the_window import open_demo


def test_the_buttons_used_at_the_table_are_high_enough_for_gloves(qtbot, window):
    open_demo(qtbot, window)
    page = window.pages.cuts
    buttons = [window.question.cross, window.area.scrubber.play, window.area.scrubber.back, window.area.scrubber.on]
    buttons += [*window.area.findings.filters.values(), page.up, page.down, page.pick, page.rule]
    assert all(button.minimumHeight() >= 32 for button in buttons)
