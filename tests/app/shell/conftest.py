"""A main window on a small invented shop, and hands to work its dialogs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QInputDialog, QMessageBox

from app.own_catalogue import own_path
from app.window import MainWindow
from core.catalogue import blank_plan, catalogue
from core.light.engine import LightEngine
from core.plan import Combination, Furniture, Group, Level, Plan
from core.plan.edits import added, hung, with_combination, with_group
from core.units import FOOT, INCH


def small_shop() -> Plan:
    """Return an invented shop of 20 x 16 ft: one bench, three strips on A (two) and B (one, dimmed)."""
    plan = blank_plan("Small shop")
    plan = with_group(plan, Group("A", "Bench lights"))
    plan = with_group(plan, Group("B", "Middle", dimmable=True, minimum=0.1))
    bench = Furniture(
        "bench-1", "bench", "Joinery bench", 10 * FOOT, 14 * FOOT, 6 * FOOT, 2 * FOOT, 36 * INCH, 33 * INCH
    )
    plan = added(plan, bench)
    strip = catalogue()[1]
    for x, y, group in ((6 * FOOT, 12 * FOOT, "A"), (14 * FOOT, 12 * FOOT, "A"), (10 * FOOT, 6 * FOOT, "B")):
        plan, _ = hung(plan, strip, x, y, group=group)
    plan = with_combination(plan, Combination("Everything", (Level("A", 1.0), Level("B", 1.0))))
    return with_combination(plan, Combination("Sweep up", (Level("B", 0.5),)))


@pytest.fixture(autouse=True)
def _fresh_user() -> None:
    """Every test begins as a user who has no settings and no fixtures of their own."""
    QSettings().clear()
    own_path().unlink(missing_ok=True)


@pytest.fixture
def open_window(qtbot: Any) -> Iterator[Callable[..., MainWindow]]:
    """Return what opens a plan in a window of 1280 x 800 px."""
    opened: list[MainWindow] = []

    def open_plan(plan: Plan | None = None) -> MainWindow:
        window = MainWindow(plan or small_shop(), engine=LightEngine(step=0.6))
        opened.append(window)
        qtbot.addWidget(window, before_close_func=_forget_changes)
        window.resize(1280, 800)
        window.show()
        qtbot.waitExposed(window)
        window.activateWindow()
        window.canvas.setFocus()
        return window

    yield open_plan
    for window in opened:
        window.solver.shutdown()


def _forget_changes(window: MainWindow) -> None:
    window.document.mark_saved(window.document.settled_plan)


@pytest.fixture
def window(open_window: Callable[..., MainWindow]) -> MainWindow:
    """The small shop in a window."""
    return open_window()


@pytest.fixture
def lit(window: MainWindow, qtbot: Any) -> MainWindow:
    """The small shop in a window, its light computed."""
    qtbot.waitUntil(lambda: window.solver.lighting is not None and not window.solver.is_busy, timeout=20_000)
    return window


def type_into(line: Any, text: str, enter: bool = True) -> None:
    """Click into a field, type over what is there, press Enter."""
    QTest.mouseClick(line, Qt.MouseButton.LeftButton)
    line.setFocus()
    line.selectAll()
    QTest.keyClick(line, Qt.Key.Key_Delete)
    QTest.keyClicks(line, text)
    if enter:
        QTest.keyClick(line, Qt.Key.Key_Return)


def answer_next(act: Callable[[QDialog], None]) -> list[QDialog]:
    """Do something with the next modal dialog that opens; the list holds it afterwards."""
    met: list[QDialog] = []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, QDialog):
            met.append(dialog)
            act(dialog)
        elif len(met) == 0:
            QTimer.singleShot(20, look)

    QTimer.singleShot(20, look)
    return met


def enter_name(name: str) -> list[QDialog]:
    """Type a name into the next input dialog and accept it."""

    def act(dialog: QDialog) -> None:
        assert isinstance(dialog, QInputDialog)
        dialog.setTextValue(name)
        dialog.accept()

    return answer_next(act)


def press(button: QMessageBox.StandardButton) -> list[QDialog]:
    """Click a button of the next message box."""

    def act(dialog: QDialog) -> None:
        assert isinstance(dialog, QMessageBox)
        QTest.mouseClick(dialog.button(button), Qt.MouseButton.LeftButton)

    return answer_next(act)
