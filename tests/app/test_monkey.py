"""A monkey at the window: random real events, and after them no exception, no stuck gesture, and a sound plan.

The seed is printed and can be given: ``CANDLEBENCH_SEED=7 pytest tests/app/test_monkey.py -m long -s``. A window that
hangs ends the run with the stacks of all threads.
"""

from __future__ import annotations

import faulthandler
import logging
import os
import random
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from PySide6.QtCore import QBuffer, QByteArray, QEvent, QIODevice, QPoint, QPointF, Qt
from PySide6.QtGui import (
    QContextMenuEvent,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QImage,
    QMouseEvent,
    QWheelEvent,
)
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QDialog,
    QFileDialog,
    QInputDialog,
    QLineEdit,
    QMenu,
    QMessageBox,
    QWidget,
)

from app.canvas.joist_lines import new_zone
from app.canvas.tools import TOOLS
from app.window import MainWindow
from core.light.engine import LightEngine
from core.plan import Note, Opening, Plan, Underlay
from core.plan.edits import added, with_door_gear
from core.plan.file import plan_from_text, plan_to_text
from core.plan.sheet import data_uri
from core.units import FOOT
from tests.app.canvas import shops

Key, Button, Held = Qt.Key, Qt.MouseButton, Qt.KeyboardModifier
_PATIENCE_S = 120
_LONG_PATIENCE_S = 3600
_KEYS = [
    Key.Key_R, Key.Key_D, Key.Key_Delete, Key.Key_Backspace, Key.Key_Escape, Key.Key_Return, Key.Key_Tab, Key.Key_Space,
    Key.Key_Left, Key.Key_Right, Key.Key_Up, Key.Key_Down, Key.Key_Home, Key.Key_A, Key.Key_B, Key.Key_C, Key.Key_F,
    Key.Key_1, Key.Key_2, Key.Key_Z, Key.Key_Y, Key.Key_Plus, Key.Key_Minus,
]  # fmt: skip
_CHORDS = [
    (Key.Key_Z, Held.ControlModifier), (Key.Key_Z, Held.ControlModifier | Held.ShiftModifier),
    (Key.Key_D, Held.ControlModifier), (Key.Key_A, Held.ControlModifier), (Key.Key_U, Held.ControlModifier),
    (Key.Key_A, Held.ControlModifier | Held.ShiftModifier), (Key.Key_M, Held.ControlModifier),
    (Key.Key_R, Held.ShiftModifier), (Key.Key_B, Held.ShiftModifier), (Key.Key_Left, Held.ControlModifier),
]  # fmt: skip
_WORDS = ["6'", "3' by 2'", "12' 6 - 3 1/2\"", "2 x 3", "nonsense", "-4", "90", "to 0 by 0", "1e9", "%", "", "5 m"]
_HELD = [Held.NoModifier] * 5 + [Held.ShiftModifier, Held.ControlModifier, Held.AltModifier]


