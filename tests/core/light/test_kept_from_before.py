"""What a drag asks for again in every frame is kept while it stays the same, and only then."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.light.keys import room_key
from core.light.sources import source_of, sources_of
from core.plan import Plan
from tests.core.light.rooms import box, hang, rectangle, room_of, strip


@pytest.fixture
def plan() -> Plan:
    bare = room_of(rectangle(5.0, 4.0), 2.6, 0.8, 0.6, 0.3)
    bench = box("bench", 1.2, 0.5, 1.8, 0.7, 0.0, 0.9, 0.4, kind="bench")
    lamps = [(strip(1.2, 0.1, 4000.0), x, 2.0, 2.5, 0.0) for x in (1.0, 2.5, 4.0)]
    return hang(replace(bare, furniture=(bench,)), *lamps)


def test_fixtures_that_stay_keep_their_sources(plan: Plan) -> None:
    before = sources_of(plan)
    moved = replace(plan, fixtures=(replace(plan.fixtures[0], x=1.3), *plan.fixtures[1:]))
    after = sources_of(moved)
    assert after[0] == source_of(moved, moved.fixtures[0])
    assert after[0] != before[0]
    assert all(one is other for one, other in zip(before[1:], after[1:], strict=True))


def test_fixtures_in_another_order_keep_theirs(plan: Plan) -> None:
    sources_of(plan)
    turned = replace(plan, fixtures=plan.fixtures[::-1])
    assert sources_of(turned) == tuple(source_of(turned, fixture) for fixture in turned.fixtures)


def test_another_model_or_ceiling_makes_all_sources_anew(plan: Plan) -> None:
    sources_of(plan)
    brighter = replace(
        plan, models=tuple(replace(m, settings=(replace(m.settings[0], lumens=9.0),)) for m in plan.models)
    )
    assert {source.lumens for source in sources_of(brighter)} == {9.0}
    sources_of(plan)
    on_drops = replace(plan, fixtures=tuple(replace(fixture, height=None) for fixture in plan.fixtures))
    sources_of(on_drops)
    lower = replace(on_drops, room=replace(plan.room, height=2.3))
    assert sources_of(lower) == tuple(source_of(lower, fixture) for fixture in lower.fixtures)
    assert sources_of(lower) != sources_of(on_drops)


def test_the_room_s_key_is_the_same_one_while_the_room_is(plan: Plan) -> None:
    key = room_key(plan)
    assert room_key(replace(plan, fixtures=plan.fixtures[:1])) is key


def test_whatever_the_light_depends_on_makes_another_key(plan: Plan) -> None:
    key = room_key(plan)
    changes = (
        replace(plan, furniture=()),
        replace(plan, work_plane=plan.work_plane + 0.1),
        replace(plan, room=replace(plan.room, height=2.7)),
        replace(plan, targets=replace(plan.targets, wall_band=plan.targets.wall_band + 0.1)),
    )
    for changed in changes:
        assert room_key(changed) != key
        assert room_key(plan) == key
    assert room_key(plan, ()) == key
