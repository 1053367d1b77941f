from __future__ import annotations

import re

from PySide6.QtWidgets import QFileDialog

from kerfproof_app.__main__ import main
from kerfproof_app.shop import store
from support.app.at_the_window import open_demo, settle


def part_way(window, number, share=0.6):
    """Return the moment a share into a cut, from 1."""
    run, line = window.session.outcome.proof.runs[number - 1], window.session.timeline
    lit = [r for r in range(run.first_row, run.last_row + 1) if abs(line.start[r] - line.finish[r])[:2].max() > 1e-6]
    begin, end = line.begin[lit[0]], line.end[lit[-1]]
    return float(begin + share * (end - begin))


def lit_cuts(text):
    return len(re.findall(r"^M3\b", text, re.MULTILINE))


def answer(window, words):
    button = window.question.button(words)
    assert button is not None, window.question.asks
    button.click()


def rest(qtbot, window, path):
    settle(qtbot, window)
    assert "Proven together" in window.question.asks
    answer(window, "Save it ...")
    dialog = window.findChild(QFileDialog)
    dialog.fileSelected.emit(str(path))
    dialog.close()
    return path.read_text()


def test_in_the_middle_of_a_cut_the_rest_is_written_as_the_command_line_does(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    cuts = len(window.session.outcome.plan.cuts)
    window.session.export(tmp_path / "gusset.nc")
    window.session.go_to(part_way(window, 3))
    moment = window.session.moment
    window.session.show_inches(True)
    window.commands["go_on"].trigger()
    assert "in cut 3 (" in window.question.asks
    assert " in)" in window.question.asks
    assert "in in" not in window.question.asks
    answer(window, "In the middle, from here")
    text = rest(qtbot, window, tmp_path / "rest.ngc")
    assert lit_cuts(text) == cuts - 2
    told = main(["resume", str(tmp_path / "gusset.nc"), "-o", str(tmp_path / "cli.ngc"), "--from-cut", "3",
                 "--near", f"{moment.x!r},{moment.y!r} mm", "--drawing", str(tmp_path / "config" / "gusset.dxf"),
                 "--machine", "contact-float-mm"])  # fmt: skip
    assert told == 0
    assert text == (tmp_path / "cli.ngc").read_text()


def test_from_the_start_of_a_cut_and_where_one_did_not_light(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    cuts = len(window.session.outcome.plan.cuts)
    window.session.go_to(part_way(window, 2))
    window.commands["go_on"].trigger()
    answer(window, "From the start of cut 2")
    assert lit_cuts(rest(qtbot, window, tmp_path / "a.ngc")) == cuts - 1
    hole = next(c for c in window.session.outcome.plan.cuts if c.kind == "outline")
    window.session.select((hole.feature,))
    window.commands["unlit"].trigger()
    assert "not light?" in window.question.asks
    answer(window, "Cut them after all")
    assert lit_cuts(rest(qtbot, window, tmp_path / "b.ngc")) == 1


def test_a_hole_in_a_part_that_is_free_is_refused_with_the_reason(qtbot, window):
    open_demo(qtbot, window)
    hole = window.session.outcome.plan.cuts[0]
    assert hole.kind == "hole"
    window.session.select((hole.feature,))
    window.commands["unlit"].trigger()
    answer(window, "Cut them after all")
    settle(qtbot, window)
    told = window.question.asks or window.session.notice
    assert "has freed" in told
    assert window.question.button("Save it ...") is None


def test_between_two_cuts_the_next_one_is_meant(qtbot, window):
    open_demo(qtbot, window)
    run = window.session.outcome.proof.runs[1]
    window.session.go_to(float(window.session.timeline.end[run.last_row]) + 0.2)
    window.commands["go_on"].trigger()
    assert "before cut 3" in window.question.asks
    assert window.question.button("In the middle, from here") is None
    answer(window, "Not at all")
    assert window.question.asks == ""


def test_a_program_opened_by_itself_goes_on_where_it_was_clicked(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    cuts = len(window.session.outcome.plan.cuts)
    (tmp_path / "alone").mkdir()
    window.session.export(tmp_path / "alone" / "gusset.nc")
    window.files.open([tmp_path / "alone" / "gusset.nc"])
    settle(qtbot, window)
    window.question.drop_all()
    window.session.go_to(part_way(window, 3))
    window.commands["go_on"].trigger()
    assert "in cut 3," in window.question.asks
    answer(window, "From the start of cut 3")
    settle(qtbot, window)
    assert "No rule broken; no drawing at hand" in window.question.asks
    answer(window, "Save it ...")
    dialog = window.findChild(QFileDialog)
    assert dialog.selectedFiles()[0].endswith("gusset-rest.nc")
    dialog.fileSelected.emit(str(tmp_path / "alone" / "rest.ngc"))
    dialog.close()
    assert lit_cuts((tmp_path / "alone" / "rest.ngc").read_text()) == cuts - 2
    answer(window, "Open it")
    settle(qtbot, window)
    assert window.session.name == "rest.ngc"


def test_where_the_tip_would_be_used_up_it_is_asked_which_one_is_in_the_torch(qtbot, window, tmp_path):
    path = store.copy_shop_file("charts", "air-50a", "short")
    path.write_text(re.sub(r"starts_per_tip = \d+", "starts_per_tip = 4", path.read_text()))
    open_demo(qtbot, window)
    window.session.change("for the test", chart="short")
    settle(qtbot, window)
    told = []
    for words in ("No, the same", "Yes, a new one"):
        window.session.go_to(part_way(window, 4))
        window.commands["go_on"].trigger()
        answer(window, "From the start of cut 4")
        assert "new tip" in window.question.asks
        answer(window, words)
        settle(qtbot, window)
        told.append([f.message for f in window.exports.rest.made.findings if "tip" in f.message])
        window.question.drop_all()
    assert told[0]
    assert not told[1]


def test_a_dry_run_has_nothing_to_go_on_with(qtbot, window):
    from kerfproof.job.job import Mode

    open_demo(qtbot, window)
    window.session.change("for the test", mode=Mode.DRY)
    settle(qtbot, window)
    window.commands["go_on"].trigger()
    assert "nothing" in window.session.notice


def test_a_resumed_program_opened_by_itself_is_judged_after_what_the_first_one_cut(qtbot, window, tmp_path):
    open_demo(qtbot, window, folder=tmp_path)
    window.session.export(tmp_path / "gusset.nc")
    window.session.go_to(part_way(window, 3))
    window.commands["go_on"].trigger()
    answer(window, "In the middle, from here")
    rest(qtbot, window, tmp_path / "rest.nc")
    window.question.drop_all()
    window.files.open([tmp_path / "rest.nc"])
    settle(qtbot, window)
    assert not [f for f in window.session.findings if f.severity == "error"]
    assert "PROVEN" in window.session.verdict and "NOT" not in window.session.verdict
    assert window.header.cards["part"].answer.startswith("1 part, 5 holes, edge within")
    window.session.go_to(part_way(window, 2))
    window.commands["go_on"].trigger()
    answer(window, "In the middle, from here")
    rest(qtbot, window, tmp_path / "third.nc")  # together with what both programs cut before
    window.question.drop_all()
    (tmp_path / "gusset.nc").write_text("(another by now)\nM2\n")
    window.files.open([tmp_path / "rest.nc"])
    settle(qtbot, window)
    missing = [f for f in window.session.findings if f.rule == "first-missing"]
    assert missing and "folder" in missing[0].advice and missing[0].severity == "error"
    window.commands["go_on"].trigger()
    answer(window, "From the start of cut 1")
    settle(qtbot, window)
    assert "which is not at hand as it was" in window.session.notice
    assert window.question.button("Save it ...") is None


def test_a_moment_in_the_over_burn_is_no_question(qtbot, window, tmp_path):
    """The scrubber knows which pass over a place is meant: here the cut has closed, so the next one is left."""
    open_demo(qtbot, window)
    cuts = len(window.session.outcome.plan.cuts)
    run, line = window.session.outcome.proof.runs[0], window.session.timeline
    lit = [r for r in range(run.first_row, run.last_row + 1) if abs(line.start[r] - line.finish[r])[:2].max() > 1e-6]
    window.session.go_to(float(line.end[lit[-1]]) - 1e-3)
    window.commands["go_on"].trigger()
    answer(window, "In the middle, from here")
    assert lit_cuts(rest(qtbot, window, tmp_path / "rest.ngc")) == cuts - 1