class Monkey:
    """Does one random thing after another to a window."""

    def __init__(self, window: MainWindow, seed: int) -> None:
        self.window, self.canvas = window, window.canvas
        self.dice = random.Random(seed)
        self.down: Qt.MouseButton | None = None
        self.deeds: list[tuple[Callable[[], None], int]] = [
            (self.move, 30), (self.press, 14), (self.release, 16), (self.double_click, 3), (self.wheel, 6),
            (self.press_key, 14), (self.chord, 8), (self.write, 6), (self.take_tool, 8), (self.menu, 3),
            (self.push_a_button, 4), (self.fill_a_field, 4), (self.pick_from_a_list, 2), (self.leave, 1),
            (self.drag_from_the_shelf, 2),
        ]  # fmt: skip

    def act(self) -> str:
        """Do one thing; return its name."""
        popup = QApplication.activePopupWidget()
        if isinstance(popup, QMenu):
            self._answer(popup)
            return "answer a menu"
        if popup is not None:
            popup.close()
        deed = self.dice.choices([deed for deed, _ in self.deeds], [weight for _, weight in self.deeds])[0]
        deed()
        return deed.__name__

    def settle(self) -> None:
        """Let go of everything."""
        while (popup := QApplication.activePopupWidget()) is not None:
            popup.close()
        if self.down is not None:
            self.release()
        self.canvas.set_tool("select")
        QApplication.processEvents()

    def place(self) -> QPointF:
        """Return a pixel of the drawing: near a thing of the plan as often as anywhere."""
        plan = self.window.document.plan
        things = [*plan.fixtures, *plan.furniture, *plan.room.keep_outs, *plan.notes]
        if things and self.dice.random() < 0.4:
            thing = self.dice.choice(things)
            pos = self.canvas.view.to_screen(thing.x, thing.y)
            return pos + QPointF(self.dice.gauss(0, 12), self.dice.gauss(0, 12))
        if self.dice.random() < 0.3:
            return self.canvas.view.to_screen(*self.dice.choice(plan.room.outline))
        return QPointF(self.dice.uniform(0, self.canvas.width()), self.dice.uniform(0, self.canvas.height()))

    def move(self) -> None:
        self._mouse(QEvent.Type.MouseMove, Button.NoButton, self.down or Button.NoButton)

    def press(self) -> None:
        if self.down is None:
            self.down = self.dice.choice([Button.LeftButton] * 6 + [Button.MiddleButton, Button.RightButton])
            self._mouse(QEvent.Type.MouseButtonPress, self.down, self.down)

    def release(self) -> None:
        if self.down is not None:
            button, self.down = self.down, None
            self._mouse(QEvent.Type.MouseButtonRelease, button, Button.NoButton)

    def double_click(self) -> None:
        pos = self.place()
        for kind in (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease, QEvent.Type.MouseButtonDblClick):
            self._mouse(kind, Button.LeftButton, Button.LeftButton, pos)
        self._mouse(QEvent.Type.MouseButtonRelease, Button.LeftButton, Button.NoButton, pos)

    def wheel(self) -> None:
        pos, angle = self.place(), QPoint(0, self.dice.choice([120, -120, 240, -240, 15]))
        at = self.canvas.mapToGlobal(pos)
        held = self.dice.choice(_HELD)
        phase = Qt.ScrollPhase.NoScrollPhase
        QApplication.sendEvent(self.canvas, QWheelEvent(pos, at, QPoint(), angle, Button.NoButton, held, phase, False))

    def press_key(self) -> None:
        QTest.keyClick(self._focused(), self.dice.choice(_KEYS), self.dice.choice(_HELD[:6]))

    def chord(self) -> None:
        QTest.keyClick(self._focused(), *self.dice.choice(_CHORDS))

    def write(self) -> None:
        for sign in self.dice.choice(_WORDS):
            QTest.keyClicks(self._focused(), sign)
        if self.dice.random() < 0.8:
            QTest.keyClick(self._focused(), Key.Key_Return)

    def take_tool(self) -> None:
        self.window.menus.tools[self.dice.choice(sorted(TOOLS))].trigger()

    def menu(self) -> None:
        pos = self.place().toPoint()
        QApplication.sendEvent(
            self.canvas, QContextMenuEvent(QContextMenuEvent.Reason.Mouse, pos, self.canvas.mapToGlobal(pos))
        )

    def push_a_button(self) -> None:
        self._on_a(QAbstractButton, lambda button: QTest.mouseClick(button, Button.LeftButton))

    def fill_a_field(self) -> None:
        def fill(field: QLineEdit) -> None:
            field.setFocus()
            field.selectAll()
            QTest.keyClicks(field, self.dice.choice(_WORDS))
            QTest.keyClick(field, self.dice.choice([Key.Key_Return, Key.Key_Tab, Key.Key_Escape]))

        self._on_a(QLineEdit, fill)

    def pick_from_a_list(self) -> None:
        def pick(box: QComboBox) -> None:
            if box.count():
                index = self.dice.randrange(box.count())
                box.setCurrentIndex(index)
                box.activated.emit(index)

        self._on_a(QComboBox, pick)

    def drag_from_the_shelf(self) -> None:
        """Carry a thing over the drawing; leave it there, or take it away again."""
        self.release()
        data = self.dice.choice(self.window.shelf.items).mime()
        held = self.dice.choice(_HELD)
        action = Qt.DropAction.CopyAction
        enter = QDragEnterEvent(self.place().toPoint(), action, data, Button.LeftButton, held)
        QApplication.sendEvent(self.canvas, enter)
        for _ in range(self.dice.randrange(1, 6)):
            move = QDragMoveEvent(self.place().toPoint(), action, data, Button.LeftButton, held)
            QApplication.sendEvent(self.canvas, move)
        if self.dice.random() < 0.5:
            QApplication.sendEvent(self.canvas, QDragLeaveEvent())
        else:
            QApplication.sendEvent(self.canvas, QDropEvent(self.place(), action, data, Button.LeftButton, held))

    def leave(self) -> None:
        QApplication.sendEvent(self.canvas, QEvent(QEvent.Type.Leave))

    def _on_a(self, kind: type, do: Callable[..., None]) -> None:
        """Do something with a visible widget of the panels beside and below the drawing, or of the drawing."""
        panels: tuple[QWidget, ...] = (self.window.inspector, self.window.plate, self.canvas)
        found = [w for panel in panels for w in panel.findChildren(kind) if w.isVisible() and w.isEnabled()]
        if found:
            do(self.dice.choice(found))

    def _answer(self, menu: QMenu) -> None:
        usable = [action for action in menu.actions() if action.isEnabled() and not action.isSeparator()]
        if not usable or self.dice.random() < 0.2:
            QTest.keyClick(menu, Key.Key_Escape)
            return
        action = self.dice.choice(usable)
        inner = action.menu()
        if inner is not None:
            usable = [a for a in inner.actions() if a.isEnabled() and not a.isSeparator() and a.menu() is None]
            action = self.dice.choice(usable) if usable else action
        menu.close()
        action.trigger()

    def _focused(self) -> QWidget:
        return QApplication.focusWidget() or self.canvas

    def _mouse(
        self, kind: QEvent.Type, cause: Qt.MouseButton, state: Qt.MouseButton, pos: QPointF | None = None
    ) -> None:
        at = pos or self.place()
        event = QMouseEvent(kind, at, self.canvas.mapToGlobal(at), cause, state, self.dice.choice(_HELD))
        QApplication.sendEvent(self.canvas, event)


