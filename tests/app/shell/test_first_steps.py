"""The three steps of the first start, worked with real mouse and key events."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QPointF, QSettings, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.panels.first_steps import are_wanted
from app.window import MainWindow

LEFT = Qt.MouseButton.LeftButton


def pixel(window: MainWindow, x: float, y: float) -> QPoint:
    return window.canvas.view.to_screen(x, y).toPoint()


def drag_a_fixture(window: MainWindow) -> None:
    fixture = window.document.plan.fixtures[0]
    start = pixel(window, fixture.x, fixture.y)
    QTest.mousePress(window.canvas, LEFT, pos=start)
    for step in range(1, 9):
        QTest.mouseMove(window.canvas, start + QPoint(4 * step, 3 * step))
    QTest.mouseRelease(window.canvas, LEFT, pos=start + QPoint(32, 24))
    assert (window.document.plan.fixtures[0].x, window.document.plan.fixtures[0].y) != (fixture.x, fixture.y)


def ticked(window: MainWindow) -> list[str]:
    return [name for name, label in window.first_steps.labels.items() if label.text().startswith("✓")]


def point_at_a_bench(window: MainWindow) -> None:
    """Send the move itself: the test platform tells of none where it thinks that the cursor is there already."""
    bench = window.document.plan.furniture[0]
    spot = QPointF(pixel(window, bench.x, bench.y))
    none = Qt.MouseButton.NoButton
    there = window.canvas.mapToGlobal(spot)
    move = QMouseEvent(QEvent.Type.MouseMove, spot, there, none, none, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(window.canvas, move)


def test_doing_the_steps_ends_them_for_good(window: MainWindow) -> None:
    assert are_wanted()
    window.show_first_steps()
    assert window.first_steps.isVisible()
    point_at_a_bench(window)
    assert ticked(window) == []  # the pointer is on its way to the fixture
    drag_a_fixture(window)
    assert ticked(window) == ["drag"]
    QTest.keyClick(window.canvas, Qt.Key.Key_A)
    assert ticked(window) == ["drag", "flip"]
    assert are_wanted()
    point_at_a_bench(window)
    assert not window.first_steps.isVisible()
    assert "begins a shop of your own" in window.status.message.text()
    QSettings().sync()
    assert not are_wanted()


def test_the_first_two_may_come_in_any_order(window: MainWindow) -> None:
    window.show_first_steps()
    QTest.keyClick(window.canvas, Qt.Key.Key_B)
    assert ticked(window) == ["flip"]
    drag_a_fixture(window)
    point_at_a_bench(window)
    assert not window.first_steps.isVisible()


def test_one_click_puts_them_away_for_good(window: MainWindow) -> None:
    window.show_first_steps()
    QTest.mouseClick(window.first_steps.away, LEFT)
    assert not window.first_steps.isVisible()
    assert not are_wanted()


def test_what_is_not_a_step_ticks_nothing(window: MainWindow) -> None:
    window.show_first_steps()
    window.bringing_in.place({"what": "bench"})
    window.document.undo()
    assert ticked(window) == []


def test_another_plan_hides_them_for_now(window: MainWindow) -> None:
    window.show_first_steps()
    window.files.new("Garage")
    assert not window.first_steps.isVisible()
    assert are_wanted()
