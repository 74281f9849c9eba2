"""Names within their boxes: never over the edge, whole where there is any way to write them whole."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRectF

from app.canvas.paint.names import arranged, place_of

pytestmark = pytest.mark.usefixtures("qapp")
words = st.lists(st.text(st.characters(codec="latin-1", categories=["L", "N"]), min_size=1, max_size=14), max_size=4)
sides = st.floats(4.0, 300.0)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(words.map(" ".join), sides, sides, st.lists(st.tuples(sides, sides, sides, sides), max_size=3))
def test_a_name_stays_within_its_box(name, width, height, obstacles):
    made = arranged(name, "3' high", width, height)
    if made is None:
        return
    box = QRectF(10.0, 20.0, width, height)
    place = place_of(made, box, [QRectF(*obstacle) for obstacle in obstacles])
    assert box.adjusted(4.0, 3.0, -4.0, -3.0).contains(place)


@pytest.mark.parametrize(
    ("width", "height", "lines", "is_upright"),
    [
        (200.0, 60.0, ("Humidity cabinet",), False),
        (74.0, 80.0, ("Humidity", "cabinet"), False),
        (40.0, 160.0, ("Humidity cabinet",), True),
    ],
)
def test_level_first_then_in_lines_then_up_the_sheet(width, height, lines, is_upright):
    made = arranged("Humidity cabinet", "6' high", width, height)
    assert made is not None
    assert (made.lines, made.is_upright) == (lines, is_upright)


def test_the_second_line_goes_before_the_name_does():
    made = arranged("Jointer", "3' high", 90.0, 24.0)
    assert made is not None
    assert (made.lines, made.detail) == (("Jointer",), "")


def test_a_name_moves_out_from_under_a_fixture():
    box = QRectF(0.0, 0.0, 240.0, 60.0)
    made = arranged("Joiner's bench", "3' high", box.width(), box.height())
    assert made is not None
    strip = QRectF(0.0, 0.0, 140.0, 60.0)
    assert not place_of(made, box, []).intersected(strip).isEmpty()
    assert place_of(made, box, [strip]).intersected(strip).isEmpty()
