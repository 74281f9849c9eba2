"""A reduced combination: with only some switches on so much is left, and what cannot be is said with the amount."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.light.engine import LightEngine
from core.suggest.answer import with_answer
from core.suggest.answers import suggest
from core.suggest.grouping import brightest_on
from core.suggest.request import Request, RequestError
from core.units import LUX_PER_FC
from tests.core.suggest.rooms import bare

FC = LUX_PER_FC


@pytest.fixture(scope="module")
def engine():
    """Keeps the room of this module."""
    return LightEngine(step=0.3)


def left_with(engine, plan, answer, letters):
    """Return the average of a fresh full solution of the plan with the answer, only some switches on [lx]."""
    lighting = engine.solve(with_answer(plan, answer))
    return lighting.field({group: float(group in letters) for group in lighting.groups}).room.average


def test_what_is_left_with_one_switch_holds_and_costs_fixtures(engine):
    plan = bare()
    asked = Request(average=40 * FC, groups=2, arrangement="rows")
    plain = suggest(plan, asked, engine).answers[0]
    half = Request(average=40 * FC, groups=2, arrangement="rows", reduced_average=35 * FC, reduced_on=1)
    result = suggest(plan, half, engine)
    first = result.answers[0]
    assert first.is_met
    assert first.reduced == ("A",)
    assert first.count > plain.count
    assert result.bound <= first.count
    for answer in result.answers:
        found = left_with(engine, plan, answer, ("A",))
        assert found == pytest.approx(answer.recomputed.reduced, rel=1e-5)
        assert found >= answer.promised.reduced >= 35 * FC


def test_certain_switches_are_the_brightest(engine):
    plan = bare()
    request = Request(count=5, groups=2, reduced_average=1.0 * FC, reduced_switches=("B",))
    for answer in suggest(plan, request, engine).answers:
        assert answer.reduced == ("B",)
        assert left_with(engine, plan, answer, "B") >= left_with(engine, plan, answer, "A") * (1 - 1e-3)


def test_what_is_not_left_is_said_with_the_amount(engine):
    plan = bare()
    request = Request(average=40 * FC, at_most=4, groups=2, arrangement="rows", reduced_average=300 * FC, reduced_on=1)
    result = suggest(plan, request, engine)
    part = next(part for part in result.in_the_way if part.what == "reduced average")
    assert part.wanted == pytest.approx(300 * FC)
    assert 0.0 < part.reached < part.wanted
    assert result.answers
    assert not any(answer.is_met for answer in result.answers)


def test_switches_that_are_not_there_are_refused():
    plan = bare()
    for request, said in (
        (Request(average=40 * FC, reduced_average=20 * FC), "which switches"),
        (Request(average=40 * FC, groups=2, reduced_average=20 * FC, reduced_on=3), "2 switches"),
        (Request(average=40 * FC, groups=2, reduced_average=20 * FC, reduced_switches=("Q",)), "no switch 'Q'"),
    ):
        with pytest.raises(RequestError, match=said):
            request.check(plan)


@given(
    st.lists(st.tuples(st.sampled_from("ABC"), st.floats(0.0, 100.0)), min_size=1, max_size=12), st.sampled_from("ABC")
)
def test_exchanged_letters_keep_the_sharing_out(parts, on):
    owners, light = [letter for letter, _ in parts], np.array([value for _, value in parts])
    made = brightest_on(owners, light, (on,))
    for one in range(len(owners)):
        for other in range(len(owners)):
            assert (owners[one] == owners[other]) == (made[one] == made[other])
    totals = {letter: sum(v for m, v in zip(made, light, strict=True) if m == letter) for letter in "ABC"}
    assert totals[on] == pytest.approx(max(totals.values()), abs=1e-5)
