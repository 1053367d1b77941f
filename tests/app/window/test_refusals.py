"""What is refused: the sentence of the command line in the window, and the work that is open stays as it is."""

from __future__ import annotations

import re

import pytest
from PySide6.QtWidgets import QLineEdit

from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from support.app.at_the_window import LEFT, open_demo, settle
from support.shop import shop


def cut_short(data: bytes) -> bytes:
    return data[: len(data) // 2]


BAD = {
    "words.dxf": b"this is no drawing",
    "empty.dxf": b"",
    "picture.dxf": b"\x89PNG\r\n\x1a\n" + bytes(200),
    "short.dxf": cut_short(shop.demo("gusset")),
    "empty.nc": b"\n\n",
    "noise.nc": bytes(range(256)) * 4,
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_refused_in_the_words_of_the_command_line_and_the_work_stays(
    qtbot, window, tmp_path, capsys, name
):
    open_demo(qtbot, window)
    session = window.session
    before = session.job, session.outcome, session.undo_label, session.state
    path = tmp_path / name
    path.write_bytes(BAD[name])
    window.files.open([path])
    settle(qtbot, window)
    assert (session.job, session.outcome, session.undo_label, session.state) == before
    assert window.question.isVisible()
    assert session.notice == window.question.asks
    assert "Traceback" not in session.notice
    assert str(path) in session.notice or name in session.notice
    assert main(["prove" if name.endswith(".nc") else "inspect", str(path)]) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert core_of(session.notice) in said


def core_of(sentence: str) -> str:
    """Return what is wrong without the place before it and the advice behind."""
    return re.split(r"[:(;\u2192]", sentence.split(": ", 1)[1])[0].strip()


def test_a_file_that_is_gone_or_a_folder_is_a_sentence(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    job = window.session.job
    for path in (tmp_path / "gone.dxf", tmp_path):
        window.files.open([path])
        settle(qtbot, window)
        assert window.question.isVisible()
        assert window.session.job is job


def test_a_job_file_with_a_mistake_names_its_key_and_leaves_the_work(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    job = window.session.job
    saved = window.session.save(tmp_path / "good.kerfproof.toml")
    bad = tmp_path / "bad.kerfproof.toml"
    bad.write_text(saved.read_text().replace('material = "mild steel"', "material = 3"))
    assert bad.read_text() != saved.read_text()
    window.files.open([bad])
    settle(qtbot, window)
    assert "material" in window.session.notice
    assert window.session.job is job


def test_a_machine_broken_by_hand_is_mended_from_the_question_at_its_field(qtbot, window):
    store.copy_shop_file("machines", "contact-float-mm", "shed")
    open_demo(qtbot, window)
    window.session.change("machine", machine="shed")
    settle(qtbot, window)
    assert window.session.verdict.startswith("PROVEN")
    window.shop_pages.show_machine("shed")
    window.shop_pages.leave()
    path = store.own_path("machines", "shed")
    path.write_text(path.read_text().replace('preload = "1 mm"', 'preload = "a lot"'))
    window.commands["check"].trigger()
    settle(qtbot, window)
    assert window.session.state == "failed"
    assert "torch.preload" in window.question.asks
    assert "a lot" in window.question.asks
    qtbot.mouseClick(window.question.button("Mend the machine"), LEFT)
    editor = window.shop_pages.made["machine"]
    assert window.shop_pages.shown == "machine"
    field = editor.field("torch.preload")
    assert "a lot" in field.said.text()
    assert editor._scroll.viewport().rect().contains(field.mapTo(editor._scroll.viewport(), field.rect().center()))
    assert isinstance(field.editor, QLineEdit)
    field.editor.selectAll()
    qtbot.keyClicks(field.editor, "1 mm")
    qtbot.mouseClick(editor.save, LEFT)
    window.shop_pages.leave()
    settle(qtbot, window)
    assert window.session.verdict.startswith("PROVEN")


def test_a_machine_file_dropped_on_the_window_opens_in_the_editor_at_the_broken_field(window, tmp_path):
    store.copy_shop_file("machines", "contact-float-mm", "shed")
    path = tmp_path / "loan.toml"
    path.write_text(store.own_path("machines", "shed").read_text().replace('preload = "1 mm"', 'preload = "a lot"'))
    window.files.open([path])
    editor = window.shop_pages.made["machine"]
    assert window.shop_pages.shown == "machine"
    assert "a lot" in editor.field("torch.preload").said.text()
