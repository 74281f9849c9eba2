"""Somebody marks the ceiling from the printed sheet: every point ends within 1/8 in of where it was planned.

The simulated tape knows nothing of the program: it reads the printed text, marks each distance to the nearest 1/16 in
at two places along the wall, snaps a line through the two marks, and crosses it with the line of the other wall. The
bound of 1/8 in for walls that meet at 45 to 135 degrees is the user's; the pure rounding gives at most 1/32 in divided
by sin(22.5 degrees) = 0.082 in.
"""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from core.ceiling import WallPairError, ceiling_sheet, chalk_lines, pair_problem
from core.plan.ceiling import Feeding
from core.units import FOOT, INCH
from tests.core.ceiling.rooms import model, plan_of


def read_tape(text: str) -> float:
    """Return the inches of a text such as `12' 6 1/2"`, written anew and not with the program's own reader."""
    found = re.fullmatch(r"(?:(\d+)')? ?(?:(\d+)(?: (\d+)/(\d+))?\"|(\d+)/(\d+)\")?( behind the wall)?", text)
    assert found, text
    feet, inches, above, below, only_above, only_below, behind = found.groups()
    total = 12 * int(feet or 0) + int(inches or 0)
    if above:
        total += int(above) / int(below)
    if only_above:
        total += int(only_above) / int(only_below)
    return -total if behind else total


def chalked(wall: tuple[np.ndarray, np.ndarray], inches: float) -> tuple[np.ndarray, np.ndarray]:
    """Return two marks square off a wall, each rounded to 1/16 in; the room lies to the left."""
    a, b = wall
    way = (b - a) / np.hypot(*(b - a))
    square = np.array([-way[1], way[0]])
    mark = round(inches * 16) / 16 * INCH
    return a + mark * square, b + mark * square


