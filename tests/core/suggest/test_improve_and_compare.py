"""Nudging keeps rows, limits and gain; a comparison tells the differences."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.light.engine import LightEngine
from core.plan.edits import hung
from core.suggest.answer import figures_of
from core.suggest.compare import compared
from core.suggest.grouping import shared_out
from core.suggest.improve import nudged
from core.units import FOOT, LUX_PER_FC
from tests.core.suggest.rooms import PANEL, bare


@pytest.fixture(scope="module")
def engine():
    """Keeps the rooms of this module."""
    return LightEngine(step=0.3)


def two_by_two(dx: float):
    plan = bare(16.0, 12.0)
    for x in (4.0 + dx, 11.0 + dx):
        for y in (3.0, 9.0):
            plan, _ = hung(plan, PANEL, x * FOOT, y * FOOT)
    return plan


def test_a_nudge_lifts_the_minimum_and_keeps_the_rows(engine):
    plan = two_by_two(-1.0)
    nudge = nudged(plan, FOOT, engine)
    assert nudge.moves
    assert nudge.after.minimum > nudge.before.minimum
    for _, dx, dy in nudge.moves:
        assert max(abs(dx), abs(dy)) <= FOOT + 1e-6
    for axis in ("x", "y"):
        assert len({round(getattr(f, axis), 6) for f in nudge.plan.fixtures}) == 2
    again = figures_of(engine.solve(nudge.plan))
    assert again.minimum == pytest.approx(nudge.after.minimum, rel=1e-5)


def test_nothing_to_nudge_without_fixtures(engine):
    plan = bare(16.0, 12.0)
    assert nudged(plan, engine=engine).moves == ()


def test_a_comparison_marks_what_is_better(engine):
    first, second = two_by_two(0.0), two_by_two(0.5)
    second, _ = hung(second, PANEL, 8 * FOOT, 6 * FOOT)
    lights = [engine.solve(plan) for plan in (first, second)]
    table = compared(first, lights[0], second, lights[1])
    rows = {row.name: row for row in table.rows}
    assert rows["fixtures"].difference == 1
    assert rows["fixtures"].verdict == "worse"
    assert rows["average, room"].verdict == "better"
    one, two = (figures_of(light).average / LUX_PER_FC for light in lights)
    assert rows["average, room"].difference == pytest.approx(two - one)
    assert rows["power"].difference == pytest.approx(40.0)
    assert np.nanmax(np.abs(table.difference)) == pytest.approx(table.largest)
    same = compared(first, lights[0], first, lights[0])
    assert {row.verdict for row in same.rows} <= {"same", ""}


def test_rooms_of_different_size_have_no_difference_map(engine):
    first, second = two_by_two(0.0), replace(two_by_two(0.0), room=bare(20.0, 12.0).room)
    table = compared(first, engine.solve(first), second, engine.solve(second))
    assert table.difference is None


def test_switches_start_from_neighbours_in_turn():
    """Four lamps over a line of points: each of two switches must take one of either half."""
    places = np.array([(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0)])
    points = np.linspace(0.0, 3.0, 13)
    columns = 1.0 / (1.0 + (points[:, None] - places[None, :, 0]) ** 2)
    letters = shared_out(columns, places, ["A", "B"])
    for letter in "AB":
        mine = [k for k in range(4) if letters[k] == letter]
        assert len(mine) == 2
        assert min(mine) < 2 <= max(mine)


@pytest.mark.parametrize(
    ("wanted_fc", "verdict"),
    [(1.0, ""), (500.0, "better")],
    ids=["both have enough light", "neither has"],
)
def test_more_light_than_is_wanted_is_no_better(engine, wanted_fc, verdict):
    plan = bare()
    plan = replace(plan, targets=replace(plan.targets, lux=wanted_fc * LUX_PER_FC))
    one, _ = hung(plan, PANEL, 4 * FOOT, 5 * FOOT)
    two, _ = hung(one, PANEL, 8 * FOOT, 5 * FOOT)
    table = compared(one, engine.solve(one), two, engine.solve(two))
    rows = {row.name: row for row in table.rows}
    assert rows["average, room"].verdict == verdict
    assert rows["minimum, room"].verdict == "better"
