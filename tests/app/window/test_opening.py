from __future__ import annotations

import json
import subprocess
import sys

from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDragMoveEvent, QDropEvent
from PySide6.QtWidgets import QApplication

from kerfproof_app.window import start
from support.app.at_the_window import open_demo, settle
from support.shop import shop

UNITLESS = 0


def unitless(path):
    def draw(space):
        space.add_lwpolyline([(0, 0), (4, 0), (4, 3), (0, 3)], close=True)

    path.write_bytes(shop.dxf(draw, units=UNITLESS))
    return path


def drop(window, path, at):
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    actions, button, keys = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    QApplication.sendEvent(window, QDragEnterEvent(at, actions, data, button, keys))
    assert window.drop_sign.isVisible()
    QApplication.sendEvent(window, QDragMoveEvent(at, actions, data, button, keys))
    QApplication.sendEvent(window, QDropEvent(QPointF(at), actions, data, button, keys))
    assert not window.drop_sign.isVisible()


def test_a_drawing_dropped_on_the_window_is_planned_and_proven(qtbot, window, tmp_path):
    path = tmp_path / "gusset.dxf"
    path.write_bytes(shop.demo("gusset"))
    drop(window, path, QPoint(300, 300))
    settle(qtbot, window)
    assert window.session.verdict in ("PROVEN", "PROVEN WITH WARNINGS")
    assert window.stack.currentWidget() is window.area
    assert len(window.canvas.scene.kerf) == 6
    assert window.session.memory.recent[0] == path


