"""Long work off the window's thread: one task at a time, the newest edit first, each can be stopped."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from kerfproof.errors import Cancelled, KerfproofError, Watch
from kerfproof_app.window.widgets.off_thread import OneThread, ThreadSignals, ThreadWork
from kerfproof_app.work.documents import Document
from kerfproof_app.work.drawing_preview import DrawingPreview
from kerfproof_app.work.planning import Planning
from kerfproof_app.work.session import Session, Task
from kerfproof_app.work.view_state import Change


class _TaskWork(ThreadWork):
    """One task on the pool's thread: its result with what the plate view paints of it."""

    def __init__(self, task: Task, signals: ThreadSignals) -> None:
        super().__init__(self._made, signals, self._make_ready)
        self.task = task

    def _made(self, watch: Watch) -> tuple[Any, Any]:
        result = self.task.run(watch)
        return result, picture_of(result, watch)

    def _make_ready(self, made: tuple[Any, Any]) -> None:
        if isinstance(self.task, Planning):
            made[1].make_ready()


def picture_of(result: Any, watch: Watch) -> Any:
    """Return what the plate view paints of what a task made: a scene of a plan, a sketch of drawings, else None."""
    if isinstance(result, Document):
        return None
    if isinstance(result, DrawingPreview):
        from kerfproof_app.window.plate.scene.drawing_sketch import make_sketch

        return make_sketch(result)
    from kerfproof_app.window.plate.scene.plate_scene import make_scene

    scene = make_scene(result, watch)
    watch("drawing", 1.0)
    return scene


class PlanningWorker(OneThread):
    """Runs what the session asks for. `idle` is emitted when nothing runs any more, `made` with each new scene.

    `sketched` is emitted with what is drawn, before there is a scene of its plan, and where there can be none.
    """

    made = Signal(object)
    sketched = Signal(object)

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self._start)
        self._stop_listening = session.listen(self._told)

    @property
    def is_busy(self) -> bool:
        """Whether something runs or waits."""
        return super().is_busy or self._soon.isActive()

    def _told(self, change: Change) -> None:
        if change is not Change.STATE or self._closed:
            return
        if isinstance(self._running, _TaskWork) and not self._is_wanted(self._running.task):
            self._running.stop.set()
        if self.session.next_task() is not None:
            self._soon.start()

    def _is_wanted(self, task: Task) -> bool:
        wanted = self.session.next_task()
        if wanted is None or type(wanted) is not type(task):
            return False
        return wanted is task or getattr(wanted, "number", None) == getattr(task, "number", -1)

    @Slot()
    def _start(self) -> None:
        if self._running is not None or self._closed:
            return  # `_done` starts the next
        task = self.session.next_task()
        if task is None:
            self.idle.emit()
            return
        self._begin(_TaskWork(task, self._signals))

    @Slot(object, object, object)
    def _done(self, work: ThreadWork, made: tuple[Any, Any] | None, error: KerfproofError | None) -> None:
        if work is self._running:
            self._running = None
        if self._closed or not isinstance(work, _TaskWork):
            return
        wanted = self._is_wanted(work.task)
        result, scene = made or (None, None)
        if wanted and error is not None and not work.stop.is_set():
            self.session.fail(work.task, error)
        elif wanted and result is not None:
            self.session.take(work.task, result)
            if scene is not None:
                (self.sketched if isinstance(result, DrawingPreview) else self.made).emit(scene)
        if self.session.next_task() is not None:
            self._soon.start()
        elif not self._soon.isActive():
            self.idle.emit()

    def cancel(self) -> None:
        """Stop the work. The session is told so at once; the thread ends when it next looks up.

        What is wanted meanwhile waits for that, so two tasks never share a bench.
        """
        task = self.session.next_task()
        if self._running is not None:
            self._running.stop.set()
        if task is not None and not self._closed:
            self.session.fail(task, Cancelled("stopped"))

    def close(self) -> None:
        """Stop what runs and wait for it; nothing is started any more."""
        if not self._closed:
            self._stop_listening()
            super().close()
