"""The widget: zoom, pan, painting, what it hands to the light, and what it tells the window."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.canvas.measuring import dimensions_of, laid_out, line_between
from app.canvas.view import View
from app.theme import theme
from core.plan.edits import position_from_walls
from core.units import FOOT, UnitSystem
from tests.app.canvas import shops

NONE, CTRL = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
MIDDLE = Qt.MouseButton.MiddleButton


def turn_wheel(hand, pos: QPointF, angle: int = 0, pixels: QPoint | None = None, held=NONE) -> None:  # type: ignore[no-untyped-def]
    phase = Qt.ScrollPhase.ScrollUpdate if pixels else Qt.ScrollPhase.NoScrollPhase
    event = QWheelEvent(
        pos,
        hand.canvas.mapToGlobal(pos),
        pixels or QPoint(),
        QPoint(0, angle),
        Qt.MouseButton.NoButton,
        held,
        phase,
        False,
    )
    QApplication.sendEvent(hand.canvas, event)


def test_the_wheel_zooms_to_the_pointer(hand_on):
    hand = hand_on(shops.furnished())
    pos, before = QPointF(300.0, 250.0), hand.canvas.view
    turn_wheel(hand, pos, 120)
    assert hand.canvas.view.scale == pytest.approx(before.scale * 1.2)
    assert hand.canvas.view.to_plan(pos) == pytest.approx(before.to_plan(pos))
    turn_wheel(hand, pos, -120)
    assert hand.canvas.view.scale == pytest.approx(before.scale)


def test_two_fingers_pan_and_with_ctrl_zoom(hand_on):
    hand = hand_on(shops.furnished())
    before = hand.canvas.view
    turn_wheel(hand, QPointF(300.0, 250.0), pixels=QPoint(12, -30))
    assert hand.canvas.view == before.panned(12, -30)
    turn_wheel(hand, QPointF(300.0, 250.0), pixels=QPoint(0, 40), held=CTRL)
    assert hand.canvas.view.scale > before.scale


def test_the_middle_button_and_space_pan(hand_on):
    hand = hand_on(shops.furnished())
    for held_space in (False, True):
        before = hand.canvas.view
        start, end = QPoint(300, 300), QPoint(340, 270)
        button = Qt.MouseButton.LeftButton if held_space else MIDDLE
        if held_space:
            QTest.keyPress(hand.canvas, Qt.Key.Key_Space)
        QTest.mousePress(hand.canvas, button, NONE, start)
        QTest.mouseMove(hand.canvas, end)
        QTest.mouseRelease(hand.canvas, button, NONE, end)
        if held_space:
            QTest.keyRelease(hand.canvas, Qt.Key.Key_Space)
        assert hand.canvas.view == before.panned(40, -30)
    assert hand.plan == shops.furnished()
    assert hand.document.selection == set()


def test_f_fits_and_shift_f_zooms_to_the_selection(hand_on):
    hand = hand_on(shops.furnished())
    fitted = hand.canvas.view
    turn_wheel(hand, QPointF(300.0, 250.0), 480)
    hand.key(Qt.Key.Key_F)
    assert hand.canvas.view == fitted
    hand.document.select({"machine-1"})
    hand.key(Qt.Key.Key_F, Qt.KeyboardModifier.ShiftModifier)
    x, y = hand.canvas.view.to_plan(hand.canvas.frame.center())
    assert (x / FOOT, y / FOOT) == pytest.approx((10, 5.5), abs=0.05)
    assert hand.canvas.view.scale > 2 * fitted.scale


def test_where_there_is_a_switch_f_the_key_is_the_switch_s(hand_on):
    hand = hand_on(shops.furnished())
    hand.document.select({"f-1"})
    from app.canvas.commands import assign_group

    assign_group(hand.document, "F")
    turn_wheel(hand, QPointF(300.0, 250.0), 480)
    view = hand.canvas.view
    hand.key(Qt.Key.Key_F)
    assert hand.canvas.view == view
    hand.key(Qt.Key.Key_Home)
    assert hand.canvas.view != view


class Light:
    """Stands in for the overlay and notes what it is asked."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.views: list[View] = []

    def paint_field(self, painter, view: View) -> None:  # type: ignore[no-untyped-def]
        self.asked.append("field")
        self.views.append(view)
        painter.fillRect(QRectF(0.0, 0.0, 2000.0, 2000.0), QColor("#3366cc"))

    def paint_lines(self, painter, view: View) -> None:  # type: ignore[no-untyped-def]
        self.asked.append("lines")

    def paint_reading(self, painter, view: View, pos: QPointF, taken: object) -> None:  # type: ignore[no-untyped-def]
        self.asked.append("reading")


def test_the_light_lies_under_the_furniture_and_within_the_rulers(hand_on):
    hand = hand_on(shops.furnished())
    light = Light()
    hand.canvas.set_overlay(light)
    hand.move(8, 9)
    image = hand.canvas.grab().toImage()
    assert light.asked[-3:] == ["field", "lines", "reading"]
    assert light.views[-1] == hand.canvas.view
    colour = QColor("#3366cc")
    assert image.pixelColor(hand.pos(8, 4).toPoint()) == colour
    assert image.pixelColor(hand.pos(10, 4.9).toPoint()) != colour  # the bandsaw
    assert image.pixelColor(5, 5) != colour  # where the rulers meet


def test_no_reading_while_a_gesture_has_words_of_its_own(hand_on):
    hand = hand_on(shops.furnished())
    light = Light()
    hand.canvas.set_overlay(light)
    hand.drag((4, 7), (6, 8), drop=False)
    light.asked.clear()
    hand.canvas.grab()
    assert light.asked == ["field", "lines"]