def crossing(one: tuple[np.ndarray, np.ndarray], other: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    ways = np.column_stack([one[1] - one[0], other[0] - other[1]])
    share = np.linalg.solve(ways, other[0] - one[0])[0]
    return one[0] + share * (one[1] - one[0])


@st.composite
def corners_with_boxes(draw: st.DrawFn):
    """A four-cornered room whose first corner opens by 45 to 135 degrees, turned any way, with boxes inside."""
    angle = math.radians(draw(st.floats(45.0, 135.0)))
    turn = math.radians(draw(st.floats(0.0, 360.0)))
    width, depth = draw(st.floats(8.0, 60.0)), draw(st.floats(8.0, 60.0))
    u = np.array([math.cos(turn), math.sin(turn)])
    v = np.array([math.cos(turn + angle), math.sin(turn + angle)])
    origin = np.array([draw(st.floats(-50.0, 50.0)), draw(st.floats(-50.0, 50.0))])
    outline = [origin, origin + width * u, origin + width * u + depth * v, origin + depth * v]
    shares = draw(st.lists(st.tuples(st.floats(0.05, 0.95), st.floats(0.05, 0.95)), min_size=1, max_size=12))
    boxes = [origin + s * width * u + t * depth * v for s, t in shares]
    return [tuple(map(float, c)) for c in outline], [tuple(map(float, b)) for b in boxes]


@settings(max_examples=150, deadline=None)
@given(corners_with_boxes(), st.booleans())
def test_every_mark_is_within_an_eighth(room, swapped: bool) -> None:
    outline, boxes = room
    walls = (0, 3) if swapped else (3, 0)
    plan = plan_of(outline, boxes)
    sheet = ceiling_sheet(plan, walls)
    corners = [np.array(c) * FOOT for c in outline]
    ends = {w: (corners[w], corners[(w + 1) % 4]) for w in walls}
    assert len(sheet.rows) == len(boxes)
    placed = {}
    for row in sheet.rows:
        lines = [
            chalked(ends[w], read_tape(sheet.tape(d))) for w, d in zip(walls, (row.from_a, row.from_b), strict=True)
        ]
        placed[row.mark] = crossing(*lines)
        fixture = plan.fixture(row.point.fixture.id)
        assert math.dist(placed[row.mark], (fixture.x, fixture.y)) <= INCH / 8
    # The distances that check the marks agree with the marks, within the rounding of the printed distance.
    for row in sheet.rows:
        for mark, printed in ((row.next_mark, row.to_next), (row.partner, row.to_partner)):
            if mark is not None:
                measured = math.dist(placed[row.mark], placed[mark]) / INCH
                assert abs(measured - read_tape(sheet.tape(printed))) <= 1 / 32 + 1e-6


@st.composite
def rooms_with_notches(draw: st.DrawFn):
    """An L or U of uneven walls with boxes in its front part, and any two walls that meet at 45 to 135 degrees."""
    wide, deep = draw(st.floats(16.0, 50.0)), draw(st.floats(14.0, 40.0))

    def off() -> float:
        return draw(st.floats(-1.5, 1.5))

    front = deep * 0.45
    if draw(st.booleans()):
        right = wide * draw(st.floats(0.4, 0.7))
        outline = [
            (0, 0),
            (wide, off()),
            (wide + off(), front),
            (right + off(), front + off()),
            (right, deep),
            (0, deep),
        ]
    else:
        one, two = wide * 0.3, wide * 0.7
        back = [(wide, deep), (two + off(), deep + off()), (two, front + 2), (one + off(), front + 3), (one, deep)]
        outline = [(off(), 0), (wide + off(), off()), *back, (off(), deep)]
    shares = draw(st.lists(st.tuples(st.floats(0.15, 0.85), st.floats(0.35, 0.9)), min_size=1, max_size=8))
    boxes = [(s * wide, t * front) for s, t in shares]
    corners = [(float(x), float(y)) for x, y in outline]
    metres = [(x * FOOT, y * FOOT) for x, y in corners]
    pairs = [(a, b) for a in range(len(corners)) for b in range(len(corners)) if pair_problem(metres, a, b) is None]
    return corners, boxes, draw(st.sampled_from(pairs))


@settings(max_examples=100, deadline=None)
@given(rooms_with_notches())
def test_every_mark_is_within_an_eighth_in_rooms_with_notches_and_from_walls_far_apart(room) -> None:
    outline, boxes, walls = room
    plan = plan_of(outline, boxes)
    sheet = ceiling_sheet(plan, walls)
    corners = [np.array(c) * FOOT for c in outline]
    for row in sheet.rows:
        lines = [
            chalked((corners[w], corners[(w + 1) % len(corners)]), read_tape(sheet.tape(d)))
            for w, d in zip(walls, (row.from_a, row.from_b), strict=True)
        ]
        fixture = plan.fixture(row.point.fixture.id)
        assert math.dist(crossing(*lines), (fixture.x, fixture.y)) <= INCH / 8
        # A check is only asked for where a tape can be held straight between the two marks.
        for mark in (row.next_mark, row.partner):
            if mark is not None:
                line = shapely.LineString((row.place, sheet.row(mark).place))
                assert shapely.Polygon(corners).buffer(1e-6).covers(line)


@settings(max_examples=60, deadline=None)
@given(st.floats(1.0, 179.0))
def test_flatter_pairs_are_refused_with_the_reason(degrees: float) -> None:
    turn = math.radians(degrees)
    over, up = 20 * math.cos(turn), 20 * math.sin(turn)
    outline = [(0.0, 0.0), (20.0, 0.0), (20.0 + over, up), (over, up)]
    plan = plan_of(outline, [(1.0, 0.5)])
    if degrees < 44.999 or degrees > 135.001:
        assert "choose two walls" in (pair_problem(plan.room.outline, 0, 3) or "").lower()
        with pytest.raises(WallPairError):
            ceiling_sheet(plan, (0, 3))
    elif 45.001 < degrees < 134.999:
        assert pair_problem(plan.room.outline, 0, 3) is None


def test_walls_side_by_side_and_walls_that_are_gone_are_refused() -> None:
    plan = plan_of([(0, 0), (20, 0), (20, 10), (0, 10)], [(5, 5)])
    assert "side by side" in (pair_problem(plan.room.outline, 0, 2) or "")
    assert "no longer there" in (pair_problem(plan.room.outline, 0, 7) or "")
    assert "two different walls" in (pair_problem(plan.room.outline, 1, 1) or "")


def test_a_feed_off_the_middle_turns_with_the_body() -> None:
    # Feed 20 in from the middle along the body; turned by a quarter it lies 20 in further from the front wall.
    made = model(feeding=Feeding("ceiling box", x=20 * INCH))
    sheet = ceiling_sheet(plan_of([(0, 0), (20, 0), (20, 10), (0, 10)], [(5, 5)], made=made, rotation=90.0), (0, 3))
    row = sheet.rows[0]
    assert (read_tape(sheet.tape(row.from_a)), read_tape(sheet.tape(row.from_b))) == (80.0, 60.0)


@settings(max_examples=40, deadline=None)
@given(st.floats(46.0, 134.0), st.floats(0.1, 0.8), st.floats(0.1, 0.4))
def test_taping_along_a_chalk_line_finds_the_boxes_too(degrees: float, share: float, gap: float) -> None:
    turn = math.radians(degrees)
    over, up = 20 * math.cos(turn), 20 * math.sin(turn)
    outline = [(0.0, 0.0), (30.0, 0.0), (30.0 + over, up), (over, up)]
    # Two boxes on one line along the front wall, half way up the leaning left wall.
    start = over / 2
    boxes = [(start + 30 * share * 0.7, up / 2), (start + 30 * share * 0.7 + 30 * gap * 0.5, up / 2)]
    sheet = ceiling_sheet(plan_of(outline, boxes), (0, 3))
    (line,) = (line for line in chalk_lines(sheet) if line.along == "A")
    for mark, running in line.stops:
        # On the line, so far from the left wall as the tape along it says.
        across = read_tape(sheet.tape(line.distance)) * INCH
        along = across / math.tan(turn) + read_tape(sheet.tape(running)) * INCH
        fixture = sheet.row(mark).point.fixture
        assert math.dist((along, across), (fixture.x, fixture.y)) <= INCH / 8