def test_dropped_on_the_right_half_it_is_added_to_the_job(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    path = tmp_path / "pump-flange.dxf"
    path.write_bytes(shop.demo("pump-flange"))
    drop(window, path, QPoint(1000, 300))
    settle(qtbot, window)
    assert [use.name for use in window.session.job.drawings] == ["gusset.dxf", "pump-flange.dxf"]
    assert window.session.verdict in ("PROVEN", "PROVEN WITH WARNINGS")


def test_a_drawing_without_a_unit_asks_with_every_size_beside_a_hand(qtbot, window, tmp_path):
    window.files.open([unitless(tmp_path / "plain.dxf")])
    settle(qtbot, window)
    assert window.stack.currentWidget() is window.pages.unit
    assert "plain.dxf" in window.pages.unit.title.text()
    assert "101.6 × 76.2 mm" in window.pages.unit.buttons["in"].accessibleDescription()
    window.pages.unit.buttons["in"].click()
    settle(qtbot, window)
    assert window.session.job.drawings[0].mm_per_unit == 25.4
    box = window.session.outcome.parts.parts[0].outline.contour.path.bounds()
    assert abs(box[2] - box[0] - 101.6) < 1e-9
    assert window.session.verdict in ("PROVEN", "PROVEN WITH WARNINGS")


def test_the_question_of_the_unit_given_up_leaves_the_work_as_it_was(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    before = window.session.job
    window.files.open([unitless(tmp_path / "plain.dxf")])
    settle(qtbot, window)
    window.pages.unit.give_up.click()
    settle(qtbot, window)
    assert window.session.job is before
    assert window.stack.currentWidget() is window.area


def test_a_bad_file_says_the_sentence_of_the_command_line_and_leaves_the_work(qtbot, window, tmp_path, capsys):
    from kerfproof_app.__main__ import main

    open_demo(qtbot, window)
    before, outcome = window.session.job, window.session.outcome
    bad = tmp_path / "bad.dxf"
    bad.write_text("this is no drawing")
    window.files.open([bad])
    settle(qtbot, window)
    assert window.session.job is before
    assert window.session.outcome is outcome
    assert window.question.isVisible()
    main(["inspect", str(bad)])
    said = capsys.readouterr().err
    assert window.session.notice.split(": ", 1)[1] in said


def test_recent_files_stand_on_the_start_page_and_in_the_menu(qtbot, window):
    path = open_demo(qtbot, window)
    window.files.close_work()
    assert window.stack.currentWidget() is window.pages.start
    window.commands.recent.aboutToShow.emit()
    assert window.commands.recent.actions()[0].text().startswith(path.name)
    window.commands.recent.actions()[0].trigger()
    settle(qtbot, window)
    assert window.session.name == path.name


def test_a_file_of_the_command_line_is_opened(qtbot, window, tmp_path, monkeypatch):
    path = tmp_path / "gusset.dxf"
    path.write_bytes(shop.demo("gusset"))
    other = start.opened([path])
    qtbot.addWidget(other)
    settle(qtbot, other)
    assert other.session.name == "gusset.dxf"
    other.files.closing = True
    other.close()


def program_alone(qtbot, window, folder):
    """Write the program of the gusset into a folder of its own and open it."""
    open_demo(qtbot, window)
    program = folder / "alone" / "gusset.nc"
    program.parent.mkdir()
    program.write_text(window.session.outcome.program.text)
    window.files.close_work()
    window.files.open([program])
    settle(qtbot, window)
    return program


def test_a_sign_of_life_stands_there_before_anything_else_is_loaded(qtbot):
    code = (
        "import sys; from kerfproof_app.window import start; start._bare(); sign = start.sign_of_life(); "
        "assert sign.isVisible(); heavy = {'numpy', 'shapely', 'ezdxf', 'pydantic', 'kerfproof'} & set(sys.modules); "
        "sys.exit(str(heavy) if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 0, done.stderr


def test_a_program_by_itself_is_judged_and_shown_over_time(qtbot, window, tmp_path):
    program_alone(qtbot, window, tmp_path)
    assert window.session.verdict == "PROVEN WITH WARNINGS, BY RULES ALONE"
    assert window.session.job is None
    assert len(window.canvas.scene.path) > 6
    assert not window.header.export.isEnabled()
    assert "drawing-missing" in {f.rule for f in window.session.findings}
    assert "no drawing" in window.header.cards["part"].answer


def test_a_program_is_compared_with_a_drawing_dropped_on_it_and_says_what_the_command_line_says(
    qtbot, window, tmp_path, capsys
):
    from kerfproof_app.__main__ import main

    program = program_alone(qtbot, window, tmp_path)
    drawing = tmp_path / "gusset.dxf"
    drawing.write_bytes(shop.demo("gusset"))
    drop(window, drawing, QPoint(1000, 300))
    settle(qtbot, window)
    assert window.session.verdict in ("PROVEN", "PROVEN WITH WARNINGS")
    assert len(window.canvas.scene.parts) == 1, "the drawn part lies under the cuts"
    assert "1 part, 5 holes" in window.header.cards["part"].answer
    main(["prove", str(program), "--drawing", str(drawing), "--json"])
    said = json.loads(capsys.readouterr().out)
    assert said["verdict"] == window.session.verdict
    assert [f["message"] for f in said["findings"]] == [f.message for f in window.session.findings]
    window.commands["undo"].trigger()
    settle(qtbot, window)
    assert window.session.verdict == "PROVEN WITH WARNINGS, BY RULES ALONE"


def test_a_program_compared_with_another_drawing_is_not_proven(qtbot, window, tmp_path):
    program_alone(qtbot, window, tmp_path)
    drawing = tmp_path / "pump-flange.dxf"
    drawing.write_bytes(shop.demo("pump-flange"))
    window.files.open([drawing], add=True)
    settle(qtbot, window)
    assert window.session.verdict == "NOT PROVEN"
    assert "drawing-changed" in {f.rule for f in window.session.findings}


def test_a_program_for_another_machine_asks_for_the_machine_and_is_judged_on_it(qtbot, window, tmp_path):
    strange = tmp_path / "strange.nc"
    lines = ["G21 G90", "M62 P0", "G4 P0.5", "G1 X100 Y0 F2000", "M63 P0", "M30"]
    strange.write_text("\n".join(lines) + "\n")
    window.files.open([strange])
    settle(qtbot, window)
    assert window.session.state == "failed"
    assert "no torch is lit" in window.question.asks
    assert window.question.button("Choose the machine") is not None
    window.commands._list_machines()
    actions = {action.text(): action for action in window.commands.machines.actions()}
    assert actions["contact-float-mm"].isChecked()
    actions["pilot-ohmic-mm"].trigger()
    assert window.session.document.machine == "pilot-ohmic-mm"
    assert window.session.undo_label == "judge it on pilot-ohmic-mm"
    settle(qtbot, window)


def test_only_drawings_can_be_dropped_on_the_half_that_adds(qtbot, window, tmp_path):
    open_demo(qtbot, window)
    job = window.session.job
    other = tmp_path / "x.nc"
    other.write_text("M30\n")
    drop(window, other, QPoint(1000, 300))
    settle(qtbot, window)
    assert window.session.job is job
    assert "only drawings" in window.session.notice


def test_cautions_are_shown_on_the_first_start_and_not_again(qtbot, window):
    first = start.opened([])
    qtbot.addWidget(first)
    assert first.shop_pages.shown == "guide"
    again = start.opened([])
    qtbot.addWidget(again)
    assert again.shop_pages.shown == ""
    for made in (first, again):
        made.close()
