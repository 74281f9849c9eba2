"""Drives the real window with real events, and times it to the end of the paint that shows what happened."""

from __future__ import annotations

import math
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from PySide6.QtCore import QEvent, QEventLoop, QObject, QPointF, QSettings, Qt, QTimer
from PySide6.QtGui import QGuiApplication, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication

from app.window import MainWindow
from core.light.sources import sources_of
from core.plan import Plan

__all__ = ["DragFrames", "Driver", "LateError"]

_PATIENCE = 120.0  # s that any picture may take before the benchmark gives up


_HEARTBEAT_MS = 20


class LateError(RuntimeError):
    """Something that was waited for did not come."""


class _Paints(QObject):
    """Counts the paints of a widget."""

    def __init__(self, watched: QObject) -> None:
        super().__init__(watched)
        self.count = 0
        watched.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint:
            self.count += 1
        return False


class DragFrames:
    """What one drag showed: milliseconds from each mouse event to the end of its paint, and how many lagged behind."""

    def __init__(self) -> None:
        self.ms: list[float] = []
        self.behind = 0
        self.plan: Plan | None = None


class Driver:
    """A window on the screen (or off it) and a hand on the mouse."""

    def __init__(self, plan: Plan) -> None:
        self.app = QApplication.instance() or QApplication(["candlebench"])
        # One window after another: the end of the first must not end the application and close the next.
        QGuiApplication.setQuitOnLastWindowClosed(False)
        # The list of recent files stays the user's own.
        self._settings = TemporaryDirectory()
        QSettings.setDefaultFormat(QSettings.Format.IniFormat)
        QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, self._settings.name)
        self.window = MainWindow(plan)
        self.window.resize(1280, 800)
        self.window.show()
        self._paints = _Paints(self.window.canvas)
        self.pump()

    def pump(self) -> None:
        """Let Qt do all that waits."""
        self.app.processEvents()

    def wait(self, is_done: Callable[[], bool], what: str) -> None:
        """Let time go by until something has come about."""
        end = time.perf_counter() + _PATIENCE
        # As the program's own event loop does, sleep until there is something to do: asking over and over would keep
        # the thread that computes from its turn.
        heartbeat = QTimer()
        heartbeat.start(_HEARTBEAT_MS)
        while not is_done():
            self.app.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
            if time.perf_counter() > end:
                raise LateError(f"waited {_PATIENCE:.0f} s for {what}")
        heartbeat.stop()

    def settle(self) -> None:
        """Wait for the full picture, its room ready for drags, and the paint that shows it."""
        solver = self.window.solver
        self.wait(lambda: solver.lighting is not None and solver.lighting.is_full and not solver.is_busy, "full light")
        solver.wait_until_ready()
        self.pump()

    def until_painted(self, start: float, is_shown: Callable[[], bool], what: str) -> float:
        """Return the milliseconds from ``start`` to the end of the first paint after ``is_shown`` came true."""
        self.wait(is_shown, what)
        return self.painted(start)

    def painted(self, start: float) -> float:
        """Return the milliseconds from ``start`` to the end of the next paint of the drawing, panels included."""
        before = self._paints.count
        self.window.canvas.update()
        while self._paints.count == before:
            self.app.processEvents()
        return (time.perf_counter() - start) * 1000.0

    def open_file(self, path: Path) -> tuple[float, float]:
        """Open a copy of a file; return the milliseconds to its first picture and to the full one, both painted.

        A copy, so that nothing unsaved is left beside the file, which the next one to open it would be asked about.
        """
        solver = self.window.solver
        path = Path(shutil.copy(path, self._settings.name))
        start = time.perf_counter()
        self.window.files.open_path(path)
        first = self.until_painted(start, self._is_lit, "the first picture")
        self.wait(lambda: solver.lighting is not None and solver.lighting.is_full, "the full picture")
        return first, self.painted(start)

    def change(self, text: str, plan: Plan) -> tuple[float, float]:
        """Apply a change of the room; return the milliseconds to the first and to the full picture, both painted."""
        solver = self.window.solver
        start = time.perf_counter()
        self.window.document.apply(text, plan)
        first = self.until_painted(start, self._is_lit, "the first picture after a change")
        self.wait(lambda: solver.lighting is not None and solver.lighting.is_full, "the full picture after a change")
        return first, self.painted(start)

    def _is_lit(self) -> bool:
        return self.window.solver.lighting is not None and not self.window.solver.is_stale

    def press_key(self, key: Qt.Key) -> float:
        """Press a key in the drawing; return the milliseconds to the end of the paint."""
        before, start = self._paints.count, time.perf_counter()
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            self.app.sendEvent(
                self.window.canvas, QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier, chr(key).lower())
            )
        while self._paints.count == before:
            self.app.processEvents()
        return (time.perf_counter() - start) * 1000.0

    def drag(self, identity: str, frames: int) -> DragFrames:
        """Drag a fixture about and set it back; only frames in which it moved count. The last plan is kept."""
        canvas, document, result = self.window.canvas, self.window.document, DragFrames()
        at = document.plan.fixture(identity)
        start = canvas.view.to_screen(at.x, at.y)
        self._mouse(QEvent.Type.MouseMove, start, Qt.MouseButton.NoButton)
        self._mouse(QEvent.Type.MouseButtonPress, start, Qt.MouseButton.LeftButton)
        for pos in _path(start, self._room_on_screen(), frames):
            plan, painted, begun = document.plan, self._paints.count, time.perf_counter()
            self._mouse(QEvent.Type.MouseMove, pos, Qt.MouseButton.LeftButton)
            while self._paints.count == painted and document.plan is not plan:
                self.app.processEvents()
            taken = (time.perf_counter() - begun) * 1000.0
            self.app.processEvents()
            if document.plan is plan or not document.in_gesture:
                continue
            result.ms.append(taken)
            lighting = self.window.solver.lighting
            result.behind += lighting is None or lighting.sources != sources_of(document.plan)
        result.plan = document.plan
        return result

    def drop(self) -> None:
        """Take the drag back, as Escape does."""
        self.window.canvas.tool.cancel()
        self._mouse(QEvent.Type.MouseButtonRelease, QPointF(0.0, 0.0), Qt.MouseButton.LeftButton)
        self.pump()

    def close(self) -> None:
        """End the window in the order that the program does."""
        self.window.solver.shutdown()
        self.window.hide()
        self.window.deleteLater()
        self.app.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    def _room_on_screen(self) -> tuple[float, float, float, float]:
        xs, ys = zip(*self.window.document.plan.room.outline, strict=True)
        low, high = (
            self.window.canvas.view.to_screen(min(xs), min(ys)),
            self.window.canvas.view.to_screen(max(xs), max(ys)),
        )
        return low.x(), high.y(), high.x(), low.y()

    def _mouse(self, kind: QEvent.Type, pos: QPointF, button: Qt.MouseButton) -> None:
        is_move = kind == QEvent.Type.MouseMove
        held = Qt.MouseButton.NoButton if kind == QEvent.Type.MouseButtonRelease else button
        event = QMouseEvent(
            kind,
            pos,
            self.window.canvas.mapToGlobal(pos),
            Qt.MouseButton.NoButton if is_move else button,
            held,
            Qt.KeyboardModifier.NoModifier,
        )
        self.app.sendEvent(self.window.canvas, event)


def _path(start: QPointF, room: tuple[float, float, float, float], frames: int) -> Iterator[QPointF]:
    """Yield places of the pointer: away from the start and through the whole room, a few pixels at a time."""
    left, top, right, bottom = room
    middle = QPointF((left + right) / 2, (top + bottom) / 2)
    wide, high = (right - left) * 0.42, (bottom - top) * 0.42
    for i in range(1, frames + 1):
        turn = 2.0 * math.pi * i / frames
        there = middle + QPointF(wide * math.sin(turn), high * math.sin(2.0 * turn))
        share = min(1.0, i / 10.0)
        yield start * (1.0 - share) + there * share
