"""Edits make another plan: they can be undone, keep ids apart, and nothing refers to what is gone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.plan import (
    Combination,
    Finish,
    Fixture,
    Furniture,
    Group,
    Level,
    Model,
    Opening,
    Plan,
    PowerSetting,
    Room,
    edits,
)
from tests.core.plan.strategies import PLACES, plans

FEW = settings(max_examples=40)
WHITE = Finish("white paint", 0.8)
ROOM = Room(((0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)), 2.7, WHITE, WHITE, WHITE)
STRIP = Model(
    "strip-4",
    "4 ft strip",
    "strip",
    1.2,
    0.1,
    0.08,
    "rectangle",
    1.2,
    0.08,
    (PowerSetting(35, 4400), PowerSetting(50, 6000)),
    (3000, 4000, 5000),
)
LAMP = replace(STRIP, id="lamp", name="Bench lamp", kind="task lamp", mounting="bench", colours=(3000,))
PLAN = Plan("Shop", ROOM, models=(STRIP,))


def everything(plan):
    room = plan.room
    return [*plan.fixtures, *plan.furniture, *plan.models, *room.openings, *room.keep_outs, *room.joists]


def placed_ids(plan):
    return [thing.id for thing in [*plan.fixtures, *plan.furniture, *plan.room.keep_outs]]


def assert_whole(plan):
    """Ids are unique, and every reference leads somewhere."""
    ids = [thing.id for thing in everything(plan)]
    assert len(ids) == len(set(ids))
    assert {f.model for f in plan.fixtures} <= {m.id for m in plan.models}
    assert {f.group for f in plan.fixtures} <= {g.letter for g in plan.groups}
    assert len({g.letter for g in plan.groups}) == len(plan.groups)
    assert all(0 <= o.wall < len(plan.room.outline) for o in plan.room.openings)


@given(plans(), PLACES, PLACES, st.data())
@FEW
def test_moved_there_and_back_is_equal(plan, dx, dy, data):
    ids = data.draw(st.lists(st.sampled_from(placed_ids(plan) or ["none"]), unique=True))
    there = edits.moved(plan, ids, dx, dy)
    assert edits.moved(there, ids, -dx, -dy) == plan
    if (dx or dy) and set(ids) & set(placed_ids(plan)):
        assert there != plan


@given(plans(), st.integers(-720, 720), st.data())
@FEW
def test_turned_there_and_back_is_equal(plan, degrees, data):
    ids = data.draw(st.lists(st.sampled_from(placed_ids(plan) or ["none"]), unique=True))
    assert edits.turned(edits.turned(plan, ids, degrees), ids, -degrees) == plan


def test_turned_about_a_point_carries_the_place_along():
    plan, one = edits.hung(PLAN, "strip-4", 2.0, 1.0)
    fixture = edits.turned(plan, [one], 90, about=(1.0, 1.0)).fixture(one)
    assert (fixture.x, fixture.y, fixture.rotation_deg) == (1.0, 2.0, 90.0)
    assert edits.turned(plan, [one], -90).fixture(one).rotation_deg == 270.0


@given(plans(), st.data())
@FEW
def test_every_edit_keeps_ids_apart_and_references_whole(plan, data):
    ids = data.draw(st.lists(st.sampled_from([t.id for t in everything(plan)]), unique=True))
    after, copies = edits.duplicated(plan, ids, 0.1, 0.2)
    assert len(copies) == len(ids)
    assert_whole(after)
    model = data.draw(st.sampled_from(plan.models))
    after, new = edits.hung(after, model.id, 1.0, 1.0, group=data.draw(st.sampled_from(["A", "Z"])))
    assert new in placed_ids(after)
    assert_whole(after)
    assert_whole(edits.assigned(after, [*ids, *copies, new], "Q"))
    assert_whole(edits.with_model(after, replace(model, settings=model.settings[:1], colours=(2700,))))
    assert_whole(edits.without_group(after, "A"))
    assert_whole(edits.removed(after, [*ids, *copies]))


@given(plans(), st.data())
@FEW
def test_nothing_refers_to_what_was_removed(plan, data):
    ids = data.draw(st.lists(st.sampled_from([t.id for t in everything(plan)]), unique=True))
    after = edits.removed(plan, ids)
    assert not set(ids) & edits.all_ids(after)
    assert not set(ids) & {fixture.model for fixture in after.fixtures}
    assert_whole(after)
    left = [t for t in everything(plan) if t.id not in ids and getattr(t, "model", None) not in ids]
    assert everything(after) == left


def test_unknown_ids_change_nothing():
    plan, _ = edits.hung(PLAN, "strip-4", 2.0, 1.0)
    gone = ["fixture-99"]
    assert edits.moved(plan, gone, 1, 1) is plan
    assert edits.removed(plan, gone) is plan
    assert edits.turned(plan, gone, 90) is plan
    assert edits.duplicated(plan, gone, 1, 1) == (plan, ())
    assert edits.changed(plan, gone, x=2.0) == plan


def test_unchanged_parts_are_shared():
    plan, one = edits.hung(PLAN, "strip-4", 2.0, 1.0)
    plan, other = edits.hung(plan, "strip-4", 3.0, 1.0)
    after = edits.moved(plan, [one], 0.1, 0.0)
    assert after.room is plan.room
    assert after.models is plan.models
    assert after.fixture(other) is plan.fixture(other)


def test_added_refuses_a_taken_id_and_a_model_that_is_not_there():
    plan, one = edits.hung(PLAN, "strip-4", 2.0, 1.0)
    with pytest.raises(ValueError, match="already"):
        edits.added(plan, Furniture(one, "bench", "Bench", 1, 1, 1, 1, 0.9))
    with pytest.raises(ValueError, match="no fixture model"):
        edits.added(plan, Fixture("fixture-7", "nowhere", 1, 1))


def test_changed_sets_a_field_where_a_thing_has_it():
    plan, one = edits.hung(PLAN, "strip-4", 2.0, 1.0)
    plan = edits.added(plan, Furniture("bench-1", "bench", "Bench", 1, 1, 1, 1, 0.9))
    after = edits.changed(plan, [one, "bench-1"], rotation_deg=30.0, top=1.0)
    assert after.fixture(one).rotation_deg == after.piece("bench-1").rotation_deg == 30.0
    assert after.piece("bench-1").top == 1.0
    with pytest.raises(ValueError, match="colour"):
        edits.changed(plan, ["bench-1"], colour=3000)
    with pytest.raises(ValueError, match="id"):
        edits.changed(plan, ["bench-1"], id="x")
    assert [g.letter for g in edits.changed(plan, [one], group="C").groups] == ["A", "C"]


def test_changed_keeps_settings_colours_and_openings_within_bounds():
    plan, one = edits.hung(edits.added(PLAN, LAMP), "strip-4", 2.0, 1.0, setting=1, colour=5000)
    other = edits.changed(plan, [one], model="lamp").fixture(one)
    assert (other.model, other.setting, other.colour) == ("lamp", 1, 3000)
    fewer = edits.changed(plan, ["strip-4"], settings=STRIP.settings[:1], colours=(3000,)).fixture(one)
    assert (fewer.setting, fewer.colour) == (0, 3000)
    with pytest.raises(KeyError):
        edits.changed(plan, [one], model="nowhere")
    plan = edits.added(plan, Opening("door-1", "door", 0, 1.0, 0.9, 2.0))
    (door,) = edits.changed(plan, ["door-1"], start=9.0).room.openings
    assert door.start == pytest.approx(5.1)


def test_hung_takes_what_suits_the_model():
    plan, one = edits.hung(replace(PLAN, groups=(Group("B", "Benches"),)), "strip-4", 2.0, 1.0, setting=9)
    strip = plan.fixture(one)
    assert (strip.group, strip.colour, strip.setting, strip.drop, strip.height) == ("B", 4000, 1, 0.0, None)
    plan, lamp = edits.hung(plan, LAMP, 1.0, 1.0)
    assert plan.model("lamp") is LAMP
    assert plan.fixture(lamp).height == pytest.approx(0.9144 + 0.4572)
    assert plan.fixture(lamp).colour == 3000
    plan, bay = edits.hung(plan, replace(STRIP, id="bay", mounting="suspended"), 1.0, 1.0)
    assert plan.fixture(bay).drop == pytest.approx(0.3048)
    with pytest.raises(KeyError):
        edits.hung(PLAN, "nowhere", 1, 1)


def test_with_model_fits_the_fixtures_that_hang_already():
    plan, one = edits.hung(PLAN, "strip-4", 2.0, 1.0, setting=1, colour=5000)
    after = edits.with_model(plan, replace(STRIP, settings=STRIP.settings[:1], colours=(3000,)))
    assert (after.fixture(one).setting, after.fixture(one).colour) == (0, 3000)


def test_groups_and_combinations():
    plan, one = edits.hung(PLAN, "strip-4", 2.0, 1.0)
    plan = edits.assigned(plan, [one], "C")
    assert [g.letter for g in plan.groups] == ["A", "C"]
    plan = edits.with_combination(plan, Combination("Sweep up", (Level("A", 1.0), Level("C", 0.5))))
    plan = edits.with_combination(plan, Combination("Sweep up", (Level("C", 0.4), Level("A", 1.0))))
    assert [c.name for c in plan.combinations] == ["Sweep up"]
    after = edits.without_group(plan, "C")
    assert after.fixture(one).group == "A"
    assert after.combinations[0].shares() == {"A": 1.0}
    with pytest.raises(ValueError, match="last switch"):
        edits.without_group(after, "A")
    assert edits.without_combination(plan, "Sweep up").combinations == ()
