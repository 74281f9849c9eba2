"""Snapping as a pure function: what wins, how far it pulls, and that it says why."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.canvas.candidates import for_new_corner, for_thing
from app.canvas.snapping import FREE, GRID_WORDS, TOLERANCE_PX, Candidates, Line, Place, snap
from core.units import FOOT, INCH, UnitSystem
from tests.app.canvas import shops

coordinates = st.floats(-20.0, 20.0)
points = st.tuples(coordinates, coordinates)
scales = st.floats(10.0, 1000.0)
places = st.builds(Place, points, st.just("corner"))
angles = st.floats(0.0, 180.0).map(math.radians)
lines = st.builds(Line, points, angles.map(lambda a: (math.cos(a), math.sin(a))), st.just("wall"), st.integers(0, 5))
candidates = st.builds(
    Candidates,
    st.lists(places, max_size=4).map(tuple),
    st.lists(lines, max_size=4).map(tuple),
    st.sampled_from([None, 0.0254, 0.3048, 0.5]),
)


@given(points, candidates, scales)
def test_no_coordinate_is_pulled_farther_than_the_tolerance(point, candidates, scale) -> None:  # type: ignore[no-untyped-def]
    pulled = snap(point, candidates, scale).point
    reach = TOLERANCE_PX / scale
    # Along a line the grid may add its own pull to that of the line.
    assert max(abs(pulled[0] - point[0]), abs(pulled[1] - point[1])) <= 2 * reach + 1e-9


@given(points, scales)
def test_without_candidates_nothing_is_pulled(point, scale) -> None:  # type: ignore[no-untyped-def]
    found = snap(point, FREE, scale)
    assert found.point == point
    assert found.reasons == found.guides == ()


@given(points, candidates, scales)
def test_a_place_within_reach_wins(point, candidates, scale) -> None:  # type: ignore[no-untyped-def]
    corner = Place(point, "corner", rank=-1)
    near = (point[0] + 3.0 / scale, point[1] - 4.0 / scale)
    found = snap(near, Candidates((*candidates.places, corner), candidates.lines, candidates.grid), scale)
    assert found.point == point
    assert found.reasons == ("corner",)


@given(points, lines, scales)
def test_a_point_near_a_line_comes_to_lie_on_it(point, line, scale) -> None:  # type: ignore[no-untyped-def]
    ux, uy = line.direction
    foot = line.foot(point)
    near = (foot[0] - uy * 5.0 / scale, foot[1] + ux * 5.0 / scale)
    found = snap(near, Candidates(lines=(line,)), scale)
    assert math.dist(found.point, line.foot(found.point)) < 1e-6
    assert found.reasons == ("wall",)
    assert found.guides


@given(points, candidates, scales)
def test_a_reason_is_named_whenever_a_point_is_pulled(point, candidates, scale) -> None:  # type: ignore[no-untyped-def]
    found = snap(point, candidates, scale)
    if found.point != point:
        assert found.reasons


def test_two_lines_within_reach_meet_in_their_crossing() -> None:
    across = Line((0.0, 1.0), (1.0, 0.0), "level with the bench")
    up = Line((2.0, 0.0), (0.0, 1.0), "in line with a strip")
    found = snap((2.03, 1.04), Candidates(lines=(across, up)), 100.0)
    assert found.point == pytest.approx((2.0, 1.0))
    assert set(found.reasons) == {across.words, up.words}


def test_a_level_line_leaves_the_other_coordinate_to_the_grid() -> None:
    across = Line((0.0, 1.0), (1.0, 0.0), "square")
    found = snap((2.04, 1.04), Candidates(lines=(across,), grid=0.5), 100.0)
    assert found.point == (2.0, 1.0)
    assert found.told == "square"


def test_the_grid_is_a_reason_that_goes_without_saying() -> None:
    found = snap((2.04, 1.04), Candidates(grid=0.5), 100.0)
    assert found.point == (2.0, 1.0)
    assert found.reasons == (GRID_WORDS,)
    assert found.told == ""


def test_a_bench_stands_flush_against_the_wall() -> None:
    plan = shops.furnished()
    bench = plan.piece("bench-1")
    found = snap((5.0, 14 * FOOT - 1.2 * FOOT), for_thing(plan, {bench.id}, bench, None), 120.0)
    assert found.point[1] == pytest.approx(14 * FOOT - bench.depth / 2)
    assert "against the wall" in found.reasons


def test_a_turned_bench_touches_the_wall_with_its_corner() -> None:
    plan = shops.furnished()
    lathe = plan.piece("machine-2")  # 3.6 x 1.2 ft, turned by 30 degrees
    half_across = (1.8 * math.sin(math.radians(30)) + 0.6 * math.cos(math.radians(30))) * FOOT
    found = snap((15 * FOOT, half_across + 0.02), for_thing(plan, {lathe.id}, lathe, None), 120.0)
    assert found.point[1] == pytest.approx(half_across)


def test_a_fixture_repeats_the_spacing_of_its_row() -> None:
    plan = shops.rectangle(fixtures=(shops.strip("a", 3, 7), shops.strip("b", 8, 7), shops.strip("c", 12, 4)))
    found = snap((13.1 * FOOT, 7.1 * FOOT), for_thing(plan, {"c"}, plan.fixture("c"), INCH), 100.0)
    assert found.point == pytest.approx((13 * FOOT, 7 * FOOT))
    assert found.told == "equal spacing"
    assert len(found.guides) == 2


def test_a_fixture_finds_the_middle_of_the_room_and_its_neighbours_line() -> None:
    plan = shops.rectangle(fixtures=(shops.strip("a", 3, 3), shops.strip("b", 8, 9)))
    found = snap((10.05 * FOOT, 3.05 * FOOT), for_thing(plan, {"b"}, plan.fixture("b"), None), 100.0)
    assert found.point == pytest.approx((10 * FOOT, 3 * FOOT))
    assert set(found.reasons) == {"middle of the room", "in line with 4 ft strip"}


def test_what_is_moved_is_no_candidate_for_itself() -> None:
    plan = shops.rectangle(fixtures=(shops.strip("a", 3.3, 3.3), shops.strip("b", 8, 9)))
    gathered = for_thing(plan, {"a", "b"}, plan.fixture("a"), None)
    assert not any("4 ft strip" in line.words for line in gathered.lines)


def test_the_next_corner_is_square_and_the_first_one_closes() -> None:
    drawn = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)]
    square = snap((0.03, 2.96), for_new_corner(drawn, None), 100.0)
    assert square.point == pytest.approx((0.0, 3.0))
    closing = snap((0.05, -0.04), for_new_corner(drawn, None), 100.0)
    assert closing.point == (0.0, 0.0)
    assert closing.told == "closes the room"


def test_square_to_a_slanted_wall() -> None:
    drawn = [(0.0, 0.0), (3.0, 3.0)]
    found = snap((2.02, 4.03), for_new_corner(drawn, None), 100.0)
    assert "square to the wall before" in found.reasons
    (ax, ay), (bx, by) = (3.0, 3.0), (found.point[0] - 3.0, found.point[1] - 3.0)
    assert ax * bx + ay * by == pytest.approx(0.0, abs=1e-9)


def test_a_fixture_keeps_a_round_distance_from_the_wall_in_the_unit_in_use() -> None:
    plan = shops.rectangle(fixtures=(shops.strip("a", 5, 5),))
    for units, distance, words in (
        (UnitSystem.US, 2 * FOOT, "2' off the wall"),
        (UnitSystem.METRIC, 0.6, "600 mm off the wall"),
    ):
        found = snap((1.234, distance + 0.02), for_thing(plan, {"a"}, plan.fixture("a"), None, units), 100.0)
        assert found.point[1] == pytest.approx(distance)
        assert found.told == words
