"""A hand on the mouse and the keys of a real window, and the count of what it does.

Everything goes through the window system's side of Qt (events of a QWindow), as a person's doing would. A gesture is
one click, one drag, one key chord, or one typed entry with its Enter; a double click counts as two clicks.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QWindow
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.window import MainWindow

__all__ = ["Gestures", "Hand"]

LEFT, NONE = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
_HELD = (Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta)
_COMMAND = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
_PATIENCE_S = 30.0


class Gestures(QObject):
    """Counts gestures from the events that reach any window."""

    def __init__(self, app: QApplication) -> None:
        super().__init__()
        self.count = 0
        self._is_typing = False
        app.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(watched, QWindow):
            return False
        if event.type() in (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonDblClick):
            self._is_typing = False
            self.count += 1
        elif event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            self._count_key(event)
        return False

    def _count_key(self, event: QKeyEvent) -> None:
        if event.key() in _HELD:
            return
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        is_text = bool(event.text()) and event.text().isprintable() and not event.modifiers() & _COMMAND
        # Letter after letter is one entry, and its Enter belongs to it.
        if not self._is_typing or not (is_text or is_enter):
            self.count += 1
        self._is_typing = is_text


class Hand:
    """Works a main window; places are in feet on the plan."""

    def __init__(self, window: MainWindow, out: Path | None = None) -> None:
        self.window, self.out = window, out
        self._shots = 0

    def pump(self) -> None:
        """Let Qt do all that waits."""
        QApplication.processEvents()

    def wait(self, is_done: Callable[[], bool], what: str) -> None:
        """Let time go by until something has come about."""
        end = time.monotonic() + _PATIENCE_S
        while not is_done():
            self.pump()
            if time.monotonic() > end:
                raise TimeoutError(f"waited {_PATIENCE_S:.0f} s for {what}")
            time.sleep(0.005)

    def shot(self, name: str) -> None:
        """Keep a picture of the window."""
        self.pump()
        self._shots += 1
        if self.out is not None:
            self.window.grab().save(str(self.out / f"{self._shots:02d}-{name}.png"))

    def on_plan(self, x: float, y: float) -> QPoint:
        """Return the window's pixel of a place in feet."""
        shown: QPointF = self.window.canvas.view.to_screen(x * 0.3048, y * 0.3048)
        return self.window.canvas.mapTo(self.window, shown.toPoint())

    def point(self, at: QPoint) -> None:
        """Move the pointer."""
        QTest.mouseMove(self._handle(self.window), at)
        self.pump()

    def click(self, x: float, y: float) -> None:
        """Click on the plan."""
        self.point(self.on_plan(x, y))
        QTest.mouseClick(self._handle(self.window), LEFT, NONE, self.on_plan(x, y))
        self.pump()

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Drag over the plan."""
        handle = self._handle(self.window)
        self.point(self.on_plan(*start))
        QTest.mousePress(handle, LEFT, NONE, self.on_plan(*start))
        for share in (0.1, 0.4, 0.7, 1.0):
            x, y = (a + (b - a) * share for a, b in zip(start, end, strict=True))
            self.point(self.on_plan(x, y))
        QTest.mouseRelease(handle, LEFT, NONE, self.on_plan(*end))
        self.pump()

    def click_on(self, widget: QWidget, is_double: bool = False) -> None:
        """Click in the middle of a button, a row of the shelf, a list."""
        top = widget.window()
        at = widget.mapTo(top, widget.rect().center())
        QTest.mouseMove(self._handle(top), at)
        if is_double:
            QTest.mouseDClick(self._handle(top), LEFT, NONE, at)
        else:
            QTest.mouseClick(self._handle(top), LEFT, NONE, at)
        self.pump()

    def key(self, key: Qt.Key, held: Qt.KeyboardModifier = NONE) -> None:
        """Press one chord."""
        QTest.keyPress(self._front(), key, held)
        self.pump()
        # What was pressed may have closed the window that got it.
        QTest.keyRelease(self._front(), key, held)
        self.pump()

    def type(self, text: str, enter: bool = True) -> None:
        """Type an entry."""
        for sign in text:
            QTest.keyClick(self._front(), sign)
            self.pump()
        if enter:
            self.key(Qt.Key.Key_Return)

    def _front(self) -> QWindow:
        """Return the window that has the keys: a dialog (its list of completions passes them on), a popup, or the
        main window."""
        top = QApplication.activeModalWidget() or QApplication.activePopupWidget() or self.window
        return self._handle(top)

    @staticmethod
    def _handle(widget: QWidget) -> QWindow:
        handle = widget.windowHandle()
        if handle is None:
            raise LookupError("that widget has no window of its own")
        return handle
