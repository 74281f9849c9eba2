"""Openings and finishes stay in their own wall, whatever happens to the corners."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.plan import Finish, Opening, Plan, Room, edits
from core.plan.outline import OutlineError, outline_problem, signed_area
from tests.core.plan.strategies import plans

FEW = settings(max_examples=40)
WHITE = Finish("white paint", 0.8)
NAMES = [Finish(f"wall {n}", 0.5) for n in range(4)]
DOOR = Opening("door-1", "door", 0, 1.0, 0.9, 2.0)
WINDOW = Opening("window-1", "window", 1, 0.5, 1.0, 1.0, sill=1.0)
ROOM = Room(((0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)), 2.7, WHITE, WHITE, WHITE, tuple(NAMES), (DOOR, WINDOW))
PLAN = Plan("Shop", ROOM)


def place(room, opening):
    """Where an opening's two jambs are in the plan, the one with the hinges first: x, y, x, y."""
    (ax, ay), (bx, by) = room.wall(opening.wall)
    length = math.dist((ax, ay), (bx, by))
    jambs = [
        (ax + (bx - ax) * along / length, ay + (by - ay) * along / length)
        for along in (opening.start, opening.start + opening.width)
    ]
    hinged_first = jambs if opening.hinge == "start" else jambs[::-1]
    return [value for jamb in hinged_first for value in jamb]


def assert_in_order(plan):
    room = plan.room
    assert outline_problem(room.outline) is None
    assert signed_area(room.outline) > 0
    assert len(room.wall_finishes) in (0, len(room.outline))
    for opening in room.openings:
        assert 0 <= opening.wall < len(room.outline)
        assert opening.start >= 0
        assert opening.start + opening.width <= math.dist(*room.wall(opening.wall)) + 1e-6


def test_a_clockwise_outline_is_turned_round_and_the_door_stays_in_its_place():
    after = edits.with_outline(PLAN, ROOM.outline[::-1])
    assert signed_area(after.room.outline) > 0
    for before, now in zip(ROOM.openings, after.room.openings, strict=True):
        assert place(after.room, now) == pytest.approx(place(ROOM, before), abs=1e-6)
        assert after.room.wall_finish(now.wall) == ROOM.wall_finish(before.wall)


@given(plans(), st.integers(0, 8), st.booleans())
@FEW
def test_the_same_outline_begun_elsewhere_or_backwards_changes_no_opening(plan, turn, backwards):
    outline = plan.room.outline
    turn %= len(outline)
    again = outline[turn:] + outline[:turn]
    after = edits.with_outline(plan, again[::-1] if backwards else again)
    assert_in_order(after)
    for before, now in zip(plan.room.openings, after.room.openings, strict=True):
        assert place(after.room, now) == pytest.approx(place(plan.room, before), abs=1e-6)
        assert after.room.wall_finish(now.wall) == plan.room.wall_finish(before.wall)


def test_a_moved_corner_that_turns_the_room_inside_out_keeps_the_door_on_its_wall():
    triangle = Plan("T", Room(((0.0, 0.0), (4.0, 0.0), (2.0, 3.0)), 2.7, WHITE, WHITE, WHITE, (), (DOOR,)))
    after = edits.with_corner(triangle, 2, (2.0, -3.0))
    assert_in_order(after)
    (now,) = after.room.openings
    assert now.hinge == "end"
    # The jamb with the hinges is where it was, though the wall now runs the other way.
    assert place(after.room, now) == pytest.approx(place(triangle.room, DOOR), abs=1e-6)


def test_dragging_a_corner_along_a_wall_leaves_the_door_where_it_is():
    after = edits.with_corner(PLAN, 0, (-1.0, 0.0))
    assert place(after.room, after.room.openings[0]) == pytest.approx(place(ROOM, DOOR), abs=1e-6)
    after = edits.with_corner(PLAN, 1, (7.0, 0.0))
    assert place(after.room, after.room.openings[0]) == pytest.approx(place(ROOM, DOOR), abs=1e-6)


def test_a_door_slides_and_narrows_only_when_it_must():
    (door, _) = edits.with_corner(PLAN, 1, (1.5, 0.0)).room.openings
    assert (door.start, door.width) == (pytest.approx(0.6), 0.9)
    (door, _) = edits.with_corner(PLAN, 1, (0.5, 0.0)).room.openings
    assert (door.start, door.width) == (0.0, pytest.approx(0.5))


def test_shifting_a_wall_moves_it_square_to_itself():
    after = edits.with_wall_shifted(PLAN, 0, 1.0)
    assert after.room.outline == ((0.0, -1.0), (6.0, -1.0), (6.0, 4.0), (0.0, 4.0))
    assert place(after.room, after.room.openings[1]) == pytest.approx(place(ROOM, WINDOW), abs=1e-6)
    assert edits.with_wall_shifted(after, 0, -1.0) == PLAN
    assert edits.with_wall_shifted(PLAN, 3, 0.5).room.outline[0] == (-0.5, 0.0)
    with pytest.raises(OutlineError):
        edits.with_wall_shifted(PLAN, 0, -4.0)


