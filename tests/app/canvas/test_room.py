"""Drawing the room and shaping it afterwards."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPointF, Qt

from app.canvas.paint.look import wall_width
from core.units import FOOT, INCH
from tests.app.canvas import shops

Key = Qt.Key


def feet(outline):  # type: ignore[no-untyped-def]
    return [(round(x / FOOT, 4), round(y / FOOT, 4)) for x, y in outline]


def drawing(hand_on):  # type: ignore[no-untyped-def]
    hand = hand_on(shops.empty())
    hand.canvas.set_tool("room outline")
    return hand


def test_corner_after_corner_and_back_to_the_first(hand_on):
    hand = drawing(hand_on)
    for x, y in ((2, 2), (14.03, 2.05), (14.1, 8), (8, 8.1), (8, 14), (2.04, 14.02)):
        hand.click(x, y)
    assert hand.plan.room.outline == ()
    hand.click(2.05, 1.97)
    assert feet(hand.plan.room.outline) == [(2, 2), (14, 2), (14, 8), (8, 8), (8, 14), (2, 14)]
    assert hand.canvas.tool.name == "select"
    assert hand.document.undo_text == "Draw the room"
    hand.document.undo()
    assert hand.plan == shops.empty()


def test_enter_or_a_double_click_closes_too(hand_on):
    hand = drawing(hand_on)
    for corner in ((2, 2), (12, 2), (12, 9)):
        hand.click(*corner)
    hand.key(Key.Key_Return)
    assert len(hand.plan.room.outline) == 3
    hand = drawing(hand_on)
    for corner in ((2, 2), (12, 2), (12, 9)):
        hand.click(*corner)
    hand.double_click(2, 9)
    assert feet(hand.plan.room.outline) == [(2, 2), (12, 2), (12, 9), (2, 9)]


def test_drawn_clockwise_it_is_stored_counter_clockwise(hand_on):
    hand = drawing(hand_on)
    for corner in ((2, 2), (2, 9), (12, 9), (12, 2)):
        hand.click(*corner)
    hand.key(Key.Key_Return)
    (ax, ay), (bx, by), (cx, cy), _ = hand.plan.room.outline
    assert (bx - ax) * (cy - by) - (by - ay) * (cx - bx) > 0


def test_a_crossing_corner_is_refused_when_it_would_happen(hand_on):
    hand = drawing(hand_on)
    for corner in ((2, 2), (14, 2), (14, 8), (8, 8)):
        hand.click(*corner)
    hand.move(8, 0.5)
    assert "cross" in hand.canvas.tool.problem
    hand.click(8, 0.5)
    assert len(hand.canvas.tool.corners) == 4
    assert any("cross" in text for text in hand.messages)
    assert hand.plan == shops.empty()
    hand.move(8, 12)
    assert hand.canvas.tool.problem is None
    hand.click(8, 12)
    assert len(hand.canvas.tool.corners) == 5


def test_closing_across_a_wall_is_refused(hand_on):
    hand = drawing(hand_on)
    for corner in ((2, 2), (14, 2), (4, 8), (14, 8), (14, 12)):
        hand.click(*corner)
    assert len(hand.canvas.tool.corners) == 5
    hand.key(Key.Key_Return)
    assert hand.plan == shops.empty()
    assert hand.messages
    assert hand.canvas.tool.name == "room outline"


def test_typed_lengths_run_the_way_of_the_pointer(hand_on):
    hand = drawing(hand_on)
    hand.click(2, 2)
    hand.move(9, 2.05)
    hand.type("12' 6 1/2\"")
    hand.move(14.5, 7)
    hand.type("3.81 m")
    assert hand.canvas.tool.corners[1] == pytest.approx((2 * FOOT + 12 * FOOT + 6.5 * INCH, 2 * FOOT))
    assert hand.canvas.tool.corners[2] == pytest.approx((2 * FOOT + 12 * FOOT + 6.5 * INCH, 2 * FOOT + 3.81))
    assert hand.plan == shops.empty()


def test_typed_places_and_angles(hand_on):
    hand = drawing(hand_on)
    hand.move(5, 5)
    hand.type("to 1' by 1'")
    hand.type("10' at 0°")
    hand.type("-2' by 8'")
    assert feet(hand.canvas.tool.corners) == [(1, 1), (11, 1), (9, 9)]
    hand.key(Key.Key_Return)
    assert feet(hand.plan.room.outline) == [(1, 1), (11, 1), (9, 9)]


def test_bad_text_is_explained_in_place_and_can_be_mended(hand_on):
    hand = drawing(hand_on)
    hand.click(2, 2)
    hand.move(9, 2)
    hand.type("12 apples")
    entry = hand.canvas.entry
    assert entry.isVisible()
    assert "apples" in entry.problem
    assert len(hand.canvas.tool.corners) == 1
    hand.type("12'")  # what was refused is marked, so typing replaces it
    assert not entry.isVisible()
    assert feet(hand.canvas.tool.corners) == [(2, 2), (14, 2)]


def test_a_typed_crossing_is_refused_in_place(hand_on):
    hand = drawing(hand_on)
    for corner in ((2, 2), (14, 2), (14, 8), (8, 8)):
        hand.click(*corner)
    hand.move(8, 5)
    hand.type("7'")
    assert "cross" in hand.canvas.entry.problem
    assert len(hand.canvas.tool.corners) == 4


def test_esc_gives_up_and_backspace_takes_back(hand_on):
    hand = drawing(hand_on)
    for corner in ((2, 2), (14, 2), (14, 8)):
        hand.click(*corner)
    hand.key(Key.Key_Backspace)
    assert len(hand.canvas.tool.corners) == 2
    hand.key(Key.Key_Escape)
    assert hand.canvas.tool.name == "select"
    assert hand.plan == shops.empty()
    assert hand.document.undo_text is None


def test_a_corner_is_dragged(hand_on):
    before = shops.rectangle()
    hand = hand_on(before)
    hand.drag((20, 14), (18, 13), (17, 12))
    assert feet(hand.plan.room.outline)[2] == (17, 12)
    assert hand.document.undo_text == "Move a corner"
    hand.document.undo()
    assert hand.plan == before


def test_a_corner_dragged_across_a_wall_is_refused_and_the_last_good_place_kept(hand_on):
    hand = hand_on(shops.rectangle())
    hand.drag((20, 14), (15, 5), (6, -3), drop=False)
    assert hand.canvas.tool.gesture.problem
    outline = hand.plan.room.outline
    hand.release(6, -3)
    assert hand.plan.room.outline == outline
    assert hand.messages


def test_esc_while_a_corner_is_dragged_restores_exactly(hand_on):
    before = shops.furnished()
    hand = hand_on(before)
    hand.drag((13.5, 8.5), (12, 7), drop=False)
    assert hand.plan != before
    hand.key(Key.Key_Escape)
    assert hand.plan == before


def test_a_wall_is_dragged_square_to_itself(hand_on):
    hand = hand_on(shops.rectangle())
    hand.drag((20, 7), (22, 9))
    assert feet(hand.plan.room.outline) == [(0, 0), (22, 0), (22, 14), (0, 14)]
    assert hand.document.undo_text == "Move a wall"


def test_a_wall_s_length_can_be_typed(hand_on):
    hand = hand_on(shops.rectangle())
    hand.click(6, 0)
    (line,) = hand.canvas.tool.dimension_lines()
    assert line.text == "20'"
    hand.click_pixel(line.label.center())
    hand.type("22' 6")
    assert feet(hand.plan.room.outline) == [(0, 0), (22.5, 0), (22.5, 14), (0, 14)]


def test_a_double_click_on_a_wall_makes_a_corner_and_delete_removes_it(hand_on):
    hand = hand_on(shops.rectangle())
    hand.double_click(6, 14)
    assert len(hand.plan.room.outline) == 5
    hand.key(Key.Key_Delete)
    assert feet(hand.plan.room.outline) == [(0, 0), (20, 0), (20, 14), (0, 14)]


def test_the_old_room_is_faint_while_a_new_one_is_drawn_over_it(hand_on):
    hand = hand_on(shops.furnished())
    wall = (hand.pos(10, 0) + QPointF(0, wall_width(hand.canvas.view) / 2)).toPoint()

    def darkness() -> int:
        return 255 - hand.canvas.grab().toImage().pixelColor(wall).lightness()

    before = darkness()
    hand.canvas.set_tool("room outline")
    assert darkness() == before
    hand.click(3, 10)
    assert darkness() < before / 2
    hand.key(Key.Key_Escape)
    assert darkness() == before


def test_a_room_that_is_pulled_out_of_the_sheet_is_fitted_again_at_release(hand_on):
    hand = hand_on(shops.rectangle())
    scale = hand.canvas.view.scale
    hand.drag((20, 7), (30, 7), drop=False)
    assert hand.canvas.view.scale == scale  # the sheet stands still under the hand
    hand.release(30, 7)
    assert hand.canvas.frame.contains(hand.pos(30, 7))
    hand.document.undo()
    assert hand.canvas.view.scale == pytest.approx(scale)
    hand.canvas.zoom_by(1.5)
    view = hand.canvas.view
    hand.drag((20, 7), (19, 7))
    assert hand.canvas.view == view  # zoomed by hand, it stays as it is
