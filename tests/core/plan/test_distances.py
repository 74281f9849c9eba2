"""Distances to the walls are what a tape measure says, and typing one puts the thing there."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.plan import Finish, Fixture, Furniture, Model, Plan, PowerSetting, Room
from core.plan.edits import placed_from_wall, position_from_walls, walls_around

WHITE = Finish("white paint", 0.8)
ELL = Room(((0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (3.0, 2.0), (3.0, 5.0), (0.0, 5.0)), 2.7, WHITE, WHITE, WHITE)
STRIP = Model("s", "s", "strip", 1, 1, 1, "point", 0, 0, (PowerSetting(1, 1),), (4000,))
PLAN = Plan("Shop", ELL, models=(STRIP,), fixtures=(Fixture("fixture-1", "s", 2.0, 1.0),))


def at(x, y, rotation=0.0):
    return replace(PLAN, fixtures=(Fixture("fixture-1", "s", x, y, rotation),))


def test_distances_along_the_sheet():
    assert position_from_walls(at(2, 1), "fixture-1") == {"left": 2, "right": 4, "front": 1, "back": 4}
    assert position_from_walls(at(4, 1), "fixture-1") == {"left": 4, "right": 2, "front": 1, "back": 1}
    assert position_from_walls(at(2, 4), "fixture-1") == {"left": 2, "right": 1, "front": 4, "back": 1}


@pytest.mark.parametrize("rotation", [90.0, 180.0, 270.0, 360.0, -90.0])
def test_a_quarter_turn_leaves_left_at_the_left_of_the_sheet(rotation):
    assert position_from_walls(at(2, 1, rotation), "fixture-1") == {
        "left": 2,
        "right": 4,
        "front": 1,
        "back": 4,
    }


def test_a_skew_thing_is_measured_along_its_own_edges():
    square = Room(((-4.0, 0.0), (0.0, -4.0), (4.0, 0.0), (0.0, 4.0)), 2.7, WHITE, WHITE, WHITE)
    plan = replace(PLAN, room=square, furniture=(Furniture("bench-1", "bench", "B", 0, 0, 1, 1, 1, 0, 44.999999),))
    half = 2 * 2**0.5
    assert position_from_walls(plan, "bench-1") == pytest.approx(
        dict.fromkeys(("left", "right", "front", "back"), half)
    )


def test_the_wall_and_the_foot_are_told():
    around = walls_around(ELL, 4.0, 1.0)
    assert (around["back"].wall, around["back"].foot) == (2, (4.0, 2.0))
    assert around["right"].wall == 1


def test_outside_the_room_a_side_may_be_missing():
    assert position_from_walls(at(-1, 1), "fixture-1") == {"right": 1}
    with pytest.raises(KeyError):
        placed_from_wall(at(-1, 1), "fixture-1", "left", 1.0)
    with pytest.raises(KeyError):
        position_from_walls(PLAN, "nothing")


@given(
    st.integers(1, 119),
    st.integers(1, 39),
    st.sampled_from(["left", "right", "front", "back"]),
    st.integers(0, 16),
    st.sampled_from([0.0, 90.0, 30.0, 17.3]),
)
def test_a_typed_distance_is_measured_again(x, y, side, sixteenths, rotation):
    plan = at(x * 0.05, y * 0.05, rotation)
    there = position_from_walls(plan, "fixture-1")[side]
    wanted = there * sixteenths / 16
    placed = placed_from_wall(plan, "fixture-1", side, wanted)
    assert position_from_walls(placed, "fixture-1")[side] == pytest.approx(wanted, abs=1e-6)
    back = placed_from_wall(placed, "fixture-1", side, there)
    moved, original = back.fixture("fixture-1"), plan.fixture("fixture-1")
    assert (moved.x, moved.y) == pytest.approx((original.x, original.y), abs=1e-6)
