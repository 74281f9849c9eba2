"""The least that reaches a demand: never beaten by trying everything; and what the table shows."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.combinations import Wanted, least_combination, least_shares, levels_in_words, table_settings
from core.light.engine import LightEngine
from core.light.roomlight import Cancelled
from core.plan import Combination, Furniture, Group, Level
from core.plan.edits import added, hung
from core.units import FOOT
from tests.core.suggest.rooms import PANEL, STRIP, bare

lux = st.floats(0.0, 2000.0).map(lambda value: round(value, 3))


def tried(rows, need, watts, lowest):
    """Return the fewest watts by trying every setting, infinite where none is enough."""
    ranges = [[0] if low > 1 else [0, *range(round(100 * low), 101)] for low in lowest]
    every = np.array(list(product(*ranges))) / 100.0
    fine = (every @ rows.T >= need * (1 - 1e-9)).all(axis=1)
    return float((every[fine] @ watts).min()) if fine.any() else np.inf


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_no_setting_with_fewer_watts_is_enough(data):
    count = data.draw(st.integers(1, 4))
    points = data.draw(st.integers(1, 4))
    rows = np.array(
        data.draw(st.lists(st.lists(lux, min_size=count, max_size=count), min_size=points, max_size=points))
    )
    watts = np.array(data.draw(st.lists(st.integers(0, 300), min_size=count, max_size=count)), dtype=float)
    low = st.sampled_from([1.0, 1.0, 0.5, 0.75, 0.9])
    lowest = data.draw(st.lists(low, min_size=count, max_size=count))
    if sum(value < 1.0 for value in lowest) > 2:
        lowest = [1.0, 1.0, *lowest[2:]]
    need = data.draw(st.floats(0.1, 1.2)) * max(float(rows.sum(axis=1).min()), 1.0)
    found, best = least_shares(rows, need, watts, lowest), tried(rows, need, watts, lowest)
    if found is None:
        assert best == np.inf
        return
    assert (rows @ found >= need * (1 - 1e-9)).all()
    assert all(share == 0.0 or low - 1e-9 <= share <= 1.0 for share, low in zip(found, lowest, strict=True))
    assert float(found @ watts) == pytest.approx(best, abs=1e-6)


def test_a_demand_that_is_met_to_the_lux_is_met():
    rows, watts = np.array([[100.0, 250.0, 400.0]]), np.array([10.0, 20.0, 50.0])
    assert list(least_shares(rows, 350.0, watts, [1.0, 1.0, 1.0])) == [1.0, 1.0, 0.0]
    assert list(least_shares(rows, 350.1, watts, [1.0, 1.0, 1.0])) == [0.0, 0.0, 1.0]
    assert least_shares(rows, 750.1, watts, [1.0, 1.0, 1.0]) is None


def test_twenty_six_dimmers_are_answered():
    draw = np.random.default_rng(4)
    rows, watts = draw.uniform(0, 100, (60, 26)), draw.uniform(20, 80, 26)
    need = 0.4 * float(rows.sum(axis=1).min())
    shares = least_shares(rows, need, watts, [0.1] * 26)
    assert (rows @ shares >= need * (1 - 1e-9)).all()


@pytest.fixture(scope="module")
def shop():
    bench = Furniture("bench-1", "bench", "Bench", 3 * FOOT, 5 * FOOT, 4 * FOOT, 2 * FOOT, 0.9, 0.85)
    plan = added(replace(bare(), models=(PANEL, STRIP)), bench)
    plan = replace(plan, groups=(Group("A", "a"), Group("B", "b", True, 0.2), Group("C", "c"), Group("D", "none")))
    for model, x, letter in ((PANEL, 3, "A"), (STRIP, 5, "B"), (PANEL, 9, "C")):
        plan, _ = hung(plan, model, x * FOOT, 5 * FOOT, group=letter)
    return plan, LightEngine(step=0.6).solve(plan)


@pytest.mark.parametrize("everywhere", [False, True])
@pytest.mark.parametrize("bench", ["", "bench-1"])
def test_the_answer_of_a_shop_is_enough_and_not_beaten(shop, bench, everywhere):
    plan, lighting = shop
    full = lighting.field(dict.fromkeys("ABCD", 1.0))
    figures = full.benches[bench] if bench else full.room
    most = figures.minimum if everywhere else figures.average
    found = least_combination(plan, lighting, Wanted(0.6 * most, bench, everywhere))
    assert found.is_enough
    assert (found.short, found.levels["D"]) == (0.0, 0.0)
    got = found.field.benches[bench] if bench else found.field.room
    assert (got.minimum if everywhere else got.average) == pytest.approx(found.reached, rel=1e-5)
    assert found.reached >= 0.6 * most * (1 - 1e-9)
    for a, b, c in product((0, 1), (0.0, *np.arange(0.2, 1.001, 0.01)), (0, 1)):
        field = lighting.field({"A": a, "B": float(b), "C": c})
        other = field.benches[bench] if bench else field.room
        if (other.minimum if everywhere else other.average) >= 0.6 * most * (1 + 1e-5):
            assert 40 * a + 20 * b + 40 * c >= found.watts - 1e-6
    assert found.combination("x").shares() == {k: v for k, v in found.levels.items() if v}


def test_what_cannot_be_reached_says_by_how_much(shop):
    plan, lighting = shop
    full = lighting.field(dict.fromkeys("ABCD", 1.0)).benches["bench-1"].average
    found = least_combination(plan, lighting, Wanted(full + 200.0, "bench-1"))
    assert not found.is_enough
    assert set(found.levels.values()) == {1.0}
    assert found.short == pytest.approx(200.0, rel=1e-4)


def test_it_can_be_called_off(shop):
    plan, lighting = shop
    with pytest.raises(Cancelled):
        least_combination(plan, lighting, Wanted(100.0), cancelled=lambda: True)


def test_light_of_another_plan_is_refused(shop):
    plan, lighting = shop
    with pytest.raises(ValueError, match="still being worked out"):
        least_combination(replace(plan, fixtures=plan.fixtures[1:]), lighting, Wanted(1.0))
    with pytest.raises(ValueError, match="no free spot"):
        least_combination(plan, lighting, Wanted(1.0, "bench-9"))


def test_up_to_six_groups_every_setting_is_in_the_table_and_beyond_the_kept_and_asked():
    plan = bare()
    six = replace(plan, groups=tuple(Group(letter, letter) for letter in "ABCDEF"))
    assert len(table_settings(six)) == 64
    assert len({tuple(s.levels.items()) for s in table_settings(six)}) == 64
    seven = replace(
        plan,
        groups=tuple(Group(letter, letter) for letter in "ABCDEFG"),
        combinations=(Combination("Fine work", (Level("A", 1.0),)), Combination("Again", (Level("A", 1.0),))),
    )
    found = table_settings(seven, [{"B": 0.4, "C": 1.0}, {"A": 1.0}])
    assert [(s.name, s.digit) for s in found] == [
        ("All on", 0),
        ("Fine work", 1),
        ("Again", 2),
        ("B at 40 % and C", 0),
    ]


def test_words():
    assert levels_in_words({"A": 1.0}) == "A"
    assert levels_in_words({"A": 0.0, "B": 1.0}) == "B alone"
    assert levels_in_words({"A": 0.0, "B": 0.69}) == "B alone at 69 %"
    assert levels_in_words({"A": 1.0, "B": 0.25, "C": 1.0}) == "A, B at 25 % and C"
    assert levels_in_words({"A": 0.0}) == "All off"
