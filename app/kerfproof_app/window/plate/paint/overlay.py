"""What lies over the still picture: selection, the thing under the pointer, the torch, the legend, the state."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from kerfproof.job.job import Mode
from kerfproof.report.picture.flags import own_place
from kerfproof.units import format_feed, format_length
from kerfproof_app.window.plate.paint.plate_painter import world
from kerfproof_app.window.plate.plate_view import PlateView
from kerfproof_app.window.plate.scene.path_batch import PathBatch
from kerfproof_app.window.widgets.pens import faded, outline, take_letters, thin_pen
from kerfproof_app.window.widgets.words import feature_words, tr

if TYPE_CHECKING:
    from kerfproof.geom.path import Path
    from kerfproof_app.window.plate.scene.picking import PickedThing
    from kerfproof_app.window.plate.scene.plate_scene import Scene
    from kerfproof_app.work.uncut_chains import UncutChain


def told_of(found: PickedThing, canvas: PlateView) -> str:
    """Return what to say of a thing: feature, size, feed, line."""
    scene, inches = canvas.scene, canvas.session.shown_inches
    assert scene is not None
    words = []
    if found.loose is not None:
        return _loose_words(scene.loose[found.loose], inches)
    feature = None if found.feature is None else scene.by_number.get(found.feature)
    if found.kind == "part" and found.part is not None:
        part = scene.outcome.parts.parts[found.part]
        words += [tr("part {name}").format(name=part.name), _size_words(part.outline.contour.path, inches)]
    elif feature is not None:
        words.append(feature_words(feature.kind.value, feature.label, feature.diameter, inches))
    if found.kind != "part" and found.cut is not None and scene.outcome.plan is not None:
        cut = scene.outcome.plan.cuts[found.cut]
        words.insert(0, tr("cut {number}").format(number=found.cut + 1))
        if found.kind == "lead":
            words.append(
                tr("lead: {shape}, drag to move").format(shape=tr((cut.lead_shape or "none").replace("_", " ")))
            )
        if found.kind == "pierce":
            words.append(tr("pierced on its line"))
        words.append(format_feed(cut.feed_mm_min, inches))
        words.append(tr("length {length}").format(length=format_length(cut.length(), inches, 1 + inches)))
        if scene.outcome.program is not None:
            block = scene.outcome.program.blocks[found.cut]
            words.append(tr("lines {first} to {last}").format(first=block.first, last=block.last))
    return " · ".join(words)


def _loose_words(chain: UncutChain, inches: bool) -> str:
    """Return what to say of a chain that is not cut."""
    why = {
        "open": tr("not cut: it does not close"),
        "refused": tr("not cut: it meets itself or another contour"),
        "ignored": tr("ignored"),
    }
    layer = tr("layer {layer}").format(layer=chain.layer)
    return " · ".join([why[chain.kind], _size_words(chain.path, inches), layer])


def _size_words(path: Path, inches: bool) -> str:
    x0, y0, x1, y1 = path.bounds()
    return f"{format_length(x1 - x0, inches, 2 + inches)} × {format_length(y1 - y0, inches, 2 + inches)}"


def paint_selection(painter: QPainter, canvas: PlateView) -> None:
    """Paint the selected features with a halo."""
    scene = canvas.scene
    assert scene is not None
    chosen = set(canvas.session.selection.features)
    if chosen:
        rows = [k for k, n in enumerate(scene.features.owner.tolist()) if n in chosen]
        _halo(painter, canvas, scene.features, rows, "lead_out", 5.0)
    loose = [k for k in canvas.session.selection.loose if k < len(scene.loose)]
    if loose:
        _halo(painter, canvas, scene.loose_paths, loose, "lead_out", 5.0)
    finding = canvas.session.selection.finding
    if finding is not None:
        at = finding_place(canvas, finding)
        if at is not None:
            outline(painter, QColor(canvas.colours["error"]), 2.4)
            painter.drawEllipse(QPointF(*canvas.camera.to_pixels(*at)), 17, 17)


def finding_place(canvas: PlateView, number: int) -> tuple[float, float] | None:
    """Return the place on the plate of a finding by its number in the session."""
    session = canvas.session
    if not 0 <= number < len(session.findings):
        return None
    finding, outcome = session.findings[number], session.outcome
    return own_place(finding) if outcome is None else outcome.place_of(finding)


def paint_found(painter: QPainter, canvas: PlateView) -> None:
    """Paint the thing under the pointer with a thin halo."""
    found, scene = canvas.found, canvas.scene
    if found is not None and scene is not None and found.loose is not None:
        _halo(painter, canvas, scene.loose_paths, [found.loose], "lead_in", 2.4)
    if found is None or scene is None or found.feature is None or found.kind == "part":
        return
    if found.kind == "lead" and found.cut is not None:
        place = QPointF(*canvas.camera.to_pixels(*scene.pierces[found.cut]))
        outline(painter, QColor(canvas.colours["lead_in"]), 2.4)
        painter.drawEllipse(place, 8, 8)
        return
    rows = [k for k, n in enumerate(scene.features.owner.tolist()) if n == found.feature]
    _halo(painter, canvas, scene.features, rows, "lead_in", 2.4)


def _halo(painter: QPainter, canvas: PlateView, batch: PathBatch, which: list[int], role: str, width: float) -> None:
    painter.save()
    painter.setTransform(world(canvas.camera), True)
    painter.setPen(thin_pen(painter, faded(QColor(canvas.colours[role]), 190), width))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for k in which:
        painter.drawPath(batch.paths[k])
    painter.restore()


def paint_torch(painter: QPainter, canvas: PlateView) -> None:
    """Paint the torch at the moment of the scrubber."""
    if canvas.session.moment_s <= 0.0:
        return
    moment = canvas.session.moment
    if moment is None:
        return
    u, v = canvas.camera.to_pixels(moment.x, moment.y)
    c = canvas.colours
    painter.setBrush(QColor(c["hot"]) if moment.torch else QColor(c["disc"]))
    painter.setPen(QPen(QColor(c["disc_edge"]), 2.0))
    painter.drawEllipse(QPointF(u, v), 7, 7)
    for du, dv in ((-1, 0), (1, 0), (0, -1), (0, 1)):
        painter.drawLine(QPointF(u + 7 * du, v + 7 * dv), QPointF(u + 13 * du, v + 13 * dv))


# --- state ---------------------------------------------------------------------------------------


def paint_state(painter: QPainter, canvas: PlateView) -> None:
    """Say over the picture that it is not that of the job as it stands, or that nothing of it is cut."""
    c, state, sketch = canvas.colours, canvas.session.state, canvas.sketch
    older = canvas.scene is not None or (sketch is not None and sketch.preview.marked)
    if state == "checking":
        text = tr("Checking: this is still the picture before your last change") if older else tr("Planning")
        if sketch is not None and not older:
            text = tr("This is what is drawn. Its cut is being planned and proven.")
        _banner(painter, canvas, text, c["warning"], c["warning_ink"])
    elif canvas.session.stopped:
        text = tr("The check was stopped: nothing of it is planned or proven")
        if older:
            text = tr("The check was stopped: this is the picture before your last change")
        _banner(painter, canvas, text, c["warning"], c["warning_ink"])
    elif state == "failed":
        text = tr("There is no picture: the job can't be planned. The findings say why.")
        if canvas.scene is not None:
            text = tr("This is the picture before your last change, which can't be planned")
        elif sketch is not None:
            text = tr("This is what is drawn, not a cut: it can't be planned. The findings say why.")
        _banner(painter, canvas, text, c["error"], c["error_ink"])
    elif canvas.scene is not None and canvas.scene.picture.notice:
        _banner(painter, canvas, unlit_words(canvas.scene), c["paper"], c["ink"], c["raised"])


def unlit_words(scene: Scene) -> str:
    """Return what is said of a program that never lights the torch."""
    words = {
        Mode.DRY: tr("Dry run: the torch stays off"),
        Mode.FRAME: tr("Frame only: the torch stays off"),
        Mode.TOUR: tr("Tour of the pierces: the torch stays off"),
    }
    plan = scene.outcome.plan
    return words.get(plan.mode, "") if plan else tr("The torch stays off")


def _banner(painter: QPainter, canvas: PlateView, text: str, ground: str, ink: str, edge: str = "") -> None:
    wide = take_letters(painter, 13, bold=True).horizontalAdvance(text) + 28
    box = QRectF((canvas.width() - wide) / 2, 34, wide, 30)
    painter.setPen(QPen(QColor(edge), 2.0, Qt.PenStyle.DashLine) if edge else Qt.PenStyle.NoPen)
    painter.setBrush(QColor(ground))
    painter.drawRoundedRect(box, 8, 8)
    painter.setPen(QColor(ink))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
