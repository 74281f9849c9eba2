"""Tracks and opener of overhead doors: where published door guides say that they are, and how they follow the door."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from core.catalogue import blank_plan
from core.plan import Opening, Plan, box_corners
from core.plan.door_gear import gear_of
from core.plan.edits import added, changed, duplicated, moved, removed, with_door_gear, with_wall_shifted
from core.plan.walls import with_outline
from core.plan.whole import what_is_not_whole
from core.units import FOOT, INCH


def with_door(wall: int = 0, start: float = 6 * FOOT) -> Plan:
    """Return a room of 20 x 16 ft and 9 ft height with a door of 8 x 7 ft and its gear."""
    plan = blank_plan("Garage")
    plan = replace(plan, room=replace(plan.room, height=9 * FOOT))
    door = Opening("overhead-door-1", "overhead door", wall, start, 8 * FOOT, 7 * FOOT)
    return with_door_gear(added(plan, door), "overhead-door-1")


def extent(item):  # type: ignore[no-untyped-def]
    corners = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
    xs, ys = zip(*corners, strict=True)
    return [round(v / INCH, 6) for v in (min(xs), min(ys), max(xs), max(ys))]


def test_tracks_and_opener_lie_where_door_guides_put_them():
    # Published door guides: side room 3 3/4 in, tracks back by the door's height + 16 in; opener + 3 to 4 ft (memory).
    gear = {item.name: item for item in gear_of(with_door().room, "overhead-door-1")}
    assert extent(gear["Right track"]) == [72 - 3.75, 0, 72, 84 + 16]
    assert extent(gear["Left track"]) == [72 + 96, 0, 72 + 96 + 3.75, 100]
    left, low, right, high = extent(gear["Opener"])
    assert ((left + right) / 2, low) == (72 + 48, 0)
    assert 84 + 36 <= high <= 84 + 48
    assert {item.kind for item in gear.values()} == {"track", "opener"}
    for item in gear.values():
        assert item.drop == pytest.approx(2 * FOOT)  # from the 9 ft ceiling down to the head at 7 ft


@pytest.mark.parametrize("wall", [0, 1, 2, 3])
def test_gear_lies_inside_of_every_wall(wall):
    plan = with_door(wall, 4 * FOOT)
    for item in gear_of(plan.room, "overhead-door-1"):
        left, low, right, high = extent(item)
        assert left >= -1e-6
        assert low >= -1e-6
        assert right <= 240 + 1e-6
        assert high <= 192 + 1e-6


def test_gear_follows_the_door_along_and_with_its_wall():
    plan = with_door()
    before = gear_of(plan.room, "overhead-door-1")
    slid = moved(plan, ["overhead-door-1"], FOOT, FOOT)
    for old, new in zip(before, gear_of(slid.room, "overhead-door-1"), strict=True):
        assert (new.x - old.x, new.y - old.y) == pytest.approx((FOOT, 0.0))
        assert new.id == old.id
    shifted = with_wall_shifted(plan, 0, 2 * FOOT)
    for old, new in zip(before, gear_of(shifted.room, "overhead-door-1"), strict=True):
        assert new.y - old.y == pytest.approx(-2 * FOOT)
    taller = changed(plan, ["overhead-door-1"], height=8 * FOOT)
    assert {round(item.drop / FOOT, 6) for item in gear_of(taller.room, "overhead-door-1")} == {1.0}
    assert gear_of(with_wall_shifted(shifted, 0, -2 * FOOT).room, "overhead-door-1") == before


def test_gear_goes_with_its_door():
    plan = with_door()
    assert removed(plan, ["overhead-door-1"]).room.keep_outs == ()
    triangle = with_outline(plan, ((0.0, 20.0), (5.0, 20.0), (2.0, 25.0)))
    assert triangle.room.openings == ()
    assert triangle.room.keep_outs == ()


def test_gear_that_was_moved_by_itself_stays_where_it_was_put():
    plan = with_door()
    opener = next(item for item in plan.room.keep_outs if item.kind == "opener")
    plan = moved(plan, [opener.id], 0.5, 0.0)
    plan = moved(plan, ["overhead-door-1"], FOOT, 0.0)
    placed = next(item for item in plan.room.keep_outs if item.id == opener.id)
    assert (placed.x, placed.door) == (pytest.approx(opener.x + 0.5), "")
    assert len(gear_of(plan.room, "overhead-door-1")) == 2
    # Asked for again, only what is missing is made.
    assert len(with_door_gear(plan, "overhead-door-1").room.keep_outs) == 4


def test_door_and_gear_moved_together_move_once_and_a_copy_of_gear_is_no_gear():
    plan = with_door()
    ids = ["overhead-door-1", *(item.id for item in plan.room.keep_outs)]
    assert moved(plan, ids, FOOT, 0.0) == moved(plan, ["overhead-door-1"], FOOT, 0.0)
    copied, new_ids = duplicated(plan, [plan.room.keep_outs[0].id], 0.3, 0.3)
    assert next(item for item in copied.room.keep_outs if item.id in new_ids).door == ""
    assert what_is_not_whole(copied) is None


@pytest.mark.parametrize("with_gear", [True, False])
def test_a_copied_door_has_gear_of_its_own(with_gear):
    plan = with_door()
    first = gear_of(plan.room, "overhead-door-1")
    ids = ["overhead-door-1", *(item.id for item in first if with_gear)]
    copied, new_ids = duplicated(plan, ids, 0.0, 0.0)
    door = next(opening for opening in copied.room.openings if opening.id in new_ids)
    own = gear_of(copied.room, door.id)
    assert [(i.kind, i.name, i.x, i.y) for i in own] == [(i.kind, i.name, i.x, i.y) for i in first]
    assert gear_of(copied.room, "overhead-door-1") == first
    assert len(copied.room.keep_outs) == 2 * len(first)
    assert what_is_not_whole(copied) is None
    away, _ = duplicated(plan, ids, FOOT, 0.0)
    assert [i.x for i in gear_of(away.room, door.id)] == pytest.approx([i.x + FOOT for i in first])
    # What the door has lost, its copy lacks too.
    bare, _ = duplicated(removed(plan, [item.id for item in first]), ["overhead-door-1"], 0.0, 0.0)
    assert bare.room.keep_outs == ()


def test_a_remaining_track_keeps_to_its_own_side():
    plan = with_door()
    right = next(item for item in plan.room.keep_outs if item.name == "Right track")
    left = next(item for item in plan.room.keep_outs if item.name == "Left track")
    plan = moved(removed(plan, [right.id]), ["overhead-door-1"], FOOT, 0.0)
    kept = next(item for item in plan.room.keep_outs if item.id == left.id)
    assert math.isclose(kept.x, left.x + FOOT)


def test_only_overhead_doors_have_gear():
    plan = added(blank_plan("Shop"), Opening("door-1", "door", 0, 1.0, 0.9, 2.0))
    with pytest.raises(KeyError):
        with_door_gear(plan, "door-1")
