from __future__ import annotations

import random

import pytest
from PySide6.QtWidgets import QFileDialog

from kerfproof.coupon.piece import kinds
from kerfproof.shop.chart_file import parse_chart
from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from kerfproof_app.window.shop.test_piece_page import COUNTED, SIZED
from support.app.at_the_window import open_demo, settle


def page_of(window):
    window.commands["coupon"].trigger()
    return window.shop_pages.made["coupon"]


def choose(page, kind):
    page.kinds.choose(kind)
    assert page.kind == kind


def made(qtbot, window, page, path):
    page.make.click()
    settle(qtbot, window)
    dialog = page.findChild(QFileDialog)
    assert dialog is not None, page.said.text()
    dialog.fileSelected.emit(str(path))
    dialog.close()
    dialog.setParent(None)
    return path


def read(page, **readings):
    for name, text in readings.items():
        page.form.rows[name].editor.setText(text)
    page.form.solve.click()


def kerf_readings(piece, kerf):
    """Return what calipers would read on a kerf piece cut with a kerf, with a hundredth of noise."""
    noise = random.Random(7)
    out = {}
    for name, size in piece.facts["cut"].items():
        real = size["path"] - kerf if name[0] == "S" else size["path"] + kerf
        out[name] = f"{real + noise.uniform(-0.02, 0.02):.2f} {real + noise.uniform(-0.02, 0.02):.2f}"
    return out


def test_the_kerf_is_measured_saved_to_a_copy_of_the_chart_and_used(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    page = page_of(window)
    target = made(qtbot, window, page, tmp_path / "kerf.nc")
    assert "Proven and written" in page.guide.text()
    assert set(page.form.rows) == {"S1", "S2", "S3", "H1", "H2", "H3"}
    read(page, **kerf_readings(page.form.piece, 1.72))
    assert page.form.result.values["kerf"] == pytest.approx(1.72, abs=0.02)
    assert "scatter" in page.form.lines.text()
    page.form.keep.click()
    settle(qtbot, window)
    name = window.session.job.chart
    assert name != "air-50a"
    own = store.shop_file("charts", name)
    row = next(r for r in parse_chart(own.text, own.where).rows if "kerf measured" in r.source)
    assert row.kerf == page.form.result.values["kerf"]
    assert window.session.outcome.process.kerf == row.kerf
    assert "it was" in page.form.told.text()
    told = main(["coupon", "kerf", "--of", str(target), "--read", page.form.readings().replace("\n", ";")])
    assert told == 0


def test_a_typing_mistake_is_named_at_its_field_and_nothing_can_be_saved(qtbot, window, tmp_path):
    page = page_of(window)
    made(qtbot, window, page, tmp_path / "kerf.nc")
    good = kerf_readings(page.form.piece, 1.6)
    read(page, **{**good, "S2": "2.1 in 400 mm"})
    assert "S2" in page.form.rows["S2"].said.text()
    assert page.form.rows["S1"].said.isHidden()
    assert "error:" in page.form.told.text()
    assert page.form.below.isHidden()
    read(page, **{**good, "H1": "twenty"})
    assert page.form.result is None
    assert not page.form.rows["H1"].said.isHidden()
    read(page, **dict.fromkeys(good, ""))
    assert "there is no reading" in page.form.said.text()
    outlier = {**good, "S3": f"{float(good['S3'].split()[0]) + 0.6:.2f} {good['S3'].split()[1]}"}
    read(page, **outlier)
    assert "does not fit the others" in page.form.rows["S3"].said.text()
    assert page.form.result.values["kerf"] == pytest.approx(1.6, abs=0.03)


def test_the_feed_goes_into_an_own_chart_that_is_there(qtbot, window, tmp_path):
    store.copy_shop_file("charts", "air-50a", "shed")
    open_demo(qtbot, window)
    window.session.change("for the test", chart="shed")
    settle(qtbot, window)
    page = page_of(window)
    choose(page, "feed")
    page.count.spin.setValue(5)
    made(qtbot, window, page, tmp_path / "feed.nc")
    assert len(page.form.piece.facts["feeds"]) == 5
    read(page, best="3")
    assert page.form.target.box.currentData() == ("shed", "")
    page.form.keep.click()
    settle(qtbot, window)
    assert window.session.outcome.process.feed_mm_min == pytest.approx(page.form.piece.facts["feeds"][2], rel=0.01)


def test_the_float_goes_into_an_own_machine(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    page = page_of(window)
    choose(page, "float")
    made(qtbot, window, page, tmp_path / "float.nc")
    assert "M3" not in (tmp_path / "float.nc").read_text()
    depth = page.form.piece.facts["float"]
    read(page, first=f"{-depth}", gap=f"{page.form.piece.facts['gap'] + 0.2}", zero="0.2",
         touch=" ".join(f"{-depth + d:.2f}" for d in (0.0, 0.01, -0.01, 0.0)))  # fmt: skip
    assert page.form.result.ok, page.form.told.text()
    assert page.form.folder == "machines"
    page.form.keep.click()
    settle(qtbot, window)
    assert window.session.job.machine != "contact-float-mm"
    assert window.session.outcome.machine.float_note


@pytest.mark.parametrize("kind", [*kinds()])
def test_every_kind_is_made_proven_and_asks_for_its_readings(qtbot, window, tmp_path, kind):
    page = page_of(window)
    choose(page, kind)
    assert page.sizes.isVisibleTo(page) == (kind in SIZED)
    assert page.count.isVisibleTo(page) == (kind in COUNTED)
    target = made(qtbot, window, page, tmp_path / f"{kind}.nc")
    assert page.piece.ok
    assert target.read_text() == page.piece.program.text
    assert list(page.form.rows) == [ask.name for ask in page.form.piece.asks]
    assert all(not row.hint.isHidden() for row in page.form.rows.values())


def test_sizes_and_what_varies_are_taken_and_bad_ones_refused_at_the_field(qtbot, window, tmp_path):
    page = page_of(window)
    page.sizes.edit.setText("20, -3 mm")
    page.sizes.edit.setModified(True)
    page.make.click()
    assert "are no sizes" in page.sizes.said.text()
    page.sizes.edit.setText("25, 60 in")
    page.sizes.edit.setModified(True)
    page.make.click()
    settle(qtbot, window)
    assert page.piece is None
    assert page.said.text(), "60 inches do not fit the table"
    choose(page, "start")
    page.vary["light-delay"].setChecked(True)
    made(qtbot, window, page, tmp_path / "start.nc")
    assert all("light" in row["label"] or k == 0 for k, row in enumerate(page.piece.facts["rows"]))


def test_work_asked_for_meanwhile_leaves_the_page_ready(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    page = page_of(window)
    page.make.click()
    window.exports.beside.sheet_to(tmp_path / "sheet.pdf")
    settle(qtbot, window)
    assert (tmp_path / "sheet.pdf").is_file()
    assert page.make.isEnabled()
    assert page.piece is None


def test_a_piece_cut_last_week_is_read_from_its_program_and_others_are_refused(qtbot, window, tmp_path):
    page = page_of(window)
    choose(page, "hole")
    target = made(qtbot, window, page, tmp_path / "hole.nc")
    choose(page, "kerf")
    assert page.form.rows == {}
    page.read_program(target)
    assert page.kind == "hole"
    assert page.form.rows
    (tmp_path / "no.nc").write_text("G21\nM2\n")
    page.read_program(tmp_path / "no.nc")
    assert "no test piece" in page.said.text()
    assert page.form.rows == {}
