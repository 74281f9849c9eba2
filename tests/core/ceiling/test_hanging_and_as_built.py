"""Hanging alone and entering what was cut: counts and lengths by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.ceiling import (
    as_built_plan,
    ceiling_sheet,
    deviations,
    hanging_steps,
    ladder_stops,
    taken_into_plan,
    with_as_built,
)
from core.ceiling.feeding import ceiling_points
from core.ceiling.hanging import REACH
from core.plan import Furniture
from core.plan.ceiling import AsBuilt, Feeding
from core.plan.file import plan_from_text, plan_to_text
from core.units import FOOT, INCH
from tests.core.ceiling.rooms import model, plan_of, rectangle

ROOM = rectangle(24, 20)


def test_boxes_within_reach_share_a_stop_of_the_ladder() -> None:
    # Two pairs 4 ft apart (2 ft to either side of the ladder), the pairs 12 ft from each other: two stops.
    sheet = ceiling_sheet(plan_of(ROOM, [(4, 5), (4, 9), (16, 5), (16, 9)]), (0, 3))
    stops = ladder_stops(sheet)
    assert sorted(stop.marks for stop in stops) == [("A1", "A3"), ("A2", "A4")]
    for stop in stops:
        for mark in stop.marks:
            assert math.dist(stop.place, sheet.row(mark).place) <= REACH + 1e-9


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(2.5, 21.5), st.floats(1, 19)), min_size=1, max_size=9))
def test_every_box_is_worked_on_exactly_once(places) -> None:
    sheet = ceiling_sheet(plan_of(ROOM, places), (0, 3))
    marks = [mark for stop in ladder_stops(sheet) for mark in stop.marks]
    assert sorted(marks) == sorted(row.mark for row in sheet.rows)
    assert [step.mark for step in hanging_steps(sheet)] == marks


def test_the_ladder_stands_beside_a_bench_and_the_floor_mark_says_what_is_there() -> None:
    bench = Furniture("b", "bench", "Bench", 6 * FOOT, 5 * FOOT, 6 * FOOT, 2 * FOOT, 0.9)
    plan = replace(plan_of(ROOM, [(6, 5)]), furniture=(bench,))
    (stop,) = ladder_stops(ceiling_sheet(plan, (0, 3)))
    assert stop.blocked_by == "Bench"  # 6 x 2 ft: no free floor 18 in about the box
    (step,) = hanging_steps(ceiling_sheet(plan, (0, 3)))
    assert step.floor_note == "on Bench"
    narrow = replace(plan, furniture=(replace(bench, depth=1 * FOOT),))
    (stop,) = ladder_stops(ceiling_sheet(narrow, (0, 3)))
    assert stop.blocked_by == ""
    assert abs(stop.place[1] - 5 * FOOT) == pytest.approx(18 * INCH)


def test_props_straps_and_when_a_second_person_is_needed() -> None:
    light = model(feeding=Feeding("ceiling box", weight=4.0))
    (step,) = hanging_steps(ceiling_sheet(plan_of(ROOM, [(6, 5)], made=light), (0, 3)))
    assert step.prop_height / INCH == pytest.approx(93.0)  # 96 in less the body's 3 in
    assert step.strap / INCH == pytest.approx(15.0)  # 12 in below the body's underside
    assert step.second_person == ""
    assert len(step.props) == 1
    heavy = replace(light, feeding=Feeding("ceiling box", weight=20.0))
    (step,) = hanging_steps(ceiling_sheet(plan_of(ROOM, [(6, 5)], made=heavy), (0, 3)))
    assert "44 lb" in step.second_person
    long = replace(light, length=96 * INCH)
    (step,) = hanging_steps(ceiling_sheet(plan_of(ROOM, [(6, 5)], made=long), (0, 3)))
    assert [x / FOOT for x, _ in step.props] == pytest.approx([4.0, 8.0])


def test_bodies_end_to_end_are_wired_through_where_listed() -> None:
    strip = model(feeding=Feeding("ceiling box", linked=3))
    row = [(3, 5), (7, 5), (11, 5), (15, 5)]  # 48 in bodies every 4 ft: end to end
    points = ceiling_points(plan_of(ROOM, row, made=strip))
    assert [p.fed_from for p in points] == [None, "f1", "f2", None]  # a fourth is one more than listed
    apart = ceiling_points(plan_of(ROOM, [(3, 5), (7.5, 5)], made=strip))
    assert [p.fed_from for p in apart] == [None, None]
    not_listed = ceiling_points(plan_of(ROOM, row, made=model()))
    assert [p.fed_from for p in not_listed] == [None] * 4


def test_a_box_cut_off_its_mark_moves_the_fixture_and_is_listed() -> None:
    plan = plan_of(ROOM, [(6, 5), (12, 5)])
    sheet = ceiling_sheet(plan, (0, 3))
    cut = with_as_built(plan, AsBuilt("f1", 0, 3, 60.5 * INCH, 72 * INCH - 0.375 * INCH), "f1")
    sheet = ceiling_sheet(cut, (0, 3))
    (off,) = deviations(sheet)
    assert (off.mark, off.fixture) == ("A1", "f1")
    assert (off.off_a / INCH, off.off_b / INCH) == pytest.approx((0.5, -0.375))
    assert off.distance / INCH == pytest.approx(0.625)  # 3-4-5 in eighths
    built = as_built_plan(sheet)
    assert (built.fixture("f1").x / INCH, built.fixture("f1").y / INCH) == pytest.approx((71.625, 60.5))
    assert built.fixture("f2") == plan.fixture("f2")
    taken = taken_into_plan(sheet)
    assert taken.ceiling.as_built == ()
    assert deviations(ceiling_sheet(taken, (0, 3))) == ()


def test_what_was_cut_is_kept_in_the_plan_file_and_taken_back() -> None:
    plan = with_as_built(plan_of(ROOM, [(6, 5)]), AsBuilt("f1", 0, 3, 1.5, 1.8), "f1")
    assert plan_from_text(plan_to_text(plan)) == plan
    assert with_as_built(plan, None, "f1").ceiling.as_built == ()
