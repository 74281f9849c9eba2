"""A canvas in a window of fixed size, and a hand to work it: real mouse, wheel and key events in feet on the plan."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog

from app.canvas.canvas import PlanCanvas
from app.document import Document
from app.switches import Switches
from app.theme import theme
from core.plan import Plan
from core.units import FOOT

LEFT = Qt.MouseButton.LeftButton
NONE = Qt.KeyboardModifier.NoModifier


@pytest.fixture(autouse=True)
def no_swallowed_errors(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """The canvas logs errors instead of handing them to Qt: a test that caused one has failed."""
    yield
    assert [r.getMessage() for r in caplog.records if r.levelno >= logging.ERROR] == []


@pytest.fixture(autouse=True)
def no_file_dialog(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever is asked for a file in these tests chooses none."""
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: ("", ""))


class Hand:
    """Works a canvas as a person does."""

    def __init__(self, canvas: PlanCanvas) -> None:
        self.canvas = canvas
        self.document = canvas.document
        self.messages: list[str] = []
        canvas.message.connect(self.messages.append)

    @property
    def plan(self) -> Plan:
        return self.document.plan

    def pos(self, x: float, y: float) -> QPointF:
        """Return the pixel of a place in feet."""
        return self.canvas.view.to_screen(x * FOOT, y * FOOT)

    def move(self, x: float, y: float, held: Qt.KeyboardModifier = NONE, button: Qt.MouseButton | None = None) -> None:
        self._send(QEvent.Type.MouseMove, self.pos(x, y), held, button or Qt.MouseButton.NoButton)

    def press(self, x: float, y: float, held: Qt.KeyboardModifier = NONE, button: Qt.MouseButton = LEFT) -> None:
        self._send(QEvent.Type.MouseButtonPress, self.pos(x, y), held, button)

    def release(self, x: float, y: float, held: Qt.KeyboardModifier = NONE, button: Qt.MouseButton = LEFT) -> None:
        self._send(QEvent.Type.MouseButtonRelease, self.pos(x, y), held, button)

    def click(self, x: float, y: float, held: Qt.KeyboardModifier = NONE) -> None:
        self.move(x, y, held)
        self.press(x, y, held)
        self.release(x, y, held)

    def click_pixel(self, pos: QPointF) -> None:
        for kind in (QEvent.Type.MouseMove, QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease):
            self._send(kind, pos, NONE, LEFT if kind != QEvent.Type.MouseMove else Qt.MouseButton.NoButton)

    def double_click(self, x: float, y: float) -> None:
        self.click(x, y)
        self._send(QEvent.Type.MouseButtonDblClick, self.pos(x, y), NONE, LEFT)
        self.release(x, y)

    def drag(
        self, start: tuple[float, float], *way: tuple[float, float], held: Qt.KeyboardModifier = NONE, drop: bool = True
    ) -> None:
        """Press, go through all places in small steps, release."""
        self.move(*start, held)
        self.press(*start, held)
        here = start
        for there in way:
            for share in (0.25, 0.5, 0.75, 1.0):
                x, y = (a + (b - a) * share for a, b in zip(here, there, strict=True))
                self.move(x, y, held, LEFT)
            here = there
        if drop:
            self.release(*here, held)

    def key(self, key: Qt.Key, held: Qt.KeyboardModifier = NONE) -> None:
        QTest.keyClick(self.canvas, key, held)

    def type(self, text: str, enter: bool = True) -> None:
        """Type on the canvas; what follows the first sign goes to the field that opens."""
        target = self.canvas.entry.field if self.canvas.entry.isVisible() else self.canvas
        for sign in text:
            QTest.keyClicks(target, sign)
            target = self.canvas.entry.field if self.canvas.entry.isVisible() else self.canvas
        if enter:
            QTest.keyClick(target, Qt.Key.Key_Return)

    def _send(self, kind: QEvent.Type, pos: QPointF, held: Qt.KeyboardModifier, button: Qt.MouseButton) -> None:
        is_move, is_release = kind == QEvent.Type.MouseMove, kind == QEvent.Type.MouseButtonRelease
        state = Qt.MouseButton.NoButton if is_release else button
        cause = Qt.MouseButton.NoButton if is_move else button
        event = QMouseEvent(kind, pos, self.canvas.mapToGlobal(pos), cause, state, held)
        QApplication.sendEvent(self.canvas, event)


@pytest.fixture
def hand_on(qtbot) -> Callable[[Plan], Hand]:  # type: ignore[no-untyped-def]
    """Return what opens a plan on a canvas of 900 x 700 px."""

    def open_plan(plan: Plan) -> Hand:
        document = Document(plan)
        switches = Switches(plan)
        canvas = PlanCanvas(document, switches, theme(False))
        document.setParent(canvas)
        switches.setParent(canvas)
        qtbot.addWidget(canvas)
        canvas.resize(900, 700)
        canvas.show()
        qtbot.waitExposed(canvas)
        canvas.setFocus()
        canvas.zoom_to_fit()
        return Hand(canvas)

    return open_plan
