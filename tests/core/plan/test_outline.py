"""An outline is refused for what makes it no room, and only for that. Shapely is the yardstick."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from core.plan.outline import counter_clockwise, outline_problem, segment_problem, signed_area
from tests.core.plan.strategies import outlines

SQUARE = ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0))
ELL = ((0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (3.0, 2.0), (3.0, 5.0), (0.0, 5.0))
INCH = 0.0254


@pytest.mark.parametrize("outline", [SQUARE, ELL, SQUARE[::-1], (*SQUARE[:1], (2.0, 0.0), *SQUARE[1:])])
def test_a_simple_outline_is_taken(outline):
    assert outline_problem(outline) is None


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        ([(0, 0), (4, 0)], "three corners"),
        ([(0, 0), (4, 0), (0, 3), (4, 3)], "cross"),
        ([(0, 0), (4, 0), (4, 3), (2, 0), (0, 3)], "touch"),
        ([(0, 0), (4, 0), (4, 3), (2, 0.0005), (0, 3)], "touch"),
        ([(0, 0), (4, 0), (2, 0)], "fold back"),
        ([(0, 0), (4, 0), (4, 3), (4, 1), (0, 1)], "fold back"),
        ([(0, 0), (4, 0), (4, 3), (4, 3), (0, 3)], "shorter than 1 in"),
        ([(0, 0), (4, 0), (4, 0.99 * INCH), (0, 0.99 * INCH)], "shorter than 1 in"),
        ([(0, 0), (INCH, 0), (INCH, INCH), (0, INCH)], "almost no floor"),
        ([(0, 0), (float("nan"), 0), (4, 3)], "no proper position"),
        ([(0, 0), (400, 0), (400, 3)], "at most 300 m"),
        ([(0.1 * n, 0.0) for n in range(501)], "501 corners"),
    ],
)
def test_what_is_no_room_is_refused_in_words(outline, words):
    assert words in outline_problem(outline)


def test_a_wall_of_one_inch_is_long_enough():
    assert outline_problem([(0, 0), (4, 0), (4, INCH), (0, INCH)]) is None


@given(st.lists(st.tuples(st.integers(-8, 8), st.integers(-8, 8)), min_size=3, max_size=7))
def test_agrees_with_shapely_on_what_is_a_simple_polygon(corners):
    polygon = shapely.Polygon(corners)
    ring = shapely.LinearRing(corners)
    simple = ring.is_simple and polygon.is_valid and polygon.area > 0.01
    if len(set(corners)) == len(corners):
        assert (outline_problem(corners) is None) == simple


@given(outlines())
def test_counter_clockwise_keeps_the_first_corner_and_the_area(outline):
    backwards = outline[:1] + outline[:0:-1]
    assert counter_clockwise(backwards) == outline
    assert signed_area(counter_clockwise(backwards)) == pytest.approx(shapely.Polygon(outline).area)


def test_drawing_on_is_checked_at_each_corner():
    assert segment_problem([], (1.0, 1.0)) is None
    assert segment_problem([(0, 0)], (4, 0)) is None
    assert "shorter" in segment_problem([(0, 0)], (0.01, 0))
    assert "cross" in segment_problem([(0, 0), (4, 0), (4, 3)], (2, -1))
    assert "touch" in segment_problem([(0, 0), (4, 0), (4, 3)], (2, 0))
    assert "fold back" in segment_problem([(0, 0), (4, 0)], (1, 0))
    assert segment_problem([(0, 0), (4, 0)], (6, 0)) is None


def test_going_back_to_the_first_corner_closes_the_outline():
    assert segment_problem(SQUARE, SQUARE[0]) is None
    assert "cross" in segment_problem([(0, 0), (4, 0), (4, 3), (2, 3), (2, 4), (5, 4), (5, 1), (5, 0.5)], (0, 0))
    assert "fold back" in segment_problem([(0, 0), (4, 0)], (0, 0))


@given(outlines())
def test_an_outline_that_is_taken_can_be_drawn_corner_by_corner(outline):
    for count in range(1, len(outline)):
        assert segment_problem(outline[:count], outline[count]) is None
    assert segment_problem(outline, outline[0]) is None