def test_shifting_one_of_two_walls_in_line_puts_a_short_wall_between():
    broken = edits.with_corner_inserted(PLAN, 0, (3.0, 0.0))
    for index in (0, 1):
        after = edits.with_wall_shifted(broken, index, 1.0)
        assert_in_order(after)
        assert len(after.room.outline) == 6
        assert signed_area(after.room.outline) == pytest.approx(24 + 3)
        assert {o.id for o in after.room.openings} == {"door-1", "window-1"}
        window = next(o for o in after.room.openings if o.id == "window-1")
        assert after.room.wall_finish(window.wall) == NAMES[1]


@given(plans(), st.integers(0, 8), st.integers(-300, 300))
@FEW
def test_a_shifted_wall_stays_parallel_and_moves_by_the_distance(plan, index, centimetres):
    index %= len(plan.room.outline)
    distance = centimetres / 100
    try:
        after = edits.with_wall_shifted(plan, index, distance)
    except OutlineError:
        assume(False)
    assert_in_order(after)
    (ax, ay), (bx, by) = plan.room.wall(index)
    length = math.dist((ax, ay), (bx, by))
    out = ((by - ay) / length, (ax - bx) / length)
    (px, py), (qx, qy) = after.room.wall(index)
    for x, y in ((px, py), (qx, qy)):
        if len(after.room.outline) == len(plan.room.outline) and signed_area(after.room.outline) > 0:
            reach = (x - ax) * out[0] + (y - ay) * out[1]
            # A triangle may have turned inside out; its walls are then numbered the other way round.
            assert reach == pytest.approx(distance, abs=1e-6) or len(plan.room.outline) == 3


@given(plans(), st.integers(0, 8), st.integers(1, 9))
@FEW
def test_a_corner_inserted_on_a_wall_and_removed_again_is_the_same_room(plan, wall, tenths):
    room = plan.room
    wall %= len(room.outline)
    (ax, ay), (bx, by) = room.wall(wall)
    point = (ax + (bx - ax) * tenths / 10, ay + (by - ay) * tenths / 10)
    broken = edits.with_corner_inserted(plan, wall, point)
    assert_in_order(broken)
    assert len(broken.room.outline) == len(room.outline) + 1
    assert broken.room.wall_finish(wall) == broken.room.wall_finish(wall + 1) == room.wall_finish(wall)
    for before, now in zip(room.openings, broken.room.openings, strict=True):
        assert broken.room.wall_finish(now.wall) == room.wall_finish(before.wall)
        if before.wall != wall:
            assert place(broken.room, now) == pytest.approx(place(room, before), abs=1e-6)
    back = edits.without_corner(broken, wall + 1)
    assert back.room.outline == room.outline
    assert back.room.wall_finishes == room.wall_finishes
    for before, now in zip(room.openings, back.room.openings, strict=True):
        assert now.wall == before.wall


@given(plans(), st.integers(0, 8))
@FEW
def test_a_removed_corner_leaves_other_walls_alone(plan, index):
    room = plan.room
    index %= len(room.outline)
    try:
        after = edits.without_corner(plan, index)
    except OutlineError:
        assume(False)
    assert_in_order(after)
    for before, now in zip(room.openings, after.room.openings, strict=True):
        if before.wall not in (index, (index - 1) % len(room.outline)):
            assert place(after.room, now) == pytest.approx(place(room, before), abs=1e-6)
            assert after.room.wall_finish(now.wall) == room.wall_finish(before.wall)


def test_another_number_of_corners_keeps_what_is_still_in_a_wall():
    ell = ((0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (3.0, 2.0), (3.0, 4.0), (0.0, 4.0))
    after = edits.with_outline(PLAN, ell)
    assert [o.id for o in after.room.openings] == ["door-1", "window-1"]
    assert after.room.openings[0] == DOOR
    assert after.room.wall_finishes == (NAMES[0], NAMES[1], None, None, NAMES[2], NAMES[3])
    gone = edits.with_outline(PLAN, ((0.0, 1.0), (5.0, 1.0), (3.0, 4.0)))
    assert gone.room.openings == ()


def test_a_bad_outline_is_refused_with_the_reason():
    with pytest.raises(OutlineError, match="cross"):
        edits.with_outline(PLAN, ((0, 0), (4, 0), (0, 3), (4, 3)))
    with pytest.raises(OutlineError, match=r"cross|touch"):
        edits.with_corner(PLAN, 0, (7.0, 2.0))


def test_a_moved_opening_slides_along_its_wall():
    after = edits.moved(PLAN, ["door-1"], 0.5, 3.0)
    assert after.room.openings[0].start == pytest.approx(1.5)
    after = edits.moved(PLAN, ["window-1"], 0.5, 30.0)
    assert after.room.openings[1].start == pytest.approx(3.0)


def test_finishes_fewer_than_walls_count_as_the_rooms_own():
    plan = replace(PLAN, room=replace(ROOM, wall_finishes=(NAMES[0],)))
    after = edits.with_outline(plan, ROOM.outline[::-1])
    walls = {after.room.wall(i): after.room.wall_finish(i) for i in range(4)}
    assert walls[((0.0, 0.0), (6.0, 0.0))] == NAMES[0]
    assert sum(finish == WHITE for finish in walls.values()) == 3
