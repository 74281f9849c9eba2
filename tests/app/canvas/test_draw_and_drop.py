"""Drawing furniture and openings, the tape, and things dropped from the shelf."""

from __future__ import annotations

import json

import pytest
from PySide6.QtCore import QMimeData, Qt
from PySide6.QtGui import QDragEnterEvent, QDragLeaveEvent, QDragMoveEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.canvas.drops import MIME_TYPE
from app.canvas.view import View
from core.plan.file import plan_from_text, plan_to_text
from core.units import FOOT, INCH
from tests.app.canvas import shops

COPY, NONE = Qt.DropAction.CopyAction, Qt.KeyboardModifier.NoModifier
LEFT = Qt.MouseButton.LeftButton


def mime(told: object) -> QMimeData:
    data = QMimeData()
    data.setData(MIME_TYPE, json.dumps(told).encode())
    return data


def hover(hand, data: QMimeData, *way: tuple[float, float]) -> bool:  # type: ignore[no-untyped-def]
    """Enter and move over the canvas; return whether it takes the thing."""
    pos = hand.pos(*way[0]).toPoint()
    enter = QDragEnterEvent(pos, COPY, data, LEFT, NONE)
    QApplication.sendEvent(hand.canvas, enter)
    for x, y in way:
        QApplication.sendEvent(hand.canvas, QDragMoveEvent(hand.pos(x, y).toPoint(), COPY, data, LEFT, NONE))
    return enter.isAccepted()


def drop(hand, data: QMimeData, x: float, y: float, held=NONE) -> None:  # type: ignore[no-untyped-def]
    QApplication.sendEvent(hand.canvas, QDropEvent(hand.pos(x, y), COPY, data, LEFT, held))


def test_a_fixture_from_the_shelf_is_one_step_and_selected(hand_on):
    before = shops.rectangle()
    hand = hand_on(before)
    data = mime({"what": "fixture", "model": "strip-4"})
    assert hover(hand, data, (3, 3), (8, 6))
    assert len(hand.plan.fixtures) == 1  # it is shown, and lights, while it hovers
    assert hand.document.settled_plan == before
    drop(hand, data, 6.04, 5.02)
    (fixture,) = hand.plan.fixtures
    assert (fixture.x / FOOT, fixture.y / FOOT) == pytest.approx((6, 5))
    assert hand.document.selection == {fixture.id}
    assert hand.document.undo_text == "Add 4 ft strip"
    hand.document.undo()
    assert hand.plan == before


def test_a_fixture_dropped_with_shift_becomes_rows_and_columns(hand_on):
    before = shops.rectangle()
    hand = hand_on(before)
    data = mime({"what": "fixture", "model": "strip-4"})
    hover(hand, data, (3, 3), (8, 6))
    drop(hand, data, 8, 6, Qt.KeyboardModifier.ShiftModifier)
    panel = hand.canvas.array
    assert panel.isVisible()
    panel.counts.selectAll()
    QTest.keyClicks(panel.counts, "2 x 3")
    QTest.keyClick(panel.counts, Qt.Key.Key_Return)
    assert len(hand.plan.fixtures) == 6
    for _ in range(2):  # hung, and dropped
        hand.document.undo()
    assert hand.plan == before
    bench = mime({"what": "bench"})
    hover(hand, bench, (3, 3), (8, 6))
    drop(hand, bench, 8, 6, Qt.KeyboardModifier.ShiftModifier)
    assert not panel.isVisible()


def test_a_model_that_the_plan_lacks_comes_from_the_catalogue(hand_on):
    hand = hand_on(shops.rectangle(models=()))
    hand.canvas.drops.catalogue = lambda identity: shops.PANEL if identity == "panel-2x2" else None
    data = mime({"what": "fixture", "model": "panel-2x2"})
    hover(hand, data, (3, 3))
    drop(hand, data, 5, 5)
    assert [model.id for model in hand.plan.models] == ["panel-2x2"]
    assert hand.plan.fixtures[0].model == "panel-2x2"


@pytest.mark.parametrize("kind", ["bench", "machine", "cabinet"])
def test_furniture_from_the_shelf(hand_on, kind):
    hand = hand_on(shops.rectangle())
    data = mime({"what": kind})
    hover(hand, data, (5, 5))
    drop(hand, data, 5, 5)
    (item,) = hand.plan.furniture
    assert item.kind == kind
    assert hand.document.selection == {item.id}


def test_leaving_takes_the_thing_away_again(hand_on):
    before = shops.rectangle()
    hand = hand_on(before)
    hover(hand, mime({"what": "bench"}), (5, 5), (8, 8))
    QApplication.sendEvent(hand.canvas, QDragLeaveEvent())
    assert hand.plan == before
    assert not hand.document.in_gesture


@pytest.mark.parametrize("told", [{"what": "sofa"}, {"what": "fixture", "model": "unknown"}, ["bench"], 7])
def test_what_is_not_from_the_shelf_is_refused(hand_on, told):
    hand = hand_on(shops.rectangle())
    assert not hover(hand, mime(told), (5, 5))
    drop(hand, mime(told), 5, 5)
    assert hand.plan == shops.rectangle()


def test_other_data_is_refused(hand_on):
    hand = hand_on(shops.rectangle())
    text = QMimeData()
    text.setText("bench")
    assert not hover(hand, text, (5, 5))
    broken = QMimeData()
    broken.setData(MIME_TYPE, b"\xff{")
    assert not hover(hand, broken, (5, 5))


