"""What is drawn stands in the window before its plan does, and where there can be none."""

from __future__ import annotations

import os
import subprocess
import sys
import threading

import pytest
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QPushButton

from kerfproof.report.picture.flags import letters_of
from kerfproof_app.shop import store
from kerfproof_app.window.findings.findings_list import LETTER
from kerfproof_app.window.plate.paint import overlay
from kerfproof_app.window.plate.paint.legend import legend_items
from kerfproof_app.work import planning
from support.app.at_the_window import actions_of, open_demo, settle
from support.shop import shop


def gap(msp) -> None:
    """Draw an outline that lacks a side, and nothing else that closes."""
    msp.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)])


def plate(msp) -> None:
    msp.add_lwpolyline([(0, 0), (200, 0), (200, 100), (0, 100)], close=True)
    msp.add_circle((100, 50), 20)


def put(window, name: str, draw) -> object:
    folder = window.session.memory.folder
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_bytes(shop.dxf(draw))
    return path


@pytest.fixture
def held(monkeypatch):
    """Let no plan come to its end before this is set."""
    go_on, run = threading.Event(), planning.Planning.run

    def slow(self, watch):
        while not go_on.wait(0.005):
            watch("slow", 0.5)
        return run(self, watch)

    monkeypatch.setattr(planning.Planning, "run", slow)
    yield go_on
    go_on.set()


@pytest.fixture
def banners(monkeypatch):
    said: list[str] = []
    real = overlay._banner
    monkeypatch.setattr(overlay, "_banner", lambda *given: (said.append(given[2]), real(*given)))
    return said


def nearest(canvas, place: tuple[float, float], ink: QColor) -> int:
    """Return how far the colours round a place (mm) of the still picture are from an ink, at best."""
    u, v = (round(c) for c in canvas.camera.to_pixels(*place))
    image = canvas.still()
    seen = [image.pixelColor(u + a, v + b) for a in range(-2, 3) for b in range(-2, 3)]
    return min(abs(c.red() - ink.red()) + abs(c.green() - ink.green()) + abs(c.blue() - ink.blue()) for c in seen)


def test_the_drawn_lines_are_shown_before_their_plan_and_taken_for_no_proof(qtbot, window, held, banners):
    window.files.open([put(window, "plate.dxf", plate)])
    qtbot.waitUntil(lambda: window.canvas.sketch is not None, timeout=5000)
    session, canvas = window.session, window.canvas
    assert session.state == "checking" and session.outcome is None and canvas.scene is None
    assert session.verdict == "checking" and not window.header.export.isEnabled()
    for place in ((0, 30), (200, 30), (100, 70), (100, 30)):
        assert nearest(canvas, place, QColor(canvas.colours["ink"])) < 60
    canvas.grab()
    assert banners[-1].startswith("This is what is drawn") and "planned" in banners[-1]
    assert legend_items(canvas) == [], "nothing of a cut is explained, as none is shown"
    held.set()
    settle(qtbot, window)
    assert session.verdict.startswith("PROVEN")
    assert canvas.scene is not None and canvas.sketch is None and session.preview is None
    banners.clear()
    canvas.grab()
    assert not banners


def test_an_edit_of_what_is_planned_keeps_the_picture_and_looks_at_no_drawing_again(qtbot, window, held):
    held.set()
    open_demo(qtbot, window)
    before = window.canvas.scene
    held.clear()
    window.session.change("kerf", kerf=1.7)
    assert isinstance(window.session.next_task(), planning.Planning)
    assert window.canvas.scene is before and window.canvas.sketch is None and window.session.preview is None
    held.set()
    settle(qtbot, window)


@pytest.mark.parametrize("dark", [False, True])
def test_a_drawing_that_holds_nothing_to_cut_is_shown_with_what_is_wrong_marked(qtbot, window, banners, dark):
    window.show_theme("dark" if dark else "light")
    window.files.open([put(window, "gap.dxf", gap)])
    settle(qtbot, window)
    session, canvas = window.session, window.canvas
    assert session.state == "failed" and canvas.scene is None
    assert sorted(canvas.sketch.preview.rings) == [(0.0, 0.0), (0.0, 60.0)], "both open ends"
    assert nearest(canvas, (100, 30), QColor(canvas.colours["uncut"])) < 60
    assert nearest(canvas, (0, 30), QColor(canvas.colours["uncut"])) > 100, "the side that is not drawn"
    canvas.grab()
    assert "can't be planned" in banners[-1]
    assert [kind for kind, _words in legend_items(canvas)] == ["uncut"]
    model, letters = window.area.findings.model, set(letters_of(session.problem.findings).values()) - {""}
    assert letters and letters <= {model.index(k).data(LETTER) for k in range(model.rowCount())}
    assert {c.letter for c in canvas.sketch.preview.callouts if c.at} == letters
    assert window.pages.part.table.boxes.keys() >= {("layer", "0")}, "roles can be given to what is drawn"


