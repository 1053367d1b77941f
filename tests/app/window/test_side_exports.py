from __future__ import annotations

import io
from datetime import datetime

import pypdfium2
import pytest
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog

from kerfproof.job.job import Mode
from kerfproof.report.data.wear import wear
from kerfproof_app.__main__ import main
from kerfproof_app.shop.tip_usage import TipLife
from kerfproof_app.window.pages.tip_line import taken
from kerfproof_app.work.view_state import Change
from support.app.at_the_window import open_demo, settle

A4, LETTER = (210.0, 297.0), (215.9, 279.4)


def test_the_setup_sheet_is_one_page_on_the_paper_chosen(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    for paper, size in (("a4", A4), ("letter", LETTER)):
        target = tmp_path / f"{paper}.pdf"
        window.exports.beside.sheet_to(target, paper)
        settle(qtbot, window)
        pdf = pypdfium2.PdfDocument(io.BytesIO(target.read_bytes()))
        assert len(pdf) == 1
        assert [side / 72 * 25.4 for side in pdf[0].get_size()] == pytest.approx(size, abs=0.2)
        text = pdf[0].get_textpage().get_text_range()
        assert "gusset.nc" in text
        assert "mild steel" in text
        assert str(target) in window.question.asks


def test_the_command_asks_for_the_place_and_offers_both_papers(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    window.commands["sheet"].trigger()
    dialog = window.findChild(QFileDialog)
    assert sorted(dialog.nameFilters()) == ["A4 (*.pdf)", "Letter (*.pdf)"]
    dialog.selectNameFilter("Letter (*.pdf)")
    dialog.fileSelected.emit(str(tmp_path / "sheet.pdf"))
    settle(qtbot, window)
    pdf = pypdfium2.PdfDocument(str(tmp_path / "sheet.pdf"))
    assert pdf[0].get_size()[0] / 72 * 25.4 == pytest.approx(LETTER[0], abs=0.2)
    dialog.close()


def test_picture_and_report_are_those_of_the_command_line(qtbot, window, tmp_path):
    path = open_demo(qtbot, window)
    job = window.session.job
    for name, command in (("a.svg", "picture"), ("a.png", "picture"), ("a.json", "report")):
        window.commands[command].trigger()
        dialog = window.findChildren(QFileDialog)[-1]
        dialog.fileSelected.emit(str(tmp_path / name))
        dialog.close()
        settle(qtbot, window)
    main(["cut", str(path), "-o", str(tmp_path / "b.nc"), "--machine", "contact-float-mm", "--chart", job.chart,
          "--material", job.material, "--thickness", "3 mm", "--picture", str(tmp_path / "b.svg"),
          "--report", str(tmp_path / "b.json")])  # fmt: skip
    assert (tmp_path / "a.svg").read_text() == (tmp_path / "b.svg").read_text()
    assert (tmp_path / "a.json").read_text() == (tmp_path / "b.json").read_text()
    assert (tmp_path / "a.png").read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"


@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME, Mode.TOUR])
def test_dry_run_frame_and_tour_hold_no_torch_word_and_leave_the_job(qtbot, window, tmp_path, mode):
    path = open_demo(qtbot, window)
    before, target = window.session.job, tmp_path / f"{mode.value}.ngc"
    window.exports.beside.mode_to(target, mode)
    settle(qtbot, window)
    text = target.read_text()
    assert "M3" not in text
    assert "no torch word" in window.question.asks
    assert window.session.job is before
    main(["cut", str(path), "-o", str(tmp_path / "cli.ngc"), f"--{mode.value}", "--machine", "contact-float-mm",
          "--chart", before.chart, "--material", before.material, "--thickness", "3 mm"])  # fmt: skip
    assert text == (tmp_path / "cli.ngc").read_text(), "the window writes what the command line writes"


def test_the_file_before_is_kept_and_what_can_not_be_written_is_told(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    target = tmp_path / "dry.ngc"
    target.write_text("old")
    window.exports.beside.mode_to(target, Mode.DRY)
    settle(qtbot, window)
    assert (tmp_path / "dry.ngc.bak").read_text() == "old"
    window.exports.beside.mode_to(tmp_path / "no" / "such" / "dry.ngc", Mode.DRY)
    settle(qtbot, window)
    assert "no" in window.question.asks
    assert not (tmp_path / "no").exists()


def test_nothing_open_exports_nothing(window):
    for name in ("sheet", "dry", "frame", "tour", "pierces", "go_on", "tab"):
        assert not window.commands[name].isEnabled()


def test_the_list_of_pierces_is_that_of_the_command_line_and_goes_to_the_moment(qtbot, window, tmp_path, capsys):
    open_demo(qtbot, window)
    window.session.export(tmp_path / "gusset.nc")
    window.commands["pierces"].trigger()
    page = window.shop_pages.made["pierces"]
    capsys.readouterr()
    main(["pierces", str(tmp_path / "gusset.nc"), "--machine", "contact-float-mm"])
    told = [line.split()[:4] for line in capsys.readouterr().out.splitlines()[1:]]
    assert [list(line[:4]) for line in page.lines] == told
    page.table.selectRow(2)
    assert window.session.moment.line == pytest.approx(int(page.lines[2][3]), abs=1)
    page.copy.click()
    assert QGuiApplication.clipboard().text() == page.text()
    window.session.show_inches(True)
    assert float(page.lines[0][1]) == pytest.approx(float(told[0][1]) / 25.4, abs=1e-4)


def test_a_program_that_was_cut_counts_and_a_new_tip_begins_at_nothing(qtbot, window):
    open_demo(qtbot, window)
    line = window.pages.torch.tip
    assert taken(window.session) == wear(window.session.outcome.proof, window.session.outcome.machine)
    cuts, lasts = len(window.session.outcome.plan.cuts), window.session.outcome.process.starts_per_tip
    assert "nothing is counted" in line.used.text()
    line.cut.click()
    line.cut.click()
    assert f"{2 * cuts / lasts:.0%} used, {2 * cuts} starts" in line.used.text()
    assert "2 times" in window.session.notice
    tip = TipLife.of_person().tip("contact-float-mm")
    assert (tip.starts, tip.programs) == (2 * cuts, 2)
    line.new.click()
    assert "0% used, 0 starts" in line.used.text()


def test_a_job_that_outruns_the_tip_is_told_before_the_export(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    life, process = TipLife.of_person(), window.session.outcome.process
    starts = process.starts_per_tip - 2
    life.count("contact-float-mm", datetime.now().isoformat(), "x", "y", starts, 100.0, process.starts_per_tip)
    window.session.tell(Change.TIP)
    assert "the tip has about 2 left" in window.pages.torch.tip.takes.text()
    window.commands["export"].trigger()
    assert "tip has about 2 left" in window.question.asks
    assert window.findChild(QFileDialog) is None
    window.question.button("Write it").click()
    dialog = window.findChild(QFileDialog)
    dialog.fileSelected.emit(str(tmp_path / "gusset.nc"))
    dialog.close()
    assert (tmp_path / "gusset.nc").read_text() == window.session.outcome.program.text


def test_a_damaged_count_is_kept_aside_and_told(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    life = TipLife.of_person()
    life.path.parent.mkdir(parents=True)
    life.path.write_bytes(b"no database at all, but long enough to be taken for one" * 20)
    window.session.tell(Change.TIP)
    assert "is damaged: it was kept as" in window.pages.torch.tip.said.text()
    assert list(life.path.parent.glob("tiplife-damaged-1*"))
