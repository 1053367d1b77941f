from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QWheelEvent
from PySide6.QtWidgets import QApplication

from kerfproof.job.job import SmallHoles
from kerfproof_app.window.plate.camera import Camera
from kerfproof_app.window.plate.tools.measure_tool import MeasureTool
from kerfproof_app.window.widgets.color_ramp import ramp
from support.app.at_the_window import click, cut_of, hover, open_demo, settle


def colours_of(image: QImage, step: int = 2) -> set[int]:
    return {image.pixel(x, y) for x in range(0, image.width(), step) for y in range(0, image.height(), step)}


def test_zoom_holds_the_place_under_the_pointer(qtbot, window):
    open_demo(qtbot, window)
    canvas = window.canvas
    point = QPointF(300.0, 200.0)
    before = canvas.place_of(point)
    event = QWheelEvent(
        point, QPointF(canvas.mapToGlobal(point.toPoint())), QPoint(), QPoint(0, 240), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    scale = canvas.camera.scale
    QApplication.sendEvent(canvas, event)
    assert canvas.camera.scale > 1.3 * scale
    assert math.dist(canvas.place_of(point), before) < 1e-9
    window.commands["fit"].trigger()
    assert canvas.camera.scale < 1.3 * scale


def test_pixels_and_places_are_inverse():
    camera = Camera(x=12.5, y=-3.25, scale=4.0, width=800, height=600)
    for place in ((0.0, 0.0), (100.0, 50.0), (-7.0, 3.0)):
        assert math.dist(camera.to_plate(*camera.to_pixels(*place)), place) < 1e-9
    assert camera.to_pixels(0.0, 10.0)[1] < camera.to_pixels(0.0, 0.0)[1], "y is up"


def test_kept_metal_scrap_and_kerf_are_painted_apart_in_light_and_dark(qtbot, window):
    open_demo(qtbot, window)
    seen = {}
    for theme in ("light", "dark"):
        window.show_theme(theme)
        canvas = window.canvas
        canvas.fly_to(80.0, 60.0, 8.0)
        canvas.fit()
        image = canvas.still()
        c = canvas.colours
        part = QImage(1, 1, QImage.Format.Format_RGB32)
        part.fill(c["part"])
        u, v = canvas.camera.to_pixels(60.0, 60.0)
        assert image.pixel(int(u), int(v)) == part.pixel(0, 0), "inside the gusset is metal"
        u, v = canvas.camera.to_pixels(200.0, 150.0)
        assert image.pixel(int(u), int(v)) != part.pixel(0, 0), "beyond its slope is scrap"
        seen[theme] = colours_of(image, 5)
    assert seen["light"] != seen["dark"]


def test_the_time_ramp_grows_lighter_all_the_way():
    def light(colour) -> float:
        return 0.2126 * colour.redF() + 0.7152 * colour.greenF() + 0.0722 * colour.blueF()

    steps = [light(colour) for colour in ramp()]
    assert all(b > a - 1e-6 for a, b in pairwise(steps))
    assert steps[-1] - steps[0] > 0.4


def test_the_path_is_coloured_by_time_from_first_to_last(qtbot, window):
    open_demo(qtbot, window)
    path = window.canvas.scene.path
    first = path.tone[path.owner == 0]
    last = path.tone[path.owner == 5]
    assert first.max() <= last.min()
    assert last.max() - last.min() > 5, "a long cut runs through many colours"


def test_hover_tells_feature_size_feed_and_lines(qtbot, window):
    open_demo(qtbot, window)
    cut = cut_of(window, "outline")
    on_it = tuple(cut.contour.segments().points(np.array([3]), np.array([0.5]))[0])
    hover(window.canvas, on_it)
    said = window.under.text()
    assert "outline 200 x 150 mm" in said
    assert "2200 mm/min" in said
    assert "lines" in said
    window.session.show_inches(True)
    hover(window.canvas, (100.0, 100.0))
    assert "mm" not in window.place.text()
    hover(window.canvas, on_it)
    assert "in/min" in window.under.text()
    assert "outline 7.874 x 5.906 in" in window.under.text()


def test_measure_between_two_snapped_points(qtbot, window):
    open_demo(qtbot, window)
    window.commands["measure"].trigger()
    assert isinstance(window.canvas.tool, MeasureTool)
    hole = next(f for f in window.session.outcome.parts.parts[0].holes if f.diameter == 44.0)
    center = hole.contour.path.segments().center[0]
    click(window.canvas, (center[0] + 0.5, center[1] - 0.5))
    other = next(f for f in window.session.outcome.parts.parts[0].holes if f.diameter == 14.0)
    goal = other.contour.path.segments().center[0]
    click(window.canvas, (goal[0] - 0.4, goal[1] + 0.3))
    ends = window.canvas.tool.ends
    assert math.dist(ends[0], center) < 1e-9
    assert math.dist(ends[1], goal) < 1e-9
    assert f"{math.dist(center, goal):.3f} mm" in window.canvas.tool.text()


def test_only_what_is_seen_is_painted(qtbot, window):
    open_demo(qtbot, window, "sluice-sheet")
    scene, canvas = window.canvas.scene, window.canvas
    canvas.fit()
    assert len(scene.kerf.seen(canvas.camera.seen())) == len(scene.kerf)
    canvas.fly_to(*scene.pierces[0], scale=60.0)
    assert len(scene.kerf.seen(canvas.camera.seen())) <= 2


def test_the_still_picture_is_kept_while_only_the_pointer_moves(qtbot, window):
    open_demo(qtbot, window)
    window.canvas.repaint()
    painted = window.canvas.still()
    for x in range(20, 120, 10):
        hover(window.canvas, (float(x), 50.0))
        window.canvas.repaint()
    assert window.canvas.still() is painted


def test_findings_fly_into_view(qtbot, window, tmp_path):
    from support.shop import shop

    def draw(space):
        space.add_lwpolyline([(0, 0), (300, 0), (300, 200), (0, 200)], close=True)
        space.add_circle((280, 180), 0.8)

    path = tmp_path / "tiny.dxf"
    path.write_bytes(shop.dxf(draw))
    window.files.open([path])
    settle(qtbot, window)
    window.session.change("for the test", small_holes=SmallHoles.ERROR)
    settle(qtbot, window)
    number = next(k for k, f in enumerate(window.session.findings) if f.severity == "error" and f.x is not None)
    window.session.select(finding=number)
    place = window.session.findings[number]
    x, y = window.canvas.camera.x, window.canvas.camera.y
    assert math.dist((x, y), (place.x, place.y)) < 30.0


def test_the_marks_of_travel_lie_on_the_cuts_and_point_the_way_that_is_cut(qtbot, window):
    open_demo(qtbot, window)
    scene, line = window.canvas.scene, window.session.timeline
    cuts = window.session.outcome.plan.cuts
    assert len(scene.arrows) >= len(cuts)
    for x, y, turn, _length in scene.arrows.tolist():
        when = line.moment_near(x, y, reach=0.01)
        assert when is not None, "a mark lies where the torch burns"
        before, after = line.at(when - 0.01), line.at(when + 0.01)
        way = np.array([after.x - before.x, after.y - before.y])
        assert way @ [np.cos(turn), np.sin(turn)] > 0.9 * np.hypot(*way) > 0


def test_the_legend_tells_when_the_colours_begin_and_end(qtbot, window, monkeypatch):
    from kerfproof.units import format_time
    from kerfproof_app.window.plate.paint import legend

    open_demo(qtbot, window)
    told = []
    real = legend._ramp
    monkeypatch.setattr(legend, "_ramp", lambda *given: (told.append(given[5]), real(*given)))
    window.canvas.grab()
    assert told == [("0 s", format_time(round(window.session.timeline.seconds)))]
    kinds = {kind for kind, _words in legend.legend_items(window.canvas)}
    assert {"lead_in", "lead_out", "travel", "crater"} <= kinds
