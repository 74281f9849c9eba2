"""Lengths that are clicked and typed, and doors that slide along their walls."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from core.plan import Opening, Plan
from core.units import FOOT
from tests.app.canvas import shops

LEFT, ALT = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.AltModifier


def typed_on(hand, text: str, length: str) -> None:
    """Click a length on the drawing and type another."""
    line = next(line for line in hand.canvas.tool.dimension_lines() if line.text == text)
    hand.click_pixel(line.label.center())
    assert hand.canvas.entry.isVisible()
    hand.canvas.entry.field.selectAll()
    QTest.keyClicks(hand.canvas.entry.field, length)
    QTest.keyClick(hand.canvas.entry.field, Qt.Key.Key_Return)


def test_the_distance_to_a_neighbour_is_clicked_and_typed(hand_on):
    before = shops.rectangle(fixtures=(shops.strip("a", 3, 6), shops.strip("b", 10, 6), shops.strip("d", 10, 2)))
    hand = hand_on(before)
    hand.click(10, 6)
    typed_on(hand, "7'", "6' 6 + 1 1/2\"")
    b = hand.plan.fixture("b")
    assert (b.x / FOOT, b.y / FOOT) == pytest.approx((3 + 6 + 7.5 / 12, 6))
    hand.document.undo()
    assert hand.plan == before


def door(start: float = 8.0, width: float = 3.0, identity: str = "door-1") -> Opening:
    return Opening(identity, "door", 0, start * FOOT, width * FOOT, 7 * FOOT)


def with_doors(*doors: Opening) -> Plan:
    plan = shops.rectangle(fixtures=(shops.strip("a", 5, 7),))
    return replace(plan, room=replace(plan.room, openings=doors))


def test_a_door_slides_along_its_wall_and_says_why_it_stops(hand_on):
    before = with_doors(door(4), door(15, identity="door-2"))
    hand = hand_on(before)
    hand.drag((5.5, 0), (9.93, 1.0), drop=False)
    assert hand.plan.room.openings[0].start == pytest.approx(8.5 * FOOT)
    assert hand.canvas.tool.gesture.snap.told == "middle of the wall"
    hand.canvas.grab()
    hand.move(5.04, 2, button=LEFT)
    assert hand.plan.room.openings[0].start == pytest.approx(3.5 * FOOT)
    assert hand.canvas.tool.gesture.snap.told == "in line with 4 ft strip"
    hand.move(0.5, 0, button=LEFT)
    assert hand.plan.room.openings[0].start == 0.0
    assert hand.canvas.tool.gesture.snap.told == "in the corner"
    hand.move(14, 0, button=LEFT)  # over the other door
    assert hand.canvas.tool.gesture.problem
    assert hand.plan.room.openings[0].start == 0.0
    hand.move(10.07, 0, ALT, LEFT)
    assert hand.plan.room.openings[0].start == pytest.approx(8.57 * FOOT, abs=0.02)
    hand.release(10.07, 0, ALT)
    assert hand.document.undo_text == "Move door"
    hand.document.undo()
    assert hand.plan == before


def test_place_and_width_of_a_door_are_clicked_and_typed(hand_on):
    hand = hand_on(with_doors(door()))
    hand.click(9.5, 0)
    assert sorted(line.text for line in hand.canvas.tool.dimension_lines()) == ["3'", "8'", "9'"]
    typed_on(hand, "8'", "2'")
    assert hand.plan.room.openings[0].start == pytest.approx(2 * FOOT)
    typed_on(hand, "15'", "1'")
    assert hand.plan.room.openings[0].start == pytest.approx(16 * FOOT)
    typed_on(hand, "3'", "32 in")
    assert hand.plan.room.openings[0].width == pytest.approx(32 * 0.0254)
    before = hand.plan
    typed_on(hand, "16'", "19'")
    assert "too short" in hand.canvas.entry.problem
    assert hand.plan == before


def test_closing_a_field_leaves_the_selection_alone(hand_on, qtbot):
    hand = hand_on(shops.rectangle(fixtures=(shops.strip("a", 3, 6), shops.strip("b", 10, 6))))
    hand.canvas.activateWindow()
    qtbot.waitUntil(hand.canvas.isActiveWindow)
    hand.canvas.setFocus()
    hand.canvas.set_tool("bench")
    hand.move(15, 10)
    hand.type("6' by 2'6")
    (bench,) = hand.plan.furniture
    assert hand.document.selection == {bench.id}
    assert hand.canvas.hasFocus()
    hand.document.select({"a"})
    assert hand.canvas.array.open_for_selection()
    assert hand.canvas.array.counts.hasFocus()
    QTest.keyClick(hand.canvas.array.counts, Qt.Key.Key_Escape)
    assert hand.document.selection == {"a"}
    assert hand.canvas.hasFocus()
