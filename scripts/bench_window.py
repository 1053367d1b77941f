"""The window's rows of the bench, offscreen: opening, painting a frame, dragging a lead, stopping work."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

import bench_inputs
from bench_work import best, planned
from kerfproof.outcome import Outcome

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
WIDE, HIGH = 1600, 1000

OPENED = """
import sys
from pathlib import Path
from kerfproof_app.shop.gc_tuning import collect_seldom
collect_seldom()  # as the command line does
from kerfproof_app.window.start import application, opened
app = application()
from PySide6.QtCore import QEventLoop
window = opened([Path(sys.argv[1])])
window.show()
loop = QEventLoop()
getattr(window.worker, sys.argv[2]).connect(lambda picture: loop.quit())
window.session.listen(lambda _change: window.session.state == "failed" and loop.exit(1))
failed = loop.exec()
window.grab()
shown = window.canvas.sketch if sys.argv[2] == "sketched" else window.canvas.scene
window.files.closing = True
window.close()
sys.exit(failed or shown is None)
"""
BARE = """
import sys
from kerfproof_app.shop.gc_tuning import collect_seldom
collect_seldom()
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication([])
window = QMainWindow()
window.resize(1360, 860)
window.show()
app.processEvents()
import numpy, shapely, ezdxf, pydantic, tomlkit
ezdxf.readfile(sys.argv[1])
window.grab()
"""


def window_open() -> tuple[float, float]:
    """From start until the window shows what a part of 20 features has drawn, over `BARE`.

    That is an empty window, the imports and the reading.
    """
    return _opening("sketched")


def window_planned() -> tuple[float, float]:
    """From start until the window shows its plan with the proof, over the same."""
    return _opening("made")


def _opening(signal: str) -> tuple[float, float]:
    with tempfile.TemporaryDirectory() as folder:
        drawing = Path(folder) / "part.dxf"
        drawing.write_bytes(bench_inputs.plate_dxf(2))
        surroundings = {**os.environ, "KERFPROOF_CONFIG": folder, "QT_QPA_PLATFORM": "offscreen"}
        surroundings.pop("PYTHONDONTWRITEBYTECODE", None)  # what is installed has its bytecode beside it
        surroundings["PYTHONPYCACHEPREFIX"] = str(Path(folder) / "bytecode")

        def run(code: str) -> Callable[[], object]:
            command = [sys.executable, "-c", code, str(drawing), signal]
            return lambda: subprocess.run(command, check=True, capture_output=True, env=surroundings)

        return _best(run(OPENED), run(BARE), 5)


def frame() -> tuple[float, float]:
    """Paint the dense plate zoomed out and near, over a bare painter with the same paths, culled to the view."""
    canvas = _canvas()

    def value() -> None:
        for look in (canvas.fit, lambda: canvas.fly_to(*canvas.scene.pierces[2000], 8.0)):
            look()
            canvas.repaint_all()
            canvas.still()

    def floor() -> None:
        for look in (canvas.fit, lambda: canvas.fly_to(*canvas.scene.pierces[2000], 8.0)):
            look()
            _bare(canvas)

    return _best(value, floor, 7)


def lead_drag() -> tuple[float, float]:
    """Move the pointer with a lead in hand until its verdict is painted, over the same frame without the move."""
    from PySide6.QtGui import QImage

    from kerfproof_app.window.plate.tools.select_tool import SelectTool

    canvas = _canvas()
    canvas.fit()
    look = SelectTool(canvas)
    canvas.take(look)
    look.grab(canvas.scene.outcome.plan.cuts[4000].feature)
    lead = look.lead
    assert lead is not None
    image = QImage(WIDE, HIGH, QImage.Format.Format_RGB32)
    turn = iter(range(10**9))

    def paint() -> None:
        canvas.render(image)

    def value() -> None:
        x, y = lead.home
        angle = next(turn) * 0.3
        lead.slide_to((x + 10 * np.cos(angle), y + 10 * np.sin(angle)))
        paint()

    return _best(value, paint, 60)


def cancel() -> tuple[float, float]:
    """Return seconds from the request to stop a dense plate until nothing runs, over the allowed 0.2 s."""
    from PySide6.QtCore import QEventLoop, QTimer

    from kerfproof_app.shop.preferences import Memory
    from kerfproof_app.window.planning_worker import PlanningWorker
    from kerfproof_app.window.start import application
    from kerfproof_app.work.session import Session

    application()
    with tempfile.TemporaryDirectory() as folder:
        drawing = Path(folder) / "plate.dxf"
        drawing.write_bytes(bench_inputs.plate_dxf(500))
        worst = 0.0
        for wait in (300, 900, 1500):
            session = Session(Memory(Path(folder) / "memory"))
            session.keep_later = lambda: None
            worker = PlanningWorker(session)
            loop = QEventLoop()
            worker.idle.connect(loop.quit)
            asked: list[float] = []

            def stop(worker: PlanningWorker = worker, asked: list[float] = asked) -> None:
                asked.append(time.perf_counter())
                worker.cancel()

            session.open([drawing])
            QTimer.singleShot(wait, stop)
            loop.exec()
            if asked:
                worst = max(worst, time.perf_counter() - asked[0])
            worker.close()
    return worst, 0.2


def _canvas():  # type: ignore[no-untyped-def]
    from kerfproof_app.window.plate.canvas import Canvas
    from kerfproof_app.window.plate.scene.plate_scene import make_scene
    from kerfproof_app.window.start import application
    from kerfproof_app.work.session import Session

    application()
    session = Session()
    outcome: Outcome = planned(bench_inputs.plate_dxf(500))
    session.outcome, session.state = outcome, "current"
    canvas = Canvas(session)
    canvas.resize(WIDE, HIGH)
    canvas.show()
    canvas.show_scene(make_scene(outcome))
    return canvas


def _bare(canvas) -> None:  # type: ignore[no-untyped-def]
    """Paint the same layers with nothing but a painter: fills, kerf or hairlines, lines by tone, leads, travel."""
    from PySide6.QtCore import Qt
    from PySide6.QtGui import QColor, QImage, QPainter, QPen

    from kerfproof_app.window.plate.paint.plate_painter import is_far, world
    from kerfproof_app.window.widgets.color_ramp import ramp

    scene, camera = canvas.scene, canvas.camera
    far = is_far(scene, camera)
    image = QImage(WIDE, HIGH, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, not far)
    painter.setTransform(world(camera))
    view = camera.seen(4.0)
    painter.setPen(QPen(QColor("black"), 0))
    painter.setBrush(QColor("white"))
    for k in scene.parts.seen(view):
        painter.drawPath(scene.parts.paths[k])
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if not far:
        painter.setPen(QPen(QColor("black"), scene.outcome.process.kerf))
        for k in scene.kerf.seen(view):
            painter.drawPath(scene.kerf.paths[k])
    for batch, width in ((scene.travel, 1.0), (scene.path, 2.0), (scene.leads_in, 2.4), (scene.leads_out, 2.4)):
        pens = []
        for colour in ramp():
            pen = QPen(
                colour, 0 if far else width, Qt.PenStyle.DashLine if batch is scene.travel else Qt.PenStyle.SolidLine
            )
            pen.setCosmetic(True)
            pens.append(pen)
        for k in batch.seen(view):
            painter.setPen(pens[int(batch.tone[k])])
            painter.drawPath(batch.paths[k])
    painter.end()


def _best(value: Callable[[], object], floor: Callable[[], object], rounds: int) -> tuple[float, float]:
    return best(value, floor, rounds)