def test_a_bench_by_its_rectangle(hand_on):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("bench")
    hand.drag((2.02, 12), (8.03, 13.98))
    (bench,) = hand.plan.furniture
    assert (bench.width, bench.depth) == pytest.approx((6 * FOOT, 2 * FOOT))
    assert (bench.x, bench.y) == pytest.approx((5 * FOOT, 13 * FOOT))
    assert bench.worker_side == "front"  # the back touches the wall
    assert hand.document.selection == {bench.id}
    assert hand.canvas.tool.name == "select"
    hand.document.undo()
    assert hand.plan == shops.rectangle()


def test_a_click_places_one_of_the_usual_size_and_a_typed_size_is_taken(hand_on):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("machine")
    hand.click(5, 5)
    hand.canvas.set_tool("cabinet")
    hand.move(12, 5)
    hand.type("4' by")
    assert hand.canvas.entry.problem
    hand.type("4' by 18\"")
    machine, cabinet = hand.plan.furniture
    assert (machine.x, machine.y) == pytest.approx((5 * FOOT, 5 * FOOT))
    assert (cabinet.width, cabinet.depth) == pytest.approx((4 * FOOT, 18 * INCH))


def test_esc_drops_a_half_drawn_bench(hand_on):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("bench")
    hand.drag((2, 2), (8, 4), drop=False)
    hand.key(Qt.Key.Key_Escape)
    hand.release(8, 4)
    assert hand.plan == shops.rectangle()
    assert hand.canvas.tool.name == "select"


def test_a_door_on_the_wall_under_the_pointer(hand_on):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("door")
    hand.click(6, 0.2)
    (door,) = hand.plan.room.openings
    assert (door.wall, door.kind) == (0, "door")
    assert door.start == pytest.approx(4.5 * FOOT)
    assert hand.document.selection == {door.id}


def test_an_overhead_door_dragged_to_its_width(hand_on):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("overhead door")
    hand.drag((12, 13.9), (4, 13.9))
    (gate,) = hand.plan.room.openings
    assert gate.wall == 2
    assert gate.width == pytest.approx(8 * FOOT)
    assert sorted(item.kind for item in hand.plan.room.keep_outs) == ["opener", "track", "track"]
    assert "above this door" in hand.messages[-1]  # 12 in under an 8 ft ceiling: an opener wants 15
    hand.double_click(8, 13.98)
    assert hand.plan.room.openings[0].is_open
    assert hand.document.undo_text == "Open the overhead door"
    hand.document.undo()
    hand.document.undo()
    assert hand.plan == shops.rectangle()


def test_openings_do_not_overlap_and_need_a_wall(hand_on):
    hand = hand_on(shops.furnished())
    hand.canvas.set_tool("window")
    hand.click(8, 0.1)
    assert "in the way" in hand.messages[-1]
    hand.click(6, 5)
    assert "wall" in hand.messages[-1]
    assert hand.plan == shops.furnished()


def test_the_tape_reads_from_corner_to_corner_and_changes_nothing(hand_on):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("tape measure")
    hand.click(0.05, 0.04)
    hand.move(19.97, 13.96)
    assert hand.canvas.tool.reading().splitlines()[0] == "24' 4 15/16\""  # sqrt(20^2 + 14^2) ft
    hand.click(19.97, 13.96)
    assert not hand.canvas.tool.is_busy()
    hand.key(Qt.Key.Key_Escape)
    assert hand.plan == shops.rectangle()
    assert hand.document.undo_text is None


def test_every_tool_is_left_without_a_trace(hand_on):
    from app.canvas.tools import TOOLS

    before = shops.furnished()
    hand = hand_on(before)
    names = []
    hand.canvas.tool_changed.connect(names.append)
    for name in TOOLS:
        hand.canvas.set_tool(name)
        hand.move(5, 5)
        hand.press(5, 5)
        hand.move(6, 6, button=LEFT)
        hand.canvas.grab()
        assert hand.canvas.tool.hint()
        hand.key(Qt.Key.Key_Escape)
        assert hand.canvas.tool.name == "select"
        assert hand.plan == before
    assert set(names) == set(TOOLS)


@pytest.mark.parametrize("name", ["bench", "ceiling obstacle", "joists"])
def test_what_is_drawn_zoomed_far_out_is_refused_when_no_file_could_hold_it(hand_on, name):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_view(View(2.0, 200.0, 600.0))  # 450 m across the sheet
    hand.canvas.set_tool(name)
    hand.drag((-200, 0), (1200, 900))
    assert "too large" in hand.messages[-1]
    assert hand.plan == shops.rectangle()


def test_nothing_can_be_carried_farther_than_a_plan_file_holds(hand_on):
    hand = hand_on(shops.rectangle(fixtures=(shops.strip("a", 5, 5),)))
    hand.click(5, 5)
    for _ in range(6):
        item = hand.plan.fixtures[0]
        hand.canvas.set_view(View(2.0, 450.0 - item.x * 2.0, 350.0 + item.y * 2.0))
        hand.drag((item.x / FOOT, item.y / FOOT), (item.x / FOOT + 1400, item.y / FOOT))
    assert 500.0 < hand.plan.fixtures[0].x < 1100.0
    assert plan_from_text(plan_to_text(hand.plan)) == hand.plan