def test_an_open_outline_is_shown_and_joined_from_the_list_and_then_planned(qtbot, window):
    corners = [(0.8, 0), (100, 0), (100, 60), (0, 60), (0, 0)]
    window.files.open([put(window, "gap.dxf", lambda msp: msp.add_lwpolyline(corners))])
    settle(qtbot, window)
    model, panel, canvas = window.area.findings.model, window.area.findings, window.canvas
    assert window.session.state == "failed"

    def choose(rule: str) -> dict[str, QPushButton]:
        row = next(k for k in range(model.rowCount()) if model.at(model.index(k)).finding.rule == rule)
        panel.view.setCurrentIndex(model.index(row))
        return {button.text(): button for button in actions_of(panel)}

    assert "Show where" not in choose("nothing-to-cut"), "that is of the whole drawing"
    assert model.rowCount() == 2, "what the refusal says is not said again"
    buttons = choose("open-chain")
    buttons["Show where"].click()
    finding = panel.chosen.finding
    assert (canvas.camera.x, canvas.camera.y) == pytest.approx((finding.x, finding.y))
    assert finding.x in (0.0, 0.8) and finding.y == 0.0
    buttons["Join gaps up to 0.81 mm"].click()
    settle(qtbot, window)
    assert window.session.verdict.startswith("PROVEN")
    assert canvas.scene is not None and canvas.sketch is None
    window.session.undo()
    settle(qtbot, window)
    assert window.session.state == "failed"


def test_a_part_larger_than_the_machine_is_shown_as_drawn(qtbot, window):
    window.files.open([put(window, "sheet.dxf", lambda msp: msp.add_circle((0, 0), 9000))])
    settle(qtbot, window)
    assert window.session.state == "failed"
    assert [role for role, _sheaf in window.canvas.sketch.layers] == ["part"]


def test_another_drawing_never_shows_the_one_before(qtbot, window, held, banners):
    held.set()
    window.files.open([put(window, "gap.dxf", gap)])
    settle(qtbot, window)
    assert window.canvas.sketch.names == ("gap.dxf",)
    held.clear()
    shown = []
    window.session.listen(lambda _word: shown.append((window.session.name, window.canvas.sketch)))
    window.files.open([put(window, "plate.dxf", plate)])
    qtbot.waitUntil(lambda: window.session.preview is not None and window.session.name == "plate.dxf", timeout=5000)
    assert all(sketch is None or sketch.names == (name,) for name, sketch in shown)
    assert window.canvas.sketch.names == ("plate.dxf",)
    window.session.undo()
    assert window.canvas.sketch is None
    held.set()
    settle(qtbot, window)
    assert window.session.state == "failed" and window.canvas.sketch.names == ("gap.dxf",)


def test_a_mended_drawing_is_planned_and_until_then_said_to_be_as_before_the_change(qtbot, window, held, banners):
    held.set()
    window.files.open([put(window, "gap.dxf", gap)])
    settle(qtbot, window)
    held.clear()
    window.session.change("gaps to close", join_tolerance=61.0)
    window.canvas.grab()
    assert "before your last change" in banners[-1]
    held.set()
    settle(qtbot, window)
    assert window.canvas.sketch is None and window.canvas.scene is not None


def test_a_stopped_look_stops_the_plan_too(qtbot, window):
    window.session.open([put(window, "plate.dxf", plate)])
    task = window.session.next_task()
    window.session.take(task, task.run(lambda stage, share: None))
    window.worker.cancel()
    assert window.session.state == "failed" and "stopped" in window.session.problem.what
    assert window.session.next_task() is None
    settle(qtbot, window)


def test_drawings_of_one_job_stand_side_by_side(qtbot, window, held):
    window.files.open([put(window, "plate.dxf", plate), put(window, "gap.dxf", gap)])
    qtbot.waitUntil(lambda: window.canvas.sketch is not None, timeout=5000)
    ((_role, lines),) = window.session.preview.layers
    boxes = [path.bounds() for path in lines]
    assert boxes[0] == pytest.approx((0, 0, 200, 100)) and boxes[2][0] > 200 and boxes[2][1] == pytest.approx(0)
    x0, y0, x1, y1 = window.session.preview.sheet
    assert all(x0 < a and y0 < b and c < x1 and d < y1 for a, b, c, d in boxes)
    held.set()
    settle(qtbot, window)


BEFORE = """
import sys
from pathlib import Path
from PySide6.QtCore import QEventLoop
from kerfproof_app.window.start import application, opened
app = application()
window = opened([Path(sys.argv[1])])
loop = QEventLoop()
window.worker.sketched.connect(lambda sketch: (print(*sys.modules), loop.quit()))
loop.exec()
window.files.closing = True
window.close()
"""


@pytest.mark.slow
def test_a_drawing_is_shown_before_planner_proof_and_what_reads_job_files_are_loaded(window, tmp_path):
    path = tmp_path / "gusset.dxf"
    path.write_bytes(shop.demo("gusset"))
    surroundings = {**os.environ, store.CONFIG_VARIABLE: str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", BEFORE, str(path)],
        env=surroundings,
        check=True,
        timeout=60,
        capture_output=True,
        text=True,
    )
    loaded = set(done.stdout.split())
    assert "kerfproof.drawing.dxf.reader" in loaded
    assert not loaded & {"kerfproof.api", "kerfproof.proof.prove", "kerfproof.plan.build", "pydantic", "tomlkit"}
