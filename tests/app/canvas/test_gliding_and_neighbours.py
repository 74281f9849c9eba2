"""Zooming and panning show a quick picture first and a fine one at rest; distances to neighbours; typed angles."""

from __future__ import annotations

import math

import pytest
from PySide6.QtCore import QPointF, QRectF, Qt

from app.canvas.measuring import all_lines_of, line_to_neighbour, neighbours_of
from app.canvas.paint.fixtures import BADGE
from app.canvas.paint.look import Look
from app.canvas.paint.selection import turn_handle
from app.canvas.view import View
from app.theme import theme
from core.units import FOOT, UnitSystem
from tests.app.canvas import shops
from tests.app.canvas.test_canvas import turn_wheel


def grey_at(hand, pos: QPointF) -> int:  # type: ignore[no-untyped-def]
    image = hand.canvas.grab().toImage()
    return image.pixelColor(pos.toPoint()).lightness()


def test_while_the_wheel_turns_kept_layers_are_scaled_and_at_rest_drawn_anew(hand_on, qtbot):
    hand = hand_on(shops.furnished())
    canvas = hand.canvas
    canvas.grab()
    painted = canvas.layers.painted
    wall = hand.pos(10, 14) + QPointF(0.0, -3.0)
    for _ in range(3):
        turn_wheel(hand, wall, 120)  # what is under the pointer stays there
        assert canvas.is_gliding
        canvas.grab()
    assert canvas.layers.painted == painted + 3  # the rulers alone, once a step
    # The scaled picture has the wall where the new view has it.
    quick = grey_at(hand, wall)
    qtbot.waitUntil(lambda: not canvas.is_gliding)
    assert abs(grey_at(hand, wall) - quick) < 40
    assert quick < 100
    assert canvas.layers.painted == painted + 6  # under, over and hung, once


def test_what_changes_while_gliding_is_drawn_at_once(hand_on):
    hand = hand_on(shops.furnished())
    canvas = hand.canvas
    canvas.grab()
    turn_wheel(hand, QPointF(300.0, 300.0), 120)
    canvas.switches.toggle("A")
    painted = canvas.layers.painted
    canvas.grab()
    assert canvas.layers.painted == painted + 2  # rulers and fixtures


def test_fitting_is_drawn_finely_at_once(hand_on):
    hand = hand_on(shops.furnished())
    hand.canvas.zoom_to_fit()
    assert not hand.canvas.is_gliding


def test_neighbours_are_the_next_fixtures_in_the_row_and_column():
    plan = shops.rectangle(
        fixtures=(shops.strip("a", 3, 7), shops.strip("b", 10, 7.2), shops.strip("c", 17, 7), shops.strip("d", 10, 2))
    )
    lengths = sorted(round(abs(b[0] - a[0] + b[1] - a[1]) / FOOT, 6) for a, b in neighbours_of(plan, "b"))
    assert lengths == [5.2, 7, 7]
    assert [round(b[0] / FOOT, 6) for a, b in neighbours_of(plan, "a")] == [10]  # not the one behind it
    assert neighbours_of(plan, "missing") == ()


def test_a_line_to_a_neighbour_leaves_the_letters_free():
    plan = shops.rectangle(fixtures=(shops.strip("a", 3, 7), shops.strip("b", 10, 7.2), shops.strip("c", 17, 7.2)))
    view, frame = View(60.0, 40.0, 600.0), QRectF(0.0, 0.0, 900.0, 700.0)
    ((start, end),) = (pair for pair in neighbours_of(plan, "b") if pair[1][0] > pair[0][0])
    line = line_to_neighbour(plan, start, end, view, Look(theme(dark=False), UnitSystem.US), frame)
    for centre in (start, end):
        middle = view.to_screen(*centre)
        reach = [math.hypot((at - middle).x(), (at - middle).y()) for at in (line.line.p1(), line.line.p2())]
        assert BADGE < min(reach) < 2 * BADGE
    assert line.ticks == ()
    assert line.text == "7'"
    # The fixture to the left hangs 2.4 in lower: the line ends beside its letter, at a tick.
    ((start, end),) = (pair for pair in neighbours_of(plan, "b") if pair[1][0] < pair[0][0])
    far = line_to_neighbour(plan, start, end, View(300.0, 40.0, 600.0), Look(theme(dark=False), UnitSystem.US), frame)
    assert len(far.ticks) == 1


@pytest.mark.parametrize(("dx", "dy"), [(1.2, 0.0), (1.6, 0.0), (2.4, 0.0), (0.0, 0.5), (0.0, 0.9), (0.0, 1.6)])
@pytest.mark.parametrize("scale", [60.0, 110.0])
def test_text_of_a_near_neighbour_leaves_both_letters_free(dx, dy, scale):
    plan = shops.rectangle(fixtures=(shops.strip("a", 8, 7), shops.strip("b", 8 + dx, 7 + dy)))
    view, frame = View(scale, 40.0, 600.0), QRectF(0.0, 0.0, 900.0, 700.0)
    ends = ((8 * FOOT, 7 * FOOT), ((8 + dx) * FOOT, (7 + dy) * FOOT))
    line = line_to_neighbour(plan, *ends, view, Look(theme(dark=False), UnitSystem.US), frame)
    for centre in ends:
        middle = view.to_screen(*centre)
        letter = QRectF(middle.x() - BADGE, middle.y() - BADGE, 2 * BADGE, 2 * BADGE)
        assert not line.label.intersects(letter)


@pytest.mark.parametrize("scale", [25.0, 40.0, 70.0, 110.0])
@pytest.mark.parametrize("x", [1.2, 2.4, 8.0])
@pytest.mark.parametrize("y", [1.0, 1.8, 7.0])
def test_no_text_of_a_thing_s_dimensions_covers_another(scale, x, y):
    """In a corner and beside others, at any scale; the texts stay on the sheet."""
    near = (shops.strip("b", x + 3.4, y + 0.4), shops.strip("c", x + 0.5, y + 1.1))
    plan = shops.rectangle(fixtures=(shops.strip("a", x, y), *near))
    frame = QRectF(0.0, 0.0, 900.0, 700.0)
    lines = all_lines_of(plan, "a", View(scale, 40.0, 600.0), Look(theme(dark=False), UnitSystem.US), frame)
    assert len(lines) >= 3
    for number, line in enumerate(lines):
        assert frame.contains(line.label)
        assert not any(line.label.intersects(other.label) for other in lines[:number])


def test_an_angle_can_be_typed_while_turning(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    before = hand.plan
    box = (2 * FOOT, (7 - 3.2 / 24) * FOOT, 6 * FOOT, (7 + 3.2 / 24) * FOOT)
    x, y = hand.canvas.view.to_plan(turn_handle(box, hand.canvas.view, hand.canvas.frame))
    hand.drag((x / FOOT, y / FOOT), (x / FOOT + 2, y / FOOT), drop=False)
    assert hand.plan != before
    hand.type("22.5")
    assert hand.plan.fixture("f-3").rotation_deg == pytest.approx(22.5)
    assert hand.document.undo_text == "Turn 4 ft strip"
    hand.release(x / FOOT + 2, y / FOOT)
    hand.document.undo()
    assert hand.plan == before
    hand.key(Qt.Key.Key_Escape)
