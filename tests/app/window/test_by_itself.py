"""A program opened by itself must not stand beside the settings of the job before it."""

from __future__ import annotations

from PySide6.QtWidgets import QFileDialog

from support.app.at_the_window import actions_of, open_demo, settle
from support.shop import shop


def test_the_pages_tell_of_the_program_and_not_of_the_job_before(qtbot, window, tmp_path):
    open_demo(qtbot, window, folder=tmp_path)
    window.session.export(tmp_path / "gusset.nc")
    text = "\n".join(line for line in (tmp_path / "gusset.nc").read_text().split("\n") if not line.startswith("("))
    (tmp_path / "plain.nc").write_text(text)
    window.files.open([tmp_path / "plain.nc"])
    settle(qtbot, window)
    for name, page in (("part", window.pages.part), ("torch", window.pages.torch)):
        window.show_page(name)
        window.pages.torch_tabs.setCurrentIndex(0)
        assert not page.fields.isVisible()
        assert page.alone.isVisible()
        assert "6 pierces" in page.alone.words.text()
    assert "by itself" in window.pages.cuts.note.text()
    window.files.open([tmp_path / "gusset.dxf"], add=True)
    settle(qtbot, window)
    assert "compared with: gusset.dxf" in window.pages.part.alone.words.text()
    open_demo(qtbot, window, folder=tmp_path)
    window.show_page("part")
    assert window.pages.part.fields.isVisible()
    assert not window.pages.part.alone.isVisible()


def test_while_a_unit_is_asked_for_no_older_program_can_be_exported(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    assert window.header.export.isEnabled()
    path = tmp_path / "plain.dxf"
    path.write_bytes(shop.dxf(lambda space: space.add_circle((0, 0), 40), units=0))
    window.files.open([path])
    settle(qtbot, window)
    assert window.session.question is not None
    assert not window.header.export.isEnabled()
    assert window.header.cards["part"].answer == "plain.dxf"
    assert "proven" not in window.header.cards["safe"].answer
    assert "pierce" not in window.header.cards["torch"].answer
    window.pages.unit.give_up.click()
    settle(qtbot, window)
    assert window.header.export.isEnabled()
    assert "pierces" in window.header.cards["torch"].answer


def test_a_program_that_is_not_compared_offers_to_take_a_drawing(qtbot, window, tmp_path):
    open_demo(qtbot, window, folder=tmp_path)
    window.session.export(tmp_path / "gusset.nc")
    text = "\n".join(line for line in (tmp_path / "gusset.nc").read_text().split("\n") if not line.startswith("("))
    (tmp_path / "plain.nc").write_text(text)
    window.files.open([tmp_path / "plain.nc"])
    settle(qtbot, window)
    number = next(k for k, f in enumerate(window.session.findings) if f.rule == "not-compared")
    window.session.select(finding=number)
    button = next(b for b in actions_of(window.area.findings) if b.text().startswith("Compare"))
    button.click()
    dialog = window.findChild(QFileDialog)
    dialog.filesSelected.emit([str(tmp_path / "gusset.dxf")])
    dialog.close()
    settle(qtbot, window)
    assert window.header.cards["part"].answer.startswith("1 part, 5 holes, edge within")


def test_a_drawing_larger_than_the_table_asks_for_its_unit_without_words_of_the_command_line(qtbot, window, tmp_path):
    path = tmp_path / "huge.dxf"
    path.write_bytes(shop.dxf(lambda space: space.add_circle((0, 0), 20), units=6))
    window.files.open([path])
    settle(qtbot, window)
    assert window.session.state == "failed"
    assert "unit" in window.question.asks
    assert "--" not in window.question.asks
    window.question.button("What is drawn").click()
    assert window.area.side.currentWidget() is window.pages.part


def test_an_empty_plate_says_why_it_is_empty(qtbot, window, tmp_path, monkeypatch):
    from kerfproof_app.window.plate.paint import overlay

    said = []
    real = overlay._banner
    monkeypatch.setattr(overlay, "_banner", lambda *given: (said.append(given[2]), real(*given)))
    path = tmp_path / "words.dxf"
    path.write_bytes(shop.dxf(lambda space: space.add_text("LID", height=10)))
    window.files.open([path])
    settle(qtbot, window)
    said.clear()
    window.canvas.grab()
    assert len(said) == 1
    assert said[0].startswith("There is no picture")
