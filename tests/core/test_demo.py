"""The demo shops are places where someone could work: nothing overlaps, everybody has room to stand."""

from __future__ import annotations

import json
from importlib.resources import files

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.catalogue import catalogue
from core.demo import demo_names, demo_plan
from core.plan import box_corners, standing_place
from core.plan.file import plan_from_text, plan_to_text
from tests.core.plan.test_file import assert_loads_or_gives_one_line, mutated

NAMES = ("bicycle_garage", "luthier_basement", "metal_wood_barn")
FOOT, INCH = 0.3048, 0.0254
SIZES = {"luthier_basement": (20, 14, 7.5), "bicycle_garage": (20, 22, 9), "metal_wood_barn": (40, 30, 14)}
STANDING_ROOM = 0.6  # a square that a standing person takes up, common practice, no source


def footprint(thing):
    return shapely.Polygon(box_corners(thing.x, thing.y, thing.width, thing.depth, thing.rotation_deg))


def body(plan, fixture):
    model = plan.model(fixture.model)
    return shapely.Polygon(box_corners(fixture.x, fixture.y, model.length, model.width, fixture.rotation_deg))


def holds(whole, part):
    """Whether a value holds all that another one does."""
    if isinstance(part, dict):
        return isinstance(whole, dict) and all(key in whole and holds(whole[key], part[key]) for key in part)
    if isinstance(part, list):
        return len(whole) == len(part) and all(holds(w, p) for w, p in zip(whole, part, strict=True))
    return whole == part


def test_the_demo_shops_are_the_only_json_in_their_folder():
    assert demo_names() == NAMES
    assert {e.name for e in files("demo_rooms").iterdir() if e.name.endswith(".json")} == {f"{n}.json" for n in NAMES}
    with pytest.raises(KeyError):
        demo_plan("velvet_palace")


@pytest.mark.parametrize("name", NAMES)
def test_a_demo_is_written_as_the_program_writes_it_and_says_that_it_is_invented(name):
    plan = demo_plan(name)
    text = (files("demo_rooms") / f"{name}.json").read_text(encoding="utf-8")
    # A field that the plan has got since stands at its default; what is written is in the program's own form.
    assert holds(json.loads(plan_to_text(plan)), json.loads(text))
    assert plan.invented
    assert "invented" in plan.about
    examples = {model.id: model for model in catalogue()}
    assert all(model == examples[model.id] for model in plan.models)


@pytest.mark.parametrize("name", NAMES)
def test_a_demo_has_its_size_and_what_a_shop_has(name):
    plan = demo_plan(name)
    outline = shapely.Polygon(plan.room.outline)
    across, deep, high = SIZES[name]
    assert outline.bounds == pytest.approx((0, 0, across * FOOT, deep * FOOT))
    assert plan.room.height == pytest.approx(high * FOOT)
    assert {piece.kind for piece in plan.furniture} == {"bench", "machine", "cabinet"}
    assert len(plan.groups) >= 3
    assert 3 <= len(plan.combinations) <= 4
    assert {f.group for f in plan.fixtures} == {g.letter for g in plan.groups}
    assert all(bench.worker_side != "nobody" for bench in plan.benches())


@pytest.mark.parametrize("name", NAMES)
def test_everything_stands_in_the_room_and_in_nothing_else(name):
    plan = demo_plan(name)
    room = shapely.Polygon(plan.room.outline).buffer(1e-6)
    for number, piece in enumerate(plan.furniture):
        assert room.contains(footprint(piece)), piece.name
        assert piece.top < plan.room.height
        for other in plan.furniture[number + 1 :]:
            apart = footprint(piece).intersection(footprint(other)).area < 1e-6
            assert apart or piece.top <= other.bottom or other.top <= piece.bottom, (piece.name, other.name)
    for number, fixture in enumerate(plan.fixtures):
        assert room.contains(body(plan, fixture)), fixture.id
        assert not any(body(plan, fixture).intersects(body(plan, other)) for other in plan.fixtures[number + 1 :])


@pytest.mark.parametrize("name", NAMES)
def test_everybody_has_room_to_stand(name):
    plan = demo_plan(name)
    room = shapely.Polygon(plan.room.outline)
    for piece in plan.furniture:
        place = standing_place(piece, plan.worker)
        if place is None:
            continue
        x, y, facing = place
        standing = shapely.Polygon(box_corners(x, y, STANDING_ROOM, STANDING_ROOM, facing))
        assert room.contains(standing), piece.name
        others = [other for other in plan.furniture if other is not piece]
        assert not any(standing.intersects(footprint(other)) for other in others), piece.name


@pytest.mark.parametrize("name", NAMES)
def test_lengths_are_whole_sixteenths_of_an_inch(name):
    plan = demo_plan(name)
    lengths = [v for corner in plan.room.outline for v in corner]
    lengths += [v for piece in plan.furniture for v in (piece.width, piece.depth, piece.top, piece.bottom)]
    lengths += [v for fixture in plan.fixtures for v in (fixture.x, fixture.y, fixture.drop)]
    for length in lengths:
        assert length / INCH * 16 == pytest.approx(round(length / INCH * 16), abs=1e-4)


def test_the_barn_has_one_fixture_in_the_way_of_the_door_track():
    plan = demo_plan("metal_wood_barn")
    hits = []
    for fixture in plan.fixtures:
        hangs = plan.room.height - plan.opening_height(fixture)
        for keep_out in plan.room.keep_outs:
            over = body(plan, fixture).intersects(footprint(keep_out)) and fixture.height is None
            if over and fixture.drop < keep_out.drop <= hangs:
                hits.append((fixture.name, keep_out.kind))
    assert hits == [("High bay by the lathe", "track")]


@pytest.mark.parametrize("name", [n for n in NAMES if n != "metal_wood_barn"])
def test_nothing_hangs_in_the_way_in_the_other_shops(name):
    plan = demo_plan(name)
    for fixture in plan.fixtures:
        for keep_out in plan.room.keep_outs:
            assert fixture.height is not None or not body(plan, fixture).intersects(footprint(keep_out))


@given(st.sampled_from(NAMES), st.data())
@settings(max_examples=100, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_a_damaged_demo_file_loads_or_gives_one_line(name, drawn):
    damaged = json.loads(plan_to_text(demo_plan(name)))
    for _ in range(drawn.draw(st.integers(1, 4))):
        damaged = mutated(drawn.draw, damaged)
    assert_loads_or_gives_one_line(json.dumps(damaged))


def test_a_demo_is_read_once():
    assert demo_plan(NAMES[0]) is demo_plan(NAMES[0])
    assert plan_from_text(plan_to_text(demo_plan(NAMES[0]))) == demo_plan(NAMES[0])
