"""Panel, switch boxes and leads dragged on the plan with the real mouse."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QSettings, Qt
from PySide6.QtTest import QTest

from app.window import MainWindow
from app.wiring.dragging import marks_of
from core.light.engine import LightEngine
from core.plan.wiring import Wiring
from core.units import FOOT
from core.wiring.decisions import with_lead
from tests.core.wiring.shops import fixture, shop

LEFT, ALT = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.AltModifier
NONE = Qt.KeyboardModifier.NoModifier
PLAN = shop([fixture(1, 4, 8), fixture(2, 10, 8, "B")])


@pytest.fixture
def window(qtbot):
    QSettings().clear()
    made = MainWindow(PLAN, engine=LightEngine(step=1.0))
    qtbot.addWidget(made, before_close_func=lambda w: w.document.mark_saved(w.document.settled_plan))
    made.show()
    qtbot.waitExposed(made)
    made.wiring.show_cable(True)
    yield made
    made.checks.shutdown()
    made.solver.shutdown()


def at(window, x, y):
    return window.canvas.view.to_screen(x * FOOT, y * FOOT).toPoint()


def drag(window, start, end, held=NONE, drop=True):
    canvas = window.canvas
    QTest.mousePress(canvas, LEFT, held, at(window, *start))
    QTest.mouseMove(canvas, at(window, *start) + QPoint(3, 3))
    QTest.mouseMove(canvas, at(window, *end))
    if drop:
        QTest.mouseRelease(canvas, LEFT, held, at(window, *end))


def test_a_switch_box_slides_along_its_wall_in_whole_inches_as_one_step(window):
    drag(window, (9, 0), (12.52, 0.8))
    (box,) = window.document.plan.wiring.switch_boxes
    assert box.y == 0.0
    assert (box.x / FOOT) * 12 == pytest.approx(round(box.x / FOOT * 12), abs=1e-6)
    assert box.x / FOOT == pytest.approx(12.5, abs=0.1)
    assert window.document.undo_text == "Move switch box A B"
    window.document.undo()
    assert window.document.plan == PLAN


def test_it_goes_round_the_corner_to_another_wall_and_says_where(window):
    drag(window, (9, 0), (20.3, 6), drop=False)
    assert "from the corners of its wall" in window.status.hint.text()
    assert window.document.in_gesture
    QTest.mouseRelease(window.canvas, LEFT, NONE, at(window, 20.3, 6))
    (box,) = window.document.plan.wiring.switch_boxes
    assert box.x / FOOT == pytest.approx(20.0)
    assert box.y / FOOT == pytest.approx(6.0, abs=0.1)


def test_escape_brings_it_back(window):
    drag(window, (0, 8), (0, 12), drop=False)
    assert window.document.plan.wiring.panel.y / FOOT == pytest.approx(12.0, abs=0.1)
    QTest.keyClick(window.canvas, Qt.Key.Key_Escape)
    QTest.mouseRelease(window.canvas, LEFT, NONE, at(window, 0, 12))
    assert window.document.plan == PLAN
    assert window.document.undo_text is None


def test_what_is_assumed_and_leads_are_dragged_too(window):
    window.document.apply("Forget", replace(PLAN, wiring=Wiring()))
    name, _, (x, y) = marks_of(window.document.plan)[0]
    assert name == "panel"
    drag(window, (x / FOOT, y / FOOT), (0, 3))
    assert window.document.plan.wiring.panel.y / FOOT == pytest.approx(3.0, abs=0.1)
    assert window.document.plan.wiring.switch_boxes
    window.document.apply("Lead", with_lead(window.document.plan, "A", 10 * FOOT, 12 * FOOT, 2.0))
    drag(window, (10, 12), (14, 13))
    assert window.document.plan.wiring.leads[0].x / FOOT == pytest.approx(14.0, abs=0.1)


def test_a_click_moves_nothing_and_without_cable_shown_the_wall_is_pressed(window):
    QTest.mouseClick(window.canvas, LEFT, NONE, at(window, 9, 0))
    assert window.document.undo_text is None
    window.wiring.show_cable(False)
    drag(window, (9, 0), (12, 0.5))
    assert window.document.plan.wiring == PLAN.wiring
