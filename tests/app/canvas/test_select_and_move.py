"""Selecting, moving, turning and removing things with mouse and keys; every gesture is one step of undo."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from app.canvas.paint.selection import turn_handle
from core.units import FOOT, INCH, UnitSystem
from tests.app.canvas import shops

SHIFT, CTRL, ALT = (
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.AltModifier,
)
Key = Qt.Key


def place(fixture):  # type: ignore[no-untyped-def]
    return pytest.approx((fixture.x / FOOT, fixture.y / FOOT), abs=1e-6)


def test_a_click_selects_and_a_click_on_the_paper_lets_go(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    assert hand.document.selection == {"f-3"}
    hand.click(8, 4)
    assert hand.document.selection == set()
    assert hand.document.undo_text is None


def test_a_fixture_above_a_bench_is_what_a_click_takes(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(5.5, 13)
    assert hand.document.selection == {"bench-1"}
    hand.click(8.9, 11.2)
    assert hand.document.selection == {"f-2"}


def test_ctrl_click_takes_what_lies_below(hand_on):
    plan = shops.rectangle(
        fixtures=(shops.strip("a", 8, 7),), furniture=(shops.furnished().furniture[0].__class__(
            "bench-9", "bench", "Bench", 8 * FOOT, 7 * FOOT, 6 * FOOT, 3 * FOOT, 0.9),)
    )  # fmt: skip
    hand = hand_on(plan)
    hand.click(8, 7)
    assert hand.document.selection == {"a"}
    hand.click(8, 7, CTRL)
    assert hand.document.selection == {"bench-9"}


def test_shift_adds_and_removes(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    hand.click(9, 7, SHIFT)
    assert hand.document.selection == {"f-3", "f-4"}
    hand.click(4, 7, SHIFT)
    assert hand.document.selection == {"f-4"}


def test_a_box_selects_what_lies_wholly_in_it(hand_on):
    hand = hand_on(shops.furnished())
    hand.drag((6.8, 9.5), (0.5, 1.9))
    assert hand.document.selection == {"f-3", "f-5"}
    hand.drag((11.8, 9.5), (6.7, 6.6), held=SHIFT)
    assert hand.document.selection == {"f-3", "f-4", "f-5"}
    assert hand.plan == shops.furnished()


def test_a_drag_moves_in_one_step_of_undo(hand_on):
    before = shops.rectangle(fixtures=(shops.strip("a", 5, 5), shops.strip("b", 15, 11)))
    hand = hand_on(before)
    hand.drag((5, 5), (6, 9), (8, 9))
    assert (hand.plan.fixture("a").x / FOOT, hand.plan.fixture("a").y / FOOT) == pytest.approx((8, 9))
    assert hand.document.undo_text == "Move 4 ft strip"
    hand.document.undo()
    assert hand.plan == before
    assert hand.document.undo_text is None
    hand.document.redo()
    assert hand.plan.fixture("a").x == pytest.approx(8 * FOOT)


def test_a_drag_shows_every_frame_and_esc_puts_it_back(hand_on):
    before = shops.furnished()
    hand = hand_on(before)
    seen = []
    hand.document.changed.connect(lambda old, new: seen.append(new.fixture("f-3").x))
    hand.drag((4, 7), (7, 9), drop=False)
    assert len(set(seen)) >= 3
    assert hand.document.settled_plan == before
    hand.key(Key.Key_Escape)
    assert hand.plan == before
    hand.release(7, 9)
    assert hand.plan == before
    assert hand.document.undo_text is None


def test_undo_in_the_middle_of_a_drag_does_not_bring_the_undone_plan_back(hand_on):
    before = shops.furnished()
    hand = hand_on(before)
    hand.drag((4, 7), (4, 9))
    hand.drag((9, 7), (9, 9), drop=False)
    hand.document.undo()
    hand.move(9, 9.5, button=Qt.MouseButton.LeftButton)
    hand.release(9, 9.5)
    assert hand.plan == before


def test_alt_or_ctrl_moves_freely(hand_on):
    for held in (ALT, CTRL):
        hand = hand_on(shops.rectangle(fixtures=(shops.strip("a", 5, 5),)))
        hand.click(5, 5)
        hand.drag((5, 5), (6.137, 7.213), held=held)
        assert hand.plan.fixture("a").x / FOOT == pytest.approx(6.137, abs=1e-6)
        assert hand.plan.fixture("a").y / FOOT == pytest.approx(7.213, abs=1e-6)


def test_shift_in_a_drag_keeps_it_level(hand_on):
    hand = hand_on(shops.rectangle(fixtures=(shops.strip("a", 5, 5),)))
    hand.press(5, 5)
    hand.move(9, 6.2, SHIFT, Qt.MouseButton.LeftButton)
    hand.release(9, 6.2, SHIFT)
    assert (hand.plan.fixture("a").x / FOOT, hand.plan.fixture("a").y / FOOT) == pytest.approx((9, 5))


def test_several_things_move_together(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    hand.click(9, 7, SHIFT)
    hand.drag((9, 7), (9, 8))
    assert hand.plan.fixture("f-3").y == hand.plan.fixture("f-4").y == pytest.approx(8 * FOOT)
    assert hand.document.undo_text == "Move 2 things"


def test_a_bench_snaps_flush_to_the_wall(hand_on):
    hand = hand_on(shops.furnished())
    hand.drag((5.5, 13), (5.5, 13.35))
    bench = hand.plan.piece("bench-1")
    assert bench.y + bench.depth / 2 == pytest.approx(14 * FOOT)


def test_a_door_slides_along_its_wall(hand_on):
    hand = hand_on(shops.furnished())
    hand.drag((8.5, 0.05), (12.5, 1.0))
    assert hand.plan.room.openings[0].start == pytest.approx(11 * FOOT, abs=0.02)


@pytest.mark.parametrize(
    ("key", "held", "dx", "dy"),
    [
        (Key.Key_Right, Qt.KeyboardModifier.NoModifier, INCH, 0.0),
        (Key.Key_Up, SHIFT, 0.0, FOOT),
        (Key.Key_Left, CTRL, -INCH / 4, 0.0),
        (Key.Key_Down, Qt.KeyboardModifier.NoModifier, 0.0, -INCH),
    ],
)
def test_arrow_keys_nudge(hand_on, key, held, dx, dy):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    before = hand.plan.fixture("f-3")
    hand.key(key, held)
    after = hand.plan.fixture("f-3")
    assert (after.x - before.x, after.y - before.y) == pytest.approx((dx, dy))
    hand.document.undo()
    assert hand.plan == shops.furnished()


def test_in_metric_arrow_keys_nudge_by_round_millimetres_and_the_hint_says_so(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    hand.canvas.set_units(UnitSystem.METRIC)
    assert "10 mm" in hand.canvas.tool.hint()
    before = hand.plan.fixture("f-3").x
    hand.key(Key.Key_Right)
    hand.key(Key.Key_Right, SHIFT)
    hand.key(Key.Key_Right, CTRL)
    assert hand.plan.fixture("f-3").x - before == pytest.approx(0.111)


def test_r_turns_by_90_and_shift_r_by_15(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    hand.key(Key.Key_R)
    assert hand.plan.fixture("f-3").rotation_deg == 90.0
    hand.key(Key.Key_R, SHIFT)
    assert hand.plan.fixture("f-3").rotation_deg == 105.0


def test_the_handle_turns_in_steps_of_15_degrees(hand_on):
    hand = hand_on(shops.rectangle(fixtures=(shops.strip("a", 10, 7),)))
    hand.click(10, 7)
    canvas = hand.canvas
    x0, y0, x1, y1 = 8 * FOOT, 7 * FOOT - 1.6 * INCH, 12 * FOOT, 7 * FOOT + 1.6 * INCH
    x, y = (v / FOOT for v in canvas.view.to_plan(turn_handle((x0, y0, x1, y1), canvas.view, canvas.frame)))
    hand.drag((x, y), (10 - (y - 7) * 0.6, 7 + (y - 7) * 0.8))
    assert hand.plan.fixture("a").rotation_deg == 30.0  # the pointer is at 36.9 degrees
    assert hand.document.undo_text == "Turn 4 ft strip"
    hand.document.undo()
    assert hand.plan.fixture("a").rotation_deg == 0.0


def test_duplicate_selects_the_copy_and_delete_removes_it(hand_on):
    before = shops.furnished()
    hand = hand_on(before)
    hand.click(4, 7)
    hand.key(Key.Key_D, CTRL)
    assert len(hand.plan.fixtures) == 9
    (copy,) = hand.document.selection
    assert copy not in {f.id for f in before.fixtures}
    assert hand.plan.fixture(copy).x == pytest.approx(5 * FOOT)
    hand.key(Key.Key_Delete)
    assert hand.plan == before
    assert hand.document.selection == set()


def test_shift_and_a_letter_puts_fixtures_on_a_switch(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    hand.click(1, 4, SHIFT)  # the rack has no switch
    hand.key(Key.Key_D, SHIFT)
    assert hand.plan.fixture("f-3").group == "D"
    assert [g.letter for g in hand.plan.groups] == ["A", "B", "C", "D"]
    assert hand.document.undo_text == "Put 4 ft strip on switch D"


def test_a_plain_letter_is_left_to_the_switches(hand_on, qtbot):
    from PySide6.QtGui import QKeyEvent

    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    for key in (Key.Key_A, Key.Key_H, Key.Key_3):
        event = QKeyEvent(QKeyEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier, chr(key.value).lower())
        hand.canvas.keyPressEvent(event)
        assert not event.isAccepted()
    assert hand.plan == shops.furnished()


def test_tab_goes_through_the_things_and_out(hand_on):
    hand = hand_on(shops.rectangle(fixtures=(shops.strip("a", 5, 5), shops.strip("b", 9, 5))))
    for expected in ({"a"}, {"b"}):
        hand.key(Key.Key_Tab)
        assert hand.document.selection == expected
    hand.key(Key.Key_Backtab)
    assert hand.document.selection == {"a"}
    hand.key(Key.Key_Backtab)
    assert hand.document.selection == set()


def test_select_all_and_all_of_a_kind(hand_on):
    from app.canvas import commands

    hand = hand_on(shops.furnished())
    hand.key(Key.Key_A, CTRL)
    assert len(hand.document.selection) == 8 + 5 + 3 + 1
    hand.document.select({"f-1"})
    assert commands.select_all_of_model(hand.document)
    assert hand.document.selection == {f"f-{n}" for n in range(1, 7)}
    assert commands.select_all_of_group(hand.document, "C")
    assert hand.document.selection == {"f-5", "f-6"}
    hand.document.select({"bench-1"})
    assert not commands.select_all_of_model(hand.document)


def test_a_distance_to_the_wall_can_be_typed(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    lines = {line.of.side: line for line in hand.canvas.tool.dimension_lines() if line.of}
    assert set(lines) == {"left", "front"} or set(lines) == {"left", "back"}
    assert lines["left"].text == "4'"
    hand.click_pixel(lines["left"].label.center())
    entry = hand.canvas.entry
    assert entry.isVisible()
    assert entry.field.text() == "4'"
    hand.type("wide")
    assert entry.isVisible()
    assert "wide" in entry.problem
    entry.field.selectAll()
    hand.type("5' 3 1/2\"")
    assert not entry.isVisible()
    assert hand.plan.fixture("f-3").x == pytest.approx(5 * FOOT + 3.5 * INCH)
    assert hand.document.selection == {"f-3"}
    hand.document.undo()
    assert hand.plan == shops.furnished()


def test_esc_in_the_field_changes_nothing(hand_on):
    hand = hand_on(shops.furnished())
    hand.click(4, 7)
    (line, *_) = hand.canvas.tool.dimension_lines()
    hand.click_pixel(line.label.center())
    hand.type("6'", enter=False)
    from PySide6.QtTest import QTest

    QTest.keyClick(hand.canvas.entry.field, Key.Key_Escape)
    assert not hand.canvas.entry.isVisible()
    assert hand.plan == shops.furnished()
    assert hand.document.selection == {"f-3"}


def test_a_thing_that_is_deleted_between_press_and_drag_is_not_dragged(hand_on):
    hand = hand_on(shops.furnished())
    hand.move(4, 7)
    hand.press(4, 7)
    hand.key(Qt.Key.Key_Delete)
    after = hand.plan
    hand.move(8, 8, button=Qt.MouseButton.LeftButton)
    hand.release(8, 8)
    assert hand.plan == after
    assert hand.canvas.tool.gesture is None