@pytest.fixture
def no_questions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever is asked something by a dialog gives it up."""
    for name in ("getOpenFileName", "getSaveFileName"):
        monkeypatch.setattr(QFileDialog, name, lambda *_, **__: ("", ""))
    monkeypatch.setattr(QInputDialog, "getText", lambda *_, **__: ("", False))
    monkeypatch.setattr(QMessageBox, "exec", lambda *_: QMessageBox.StandardButton.Cancel)
    monkeypatch.setattr(QDialog, "exec", lambda *_: QDialog.DialogCode.Rejected)


@pytest.fixture
def open_shop(qtbot, no_questions) -> Iterator[Callable[[Plan], MainWindow]]:  # type: ignore[no-untyped-def]
    opened: list[MainWindow] = []

    def open_plan(plan: Plan) -> MainWindow:
        window = MainWindow(plan, engine=LightEngine(step=0.9))
        opened.append(window)
        qtbot.addWidget(window, before_close_func=lambda w: w.document.mark_saved(w.document.settled_plan))
        window.show()
        qtbot.waitExposed(window)
        window.canvas.setFocus()
        return window

    yield open_plan
    for window in opened:
        window.solver.shutdown()


def let_loose(window: MainWindow, seed: int, count: int) -> str:
    """Let a monkey do ``count`` things, and check now and then, and at the end, that all is well; return figures."""
    print(f"monkey with seed {seed}")
    document, before = window.document, window.document.plan
    monkey = Monkey(window, seed)
    did: list[str] = []
    longest = (0.0, "")
    for number in range(count):
        began = time.monotonic()
        did.append(monkey.act())
        longest = max(longest, (time.monotonic() - began, did[-1]))
        if number % 20 == 0:
            QApplication.processEvents()
        if number % 100 == 99:
            plan = document.settled_plan
            assert plan_from_text(plan_to_text(plan)) == plan, f"seed {seed}, after {number + 1}: {did[-5:]}"
            window.grab()
    monkey.settle()
    assert not document.in_gesture
    while document.redo_text:
        document.redo()
    last, steps = document.plan, 0
    while document.undo_text:
        document.undo()
        steps += 1
    # Feet or metres are no step of undo, and keys lead to their button too.
    assert replace(document.plan, units=before.units) == before
    while document.redo_text:
        document.redo()
    assert document.plan == last
    return f"seed {seed}: {count} events, {steps} steps of undo; the longest event: {longest[0]:.2f} s, {longest[1]}"


def run(window: MainWindow, caplog: pytest.LogCaptureFixture, seed: int, count: int, patience: float) -> str:
    faulthandler.dump_traceback_later(patience, exit=True, file=sys.__stderr__)
    try:
        figures = let_loose(window, seed, count)
    finally:
        faulthandler.cancel_dump_traceback_later()
    assert [r.getMessage() for r in caplog.records if r.levelno >= logging.ERROR] == []
    return figures


def full_shop() -> Plan:
    """Return the furnished shop with an overhead door, joists in two parts, a note and a picture underneath."""
    plan = shops.furnished()
    plan = added(plan, Opening("overhead-door-1", "overhead door", 0, 3 * FOOT, 9 * FOOT, 7 * FOOT))
    plan = with_door_gear(plan, "overhead-door-1")
    for zone in (new_zone(plan, "joists-1"), new_zone(plan, "joists-2", plan.room.outline[:4])):
        plan = added(plan, zone)
    picture = QImage(60, 40, QImage.Format.Format_RGB32)
    picture.fill(Qt.GlobalColor.yellow)
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    picture.save(buffer, "PNG")
    plan = added(plan, Note("note-1", 2.0, 2.0, "A note"))
    return added(plan, Underlay("picture-1", data_uri(bytes(data.data())), 3.0, 2.0, 6.0))


def test_400_random_events(open_shop, caplog):
    run(open_shop(full_shop()), caplog, 20, 400, _PATIENCE_S)


@pytest.mark.long
def test_10000_random_events(open_shop, caplog, capsys):
    seed = int(os.environ.get("CANDLEBENCH_SEED") or random.SystemRandom().randrange(10**6))
    figures = run(open_shop(full_shop()), caplog, seed, 10_000, _LONG_PATIENCE_S)
    with capsys.disabled():
        print(f"\n{figures}")