def test_a_drag_paints_only_what_moves(hand_on):
    hand = hand_on(shops.furnished())
    hand.press(10, 5.5)  # the bandsaw
    hand.move(10.5, 5.5, button=Qt.MouseButton.LeftButton)
    hand.canvas.grab()
    painted = hand.canvas.layers.painted
    for step in range(10):
        hand.move(10.5 + step / 10, 5.5, button=Qt.MouseButton.LeftButton)
        hand.canvas.grab()
    assert hand.canvas.layers.painted == painted
    hand.release(11.5, 5.5)
    hand.canvas.grab()
    assert hand.canvas.layers.painted == painted + 1


def test_the_first_frame_of_a_fixture_s_drag_draws_no_furniture(hand_on):
    hand = hand_on(replace(shops.furnished(), fixtures=(shops.strip("a", 10, 10), shops.strip("b", 4, 10))))
    hand.press(10, 10)
    hand.canvas.grab()
    painted = hand.canvas.layers.painted
    hand.move(10.8, 9.6, button=Qt.MouseButton.LeftButton)
    hand.canvas.grab()
    assert hand.canvas.document.in_gesture
    assert hand.canvas.layers.painted == painted + 1  # the fixtures that stay
    hand.release(10.8, 9.6)
    hand.canvas.grab()
    assert hand.canvas.layers.painted == painted + 3  # names give way anew, and all fixtures hang


def test_a_switch_that_goes_off_is_seen(hand_on):
    hand = hand_on(shops.rectangle(fixtures=(shops.strip("a", 10, 7),)))
    spot = hand.pos(9, 7).toPoint()
    lit = hand.canvas.grab().toImage().pixelColor(spot)
    hand.canvas.switches.toggle("A")
    off = hand.canvas.grab().toImage().pixelColor(spot)
    assert lit.lightness() > 240
    assert off.lightness() < lit.lightness() - 20


def test_dark_colours_and_metric_rulers_are_taken_over(hand_on):
    hand = hand_on(shops.furnished())
    bright = hand.canvas.grab().toImage()
    hand.canvas.set_theme(theme(True))
    hand.canvas.set_units(UnitSystem.METRIC)
    dark = hand.canvas.grab().toImage()
    corner = hand.pos(19, 13).toPoint()
    assert dark.pixelColor(corner).lightness() < bright.pixelColor(corner).lightness()
    hand.click(4, 7)
    assert {"1.219 m", "2.134 m"} <= {line.text for line in hand.canvas.tool.dimension_lines()}


def test_hints_tools_and_the_pointer_are_told(hand_on, qtbot):
    hand = hand_on(shops.furnished())
    canvas = hand.canvas
    with qtbot.waitSignal(canvas.pointer_moved) as moved:
        hand.move(5, 6)
    assert (moved.args[0][0] / FOOT, moved.args[0][1] / FOOT) == pytest.approx((5, 6))
    with qtbot.waitSignals([canvas.tool_changed, canvas.hint_changed]):
        canvas.set_tool("room outline")
    with pytest.raises(KeyError):
        canvas.set_tool("lasso")
    assert canvas.accessibleName()
    assert "8 fixtures" in canvas.accessibleDescription()


def test_a_click_on_every_tool_over_an_empty_sheet_does_no_harm(hand_on):
    from app.canvas.tools import TOOLS

    for name in TOOLS:
        hand = hand_on(shops.empty())
        hand.canvas.set_tool(name)
        hand.click(4, 4)
        hand.canvas.grab()
        hand.key(Qt.Key.Key_Escape)
        hand.key(Qt.Key.Key_Escape)


@pytest.mark.parametrize(
    "identity", ["f-1", "f-4", "f-6", "f-7", "machine-1", "machine-2", "bench-2", "cabinet-1", "hatch-1"]
)
@pytest.mark.parametrize("scale", [40.0, 110.0, 300.0])
def test_dimension_texts_stay_on_the_sheet_and_tell_the_distance(hand_on, identity, scale):
    hand = hand_on(shops.furnished())
    canvas, plan = hand.canvas, hand.plan
    told = position_from_walls(plan, identity)
    found = dimensions_of(plan, identity)
    assert len(found) == 2
    for dimension in found:
        assert dimension.length == pytest.approx(told[dimension.side])
        opposite = {"left": "right", "right": "left", "front": "back", "back": "front"}[dimension.side]
        assert dimension.length <= told[opposite] + 1e-6
        x, y = dimension.centre
        middle = canvas.frame.center()
        view = View(scale, middle.x() - x * scale, middle.y() + y * scale)
        shown = laid_out(dimension, plan.room, view, canvas.look, canvas.frame)
        assert canvas.frame.contains(shown.label)
        assert shown.line.length() == pytest.approx(dimension.length * scale, abs=0.01)


def test_a_short_dimension_at_the_edge_keeps_its_text_on_the_sheet(hand_on):
    canvas = hand_on(shops.furnished()).canvas
    frame = canvas.frame
    for corner in (frame.topLeft(), frame.topRight(), frame.bottomLeft(), frame.bottomRight()):
        x, y = canvas.view.to_plan(corner)
        for dx, dy in ((0.05, 0.0), (0.0, 0.05)):
            shown = line_between((x - dx, y - dy), (x + dx, y + dy), canvas.view, canvas.look, frame)
            assert frame.contains(shown.label)
