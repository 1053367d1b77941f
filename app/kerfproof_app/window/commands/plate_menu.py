"""The menu on the plate: what can be done with the thing under the pointer."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QMenu

from kerfproof_app.window.commands.menus import Menus
from kerfproof_app.window.plate.canvas import Canvas
from kerfproof_app.window.widgets.words import tr
from kerfproof_app.window.work_pages import WorkPages


def show_plate_menu(event: QMouseEvent, canvas: Canvas, commands: Menus, pages: WorkPages) -> None:
    """Select what lies under the pointer, and offer what can be done with it."""
    session = canvas.session
    found = canvas.thing_at(event.position())
    chosen = session.selection
    if found is not None and found.loose is not None and found.loose not in chosen.loose:
        session.select(loose=(found.loose,))
    elif found is not None and found.feature is not None and found.feature not in chosen.features:
        session.select((found.feature,))
    line = session.timeline
    moment = None if line is None else line.moment_near(*canvas.place_of(event.position()))
    if moment is not None:
        session.go_to(moment)
    menu = QMenu(canvas.window())
    for name in ("move_lead", "again", "pick_order", "to_selection", "fit", "measure"):
        menu.addAction(commands[name])
    menu.addSeparator()
    for name in ("tab", "no_tab", "go_on", "unlit"):
        menu.addAction(commands[name])
    chosen = session.selection
    if (chosen.features or chosen.loose) and session.job is not None:
        roles = menu.addMenu(tr("Make it"))
        for button in pages.part.role_buttons.values():
            roles.addAction(button.text()).triggered.connect(button.click)
    menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    menu.popup(event.globalPosition().toPoint())
