"""The integer program against brute force: every subset of a few choices, tried one by one."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.light.engine import GRID_STEP
from core.light.roomlight import Watch
from core.suggest.program import Choices, fewest, most_even, reach
from core.suggest.request import Limits, Request
from core.suggest.responses import Responses
from core.suggest.search import Search
from core.suggest.trust import Trust
from core.units import FOOT, LUX_PER_FC
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
    if best is None:
        assert outcome.is_impossible
        assert outcome.chosen is None
    else:
        assert outcome.value == best
        assert outcome.bound <= best
        assert (left[:, outcome.chosen].sum(axis=1) >= asked - 1e-6).all()


def test_an_exact_number_gets_the_largest_share():
    rng = np.random.default_rng(3)
    left = rng.random((5, 7))
    choices = Choices(left, np.ones(5), np.ones(7, dtype=int), [])
    best = max(left[:, list(s)].sum(axis=1).min() for s in combinations(range(7), 3))
    outcome = most_even(choices, LIMITS, 3)
    assert outcome.value == pytest.approx(best)
    assert len(outcome.chosen) == 3
    assert reach(choices, LIMITS, 3).share >= best


def test_the_bound_holds_in_a_small_room():
    """3 x 3 places of a 12 x 10 ft room: all 512 layouts, against program and bound."""
    plan = bare()
    request = Request(minimum=30 * LUX_PER_FC, step=4 * FOOT)
    responses = Responses(plan, GRID_STEP, PANEL, Watch())
    search = Search(plan, PANEL, request, responses, Trust(responses.readings))
    choices, _ = search.choices(0.0)
    assert len(choices.weights) == 9
    best = by_hand(choices)
    assert best is not None
    assert fewest(choices, LIMITS).value == best
    assert search.bound(0.02, 9).bound <= best
