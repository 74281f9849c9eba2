"""Obstacles and joists on the ceiling, notes, and the picture underneath, by mouse and keys."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QFileDialog

from app.canvas.candidates import for_thing
from app.canvas.joist_lines import first_from_wall, joist_segments, offset_for_first
from app.canvas.pictures import PictureError, read_picture
from app.canvas.snapping import snap
from core.plan import JoistZone
from core.plan.edits import changed
from core.plan.file import plan_from_text, plan_to_text
from core.plan.sheet import MOST_PICTURE_BYTES, picture_bytes
from core.units import FOOT, INCH
from tests.app.canvas import shops

RETURN, DELETE, ESCAPE = Qt.Key.Key_Return, Qt.Key.Key_Delete, Qt.Key.Key_Escape
CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def test_an_obstacle_by_its_rectangle_its_usual_size_and_a_typed_size(hand_on):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("ceiling obstacle")
    hand.drag((4, 4), (8, 5))
    (first,) = hand.plan.room.keep_outs
    assert (first.kind, first.width, first.depth) == ("hatch", pytest.approx(4 * FOOT), pytest.approx(1 * FOOT))
    assert hand.document.selection == {first.id}
    hand.document.apply("Make it a duct", changed(hand.plan, [first.id], kind="duct"))
    hand.canvas.set_tool("ceiling obstacle")
    hand.click(12, 8)
    assert hand.plan.room.keep_outs[1].kind == "duct"  # as the last one
    hand.canvas.set_tool("ceiling obstacle")
    hand.move(15, 10)
    hand.type("2' by 3'")
    third = hand.plan.room.keep_outs[2]
    assert (third.width, third.depth) == pytest.approx((2 * FOOT, 3 * FOOT))


def test_joists_over_the_whole_room_run_the_short_way_16_in_on_centre(hand_on):
    hand = hand_on(shops.rectangle())  # 20 x 14 ft
    hand.canvas.set_tool("joists")
    hand.key(RETURN)
    (zone,) = hand.plan.room.joists
    assert (zone.direction_deg, zone.spacing, zone.outline) == (90.0, pytest.approx(16 * INCH), ())
    assert hand.document.selection == {zone.id}
    lines = joist_segments(hand.plan)
    assert len(lines) == 15  # the first one along the wall, then every 16 in of 240 in
    for number, (a, b) in enumerate(lines):
        assert a[0] == pytest.approx(b[0])
        assert a[0] == pytest.approx(0.75 * INCH + number * 16 * INCH)
        assert sorted((a[1], b[1])) == pytest.approx([0.0, 14 * FOOT])
    hand.key(RETURN)  # picks what is there, adds nothing
    assert len(hand.plan.room.joists) == 1
    hand.key(DELETE)
    assert hand.plan == shops.rectangle()


def test_a_part_of_the_room_has_joists_of_its_own(hand_on):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("joists")
    hand.click(5, 5)
    hand.drag((12, 2), (18, 12))
    whole, part = hand.plan.room.joists
    assert hand.document.selection == {part.id}
    hand.document.apply("Turn joists", changed(hand.plan, [part.id], direction_deg=0.0))
    lines = joist_segments(hand.plan)
    assert not [1 for a, b in lines if abs(a[0] - b[0]) < 1e-6 and 12.1 * FOOT < a[0] < 17.9 * FOOT and
                min(a[1], b[1]) < 11 * FOOT < max(a[1], b[1])]  # fmt: skip
    level = [sorted((a[0], b[0])) for a, b in lines if abs(a[1] - b[1]) < 1e-6]
    assert level[0] == pytest.approx([12 * FOOT, 18 * FOOT])
    hand.click(5, 5)
    assert hand.document.selection == {whole.id}
    hand.click(15, 7)
    assert hand.document.selection == {part.id}


def test_a_part_of_any_shape_is_drawn_corner_by_corner(hand_on):
    hand = hand_on(shops.rectangle())  # 20 x 14 ft
    hand.canvas.set_tool("joists")
    hand.key(RETURN)
    hand.click(0.1, 0.1, SHIFT)  # snaps to the room's corner
    assert "next corner" in hand.canvas.tool.hint()
    hand.click(10, 0)
    hand.move(10, 6)
    hand.type("4'")  # straight up
    hand.click(6, 4)
    hand.click(6, 2)
    hand.key(Qt.Key.Key_Backspace)
    hand.move(3, -2)
    assert "edge" in hand.canvas.tool.part.problem
    assert "wall" not in hand.canvas.tool.part.problem
    hand.click(6, 10)
    hand.click(0, 10)
    hand.key(RETURN)
    _, part = hand.plan.room.joists
    corners = [(0, 0), (10, 0), (10, 4), (6, 4), (6, 10), (0, 10)]
    assert [(x / FOOT, y / FOOT) for x, y in part.outline] == [pytest.approx(corner, abs=1e-6) for corner in corners]
    assert hand.document.selection == {part.id}
    assert hand.canvas.tool.name == "joists"
    assert plan_from_text(plan_to_text(hand.plan)) == hand.plan
    # Each runs in its own part: the notch belongs to the whole room's joists.
    hand.document.apply("Turn joists", changed(hand.plan, [part.id], direction_deg=0.0))
    across = [(a, b) for a, b in joist_segments(hand.plan) if abs(a[1] - b[1]) < 1e-6]
    assert across
    reach = {y: max(a[0], b[0]) / FOOT for a, b in across for y in [a[1] / FOOT]}
    assert all(x == pytest.approx(10 if y < 4 else 6) for y, x in reach.items())
    hand.canvas.grab()
    hand.click(8, 8, SHIFT)
    hand.key(ESCAPE)
    assert len(hand.plan.room.joists) == 2
    assert hand.canvas.tool.name == "select"


def test_a_fixture_is_pulled_to_a_joist_and_is_told_so(hand_on):
    zone = JoistZone("joists-1", 90.0, 16 * INCH, 0.0)
    plan = shops.rectangle(fixtures=(shops.strip("a", 5, 5),))
    plan = replace(plan, room=replace(plan.room, joists=(zone,)))
    candidates = for_thing(plan, {"a"}, plan.fixtures[0], None)
    pulled = snap((64.7 * INCH, 61 * INCH), candidates, 60.0 / FOOT)
    assert pulled.point == pytest.approx((64 * INCH, 61 * INCH))
    assert pulled.told == "centred on a joist"
    beyond = snap((64.7 * INCH, -30 * INCH), candidates, 60.0 / FOOT)
    assert "centred on a joist" not in beyond.told  # a joist ends at the wall


feet = st.integers(-2, 22)
zones = st.lists(st.tuples(feet, feet, st.integers(1, 12), st.integers(1, 12), st.sampled_from([0.0, 90.0, 30.0])))


@settings(max_examples=50)
@given(zones)
@example([(0, 0, 1, 1, 0.0), (0, 0, 5, 11, 90.0), (0, 10, 4, 1, 90.0)])  # a joist on the seam of two zones
def test_joists_of_any_zones_stay_in_the_room_and_do_not_lie_on_each_other(drawn):
    plan = shops.furnished()
    joists = tuple(
        JoistZone(f"j-{n}", turn, outline=tuple((x * FOOT, y * FOOT) for x, y in
                  ((left, low), (left + wide, low), (left + wide, low + deep), (left, low + deep))))
        for n, (left, low, wide, deep, turn) in enumerate(drawn)
    )  # fmt: skip
    plan = replace(plan, room=replace(plan.room, joists=joists))
    lines = [shapely.LineString(piece) for piece in joist_segments(plan)]
    room = shapely.Polygon(plan.room.outline).buffer(1e-6)
    assert all(room.covers(line) for line in lines)
    for line in lines[:20]:
        over = [other for other in lines if other is not line and other.intersection(line).length > 1e-6]
        assert over == []


def test_the_first_joist_is_placed_from_the_wall():
    room = shops.rectangle().room
    zone = JoistZone("joists-1", 90.0, 16 * INCH, offset_for_first(room, JoistZone("j", 90.0), 10 * INCH))
    assert first_from_wall(room, zone) == pytest.approx(10 * INCH)


def test_a_note_is_typed_moved_rewritten_and_saved(hand_on):
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("note")
    hand.click(6, 6)
    hand.type("")
    assert "says" in hand.canvas.entry.problem
    hand.type("Panel goes here")
    (note,) = hand.plan.notes
    assert note.text == "Panel goes here"
    assert (note.x / FOOT, note.y / FOOT) == pytest.approx((6, 6))
    hand.drag((6, 6), (9, 9))
    assert (hand.plan.notes[0].x / FOOT, hand.plan.notes[0].y / FOOT) == pytest.approx((9, 9), abs=0.01)
    hand.double_click(9, 9)
    hand.canvas.entry.field.selectAll()
    hand.type("Panel / 60 A")
    assert hand.plan.notes[0].lines == ("Panel", "60 A")
    assert plan_from_text(plan_to_text(hand.plan)) == hand.plan
    hand.canvas.grab()
    hand.click(9, 9)
    hand.key(DELETE)
    assert hand.plan.notes == ()


@pytest.fixture
def sketch(tmp_path):
    """A picture of 400 x 200 px with a black bar from (100, 100) to (300, 100)."""
    image = QImage(400, 200, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    for x in range(100, 301):
        image.setPixelColor(x, 100, QColor("black"))
    path = tmp_path / "sketch.png"
    image.save(str(path))
    return path


def test_a_picture_is_laid_scaled_by_two_points_moved_and_kept_in_the_file(hand_on, sketch, monkeypatch):
    before = shops.rectangle()
    hand = hand_on(before)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(sketch), ""))
    hand.canvas.set_tool("picture underneath")
    hand.click(5, 5)
    underlay = hand.plan.underlay
    assert underlay.aspect == pytest.approx(0.5)
    assert underlay.width == pytest.approx(28 * FOOT)  # so that it covers the room
    # The bar is half of the picture's width: 14 ft now, and in truth 10 ft.
    left, y = 10 - 7, 7
    hand.click(left, y)
    hand.click(left + 14, y)
    hand.type("10'")
    assert hand.plan.underlay.width == pytest.approx(20 * FOOT)
    assert hand.plan.underlay.x - 5 * FOOT == pytest.approx(left * FOOT)  # its left end has stayed
    x = hand.plan.underlay.x
    hand.drag((10, 7), (11, 8))
    assert hand.plan.underlay.x == pytest.approx(x + FOOT)
    hand.document.apply("Lock", changed(hand.plan, [underlay.id], locked=True))
    locked = hand.plan
    hand.drag((10, 7), (11, 8))
    assert hand.plan == locked
    assert "locked" in hand.messages[-1]
    hand.canvas.grab()
    assert plan_from_text(plan_to_text(hand.plan)) == hand.plan
    hand.key(DELETE)
    assert hand.plan == before


def test_the_selecting_hand_takes_the_picture_by_ctrl_and_click(hand_on, sketch):
    hand = hand_on(shops.furnished())
    hand.canvas.set_tool("picture underneath")
    hand.canvas.tool.lay(sketch)
    hand.key(ESCAPE)
    underlay = hand.plan.underlay
    hand.document.select(())
    hand.click(9, 9)
    assert hand.document.selection == frozenset()  # a plain click on paper selects nothing
    hand.click(9, 9, CTRL)
    assert hand.document.selection == {underlay.id}
    hand.drag((9, 9), (10, 10))
    assert (hand.plan.underlay.x, hand.plan.underlay.y) == pytest.approx((underlay.x + FOOT, underlay.y + FOOT))
    assert hand.document.undo_text == "Move sketch.png"
    hand.key(Qt.Key.Key_Right)
    assert hand.plan.underlay.x == pytest.approx(underlay.x + FOOT + INCH)
    hand.document.apply("Lock", changed(hand.plan, [underlay.id], locked=True))
    locked = hand.plan
    hand.drag((9, 9), (10, 10))
    assert hand.plan == locked
    hand.click(9, 9)
    assert hand.document.selection == frozenset()
    # Below a fixture, too, and by Tab after everything else.
    hand.document.select({hand.plan.fixtures[0].id})
    spot = hand.plan.fixtures[0].x / FOOT, hand.plan.fixtures[0].y / FOOT
    for _ in range(4):
        hand.click(*spot, CTRL)
        if hand.document.selection == {underlay.id}:
            break
    assert hand.document.selection == {underlay.id}
    hand.document.select(())
    hand.key(Qt.Key.Key_Tab, Qt.KeyboardModifier.ShiftModifier)
    assert hand.document.selection == {underlay.id}
    hand.canvas.grab()
    hand.key(DELETE)
    assert hand.plan.underlay is None


def test_a_large_photo_is_made_small_enough_for_the_file(hand_on, tmp_path):
    import os

    image = QImage(os.urandom(3200 * 2600 * 3), 3200, 2600, 3200 * 3, QImage.Format.Format_RGB888)
    path = tmp_path / "noise.png"
    image.save(str(path))
    assert path.stat().st_size > MOST_PICTURE_BYTES
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("picture underneath")
    hand.canvas.tool.lay(path)
    assert len(picture_bytes(hand.plan.underlay.picture)) <= MOST_PICTURE_BYTES


def test_what_is_no_picture_is_refused_in_words(hand_on, tmp_path):
    path = tmp_path / "list.png"
    path.write_text("not a picture")
    with pytest.raises(PictureError, match="no picture"):
        read_picture(path)
    hand = hand_on(shops.rectangle())
    hand.canvas.set_tool("picture underneath")
    hand.canvas.tool.lay(path)
    assert "no picture" in hand.messages[-1]
    hand.canvas.tool.lay(tmp_path / "missing.png")
    assert hand.plan == shops.rectangle()
