"""The integer program against brute force: every subset of a few choices, tried one by one."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.light.engine import LightEngine
from core.plan import Furniture
from core.suggest.answers import suggest
from core.suggest.candidates import Ceiling
from core.suggest.program import Choices, fewest, most_even, reach, rising_bound
from core.suggest.request import Limits, Request
from core.units import FOOT
from tests.core.suggest.rooms import PANEL, bare

LIMITS = Limits()


def by_hand(choices: Choices) -> int | None:
    """Return the fewest fixtures by trying every subset; None where none meets the demands."""
    count = len(choices.weights)
    best = None
    for size in range(count + 1):
        for subset in combinations(range(count), size):
            taken = np.array(subset, dtype=int)
            if any(np.isin(clique, taken).sum() > 1 for clique in choices.cliques):
                continue
            if (choices.left[:, taken].sum(axis=1) >= choices.right - 1e-9).all():
                weight = int(choices.weights[taken].sum())
                best = weight if best is None else min(best, weight)
    return best


@given(seed=st.integers(0, 10_000), asked=st.floats(0.2, 3.0))
@settings(max_examples=40, deadline=None)
def test_nothing_beats_the_program(seed, asked):
    rng = np.random.default_rng(seed)
    left = rng.random((6, 8))
    cliques = [np.array([0, 1, 2]), np.array([4, 5])]
    choices = Choices(left, np.full(6, asked), rng.integers(1, 4, 8), cliques)
    outcome, best = fewest(choices, LIMITS), by_hand(choices)
    assert fewest(choices, LIMITS, only_bound=True).bound <= (np.inf if best is None else best)
    if best is None:
        assert outcome.is_impossible
        assert outcome.chosen is None
    else:
        assert outcome.value == best
        assert outcome.bound <= best
        assert (left[:, outcome.chosen].sum(axis=1) >= asked - 1e-6).all()


@given(seed=st.integers(0, 10_000), asked=st.floats(0.2, 3.0), at_most=st.integers(1, 12))
@settings(max_examples=40, deadline=None)
def test_the_rising_bound_is_the_fewest_or_says_that_so_many_will_not_do(seed, asked, at_most):
    rng = np.random.default_rng(seed)
    cliques = [np.array([0, 1, 2]), np.array([4, 5])]
    choices = Choices(rng.random((6, 8)), np.full(6, asked), rng.integers(1, 4, 8), cliques)
    outcome, best = rising_bound(choices, LIMITS, at_most), by_hand(choices)
    if best is None or best > at_most:
        assert outcome.is_impossible
        return
    assert not outcome.is_impossible
    assert outcome.bound == best
    assert rising_bound(choices, LIMITS, at_most, asks=1).bound <= best
    assert rising_bound(choices, LIMITS, at_most, known=best).bound == best
    assert rising_bound(choices, replace(LIMITS, nodes=1), at_most).bound <= best


def test_an_exact_number_gets_the_largest_share():
    rng = np.random.default_rng(3)
    left = rng.random((5, 7))
    choices = Choices(left, np.ones(5), np.ones(7, dtype=int), [])
    best = max(left[:, list(s)].sum(axis=1).min() for s in combinations(range(7), 3))
    outcome = most_even(choices, LIMITS, 3)
    assert outcome.value == pytest.approx(best)
    assert len(outcome.chosen) == 3
    assert reach(choices, LIMITS, 3).share >= best


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_many_demands_are_taken_up_as_needed(seed):
    """More demands than the program begins with: the answer meets every one, and nothing beats it."""
    rng = np.random.default_rng(seed)
    left = rng.random((80, 9))
    choices = Choices(left, np.full(80, 1.5), np.ones(9, dtype=int), [])
    outcome, best = fewest(choices, LIMITS), by_hand(choices)
    assert outcome.is_impossible == (best is None)
    if best is not None:
        assert outcome.value == best == outcome.bound
        assert (left[:, outcome.chosen].sum(axis=1) >= 1.5 - 1e-6).all()


@pytest.fixture(scope="module")
def nine_places():
    """3 x 3 places of a 12 x 10 ft room with a cabinet in it: the engine, and the full light of each place alone."""
    cabinet = Furniture("high", "cabinet", "Cabinet", x=1.2, y=1.0, width=0.6, depth=0.5, bottom=0.0, top=1.9)
    plan = bare(furniture=(cabinet,))
    engine = LightEngine(step=0.3)
    ceiling = Ceiling.of(plan, PANEL, Request(minimum=1.0))
    fixtures = [replace(f, id=f"place-{k}") for k, f in enumerate(ceiling.fixtures(ceiling.grid(4 * FOOT)))]
    full = engine.solve(replace(plan, fixtures=tuple(fixtures)))
    return plan, engine, full.responses[full.counted[full.inside]]


@pytest.mark.parametrize("count", [2, 3, 4])
def test_the_bound_holds_in_a_small_room(nine_places, count):
    """Asked for is the very best that any of the layouts of so many has, in full light: the bound must allow them."""
    plan, engine, full = nine_places
    assert full.shape[1] == 9
    best = max(full[:, list(some)].sum(axis=1).min() for some in combinations(range(9), count))
    result = suggest(plan, Request(minimum=float(best) * (1.0 - 1e-6), step=4 * FOOT), engine)
    assert result.bound is not None
    assert result.bound <= count
    assert result.answers[0].count >= result.bound
    assert not result.in_the_way
    # A little less than what one fixture fewer could reach at the best needs that many at the least.
    fewer = max(full[:, list(some)].sum(axis=1).min() for some in combinations(range(9), count - 1))
    if fewer < 0.9 * best:
        assert result.bound == count
