"""Choices exchanged one for another: never better than trying every subset, and hardly ever worse."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.suggest.exchange import Exchange
from core.suggest.program import Choices, fewest
from core.suggest.request import Limits
from tests.core.suggest.test_program import by_hand


def spots(seed: int, size: int, rows: int, pairs: bool = False) -> Choices:
    """Return places on a line, each lighting the demands near it, as lamps over a floor do."""
    rng = np.random.default_rng(seed)
    at, floor = np.sort(rng.uniform(0.0, 4.0, size)), np.linspace(0.0, 4.0, rows)
    left = 1.0 / (1.0 + (floor[:, None] - at[None, :]) ** 2) ** 2
    weights = rng.integers(1, 3, size) if pairs else np.ones(size, dtype=int)
    close = [np.array([k, k + 1]) for k in range(size - 1) if at[k + 1] - at[k] < 0.3]
    return Choices(left * weights, np.full(rows, 1.0), weights, close)


def holds(choices: Choices, chosen: np.ndarray) -> bool:
    apart = all(np.isin(clique, chosen).sum() <= 1 for clique in choices.cliques)
    met = (choices.left[:, chosen].sum(axis=1) >= choices.right - 1e-5).all()
    return apart and bool(met) and len(set(chosen.tolist())) == len(chosen)


@given(seed=st.integers(0, 10_000), pairs=st.booleans())
@settings(max_examples=25, deadline=None)
def test_what_is_found_holds_and_nothing_beats_trying_all(seed, pairs):
    choices = spots(seed, 8, 12, pairs)
    best, found = by_hand(choices), Exchange(choices).fewest(1, 18)
    if found is not None:
        assert holds(choices, found)
        assert best is not None
        assert choices.weights[found].sum() >= best


@pytest.mark.parametrize("seed", range(6))
def test_it_finds_as_few_as_the_program(seed):
    """On a floor with 60 places: as few as HiGHS proves to be the fewest."""
    choices = spots(seed, 60, 40)
    proven = fewest(choices, Limits(nodes=2000))
    found = Exchange(choices).fewest(1, 20)
    assert proven.is_proven
    assert found is not None
    assert holds(choices, found)
    assert len(found) == proven.value


def test_the_same_choices_give_the_same_answer():
    choices = spots(5, 60, 40)
    assert Exchange(choices).fewest(1, 20).tolist() == Exchange(choices).fewest(1, 20).tolist()


def test_demands_that_are_left_out_at_first_are_met_too():
    """Two hundred demands, and one more that a single place meets, but that one amply: it does not look hard."""
    choices = spots(3, 60, 200)
    alone = np.zeros((1, 60))
    alone[0, 41] = 90.0
    assert 41 not in Exchange(choices).fewest(1, 20), "the case has to say something"
    more = Choices(np.vstack([choices.left, alone]), np.append(choices.right, 1.0), choices.weights, choices.cliques)
    found = Exchange(more).fewest(1, 20)
    assert found is not None
    assert 41 in found
    assert holds(more, found)


def test_what_cannot_be_met_is_not_found():
    choices = spots(1, 9, 12)
    assert Exchange(Choices(choices.left, choices.right * 9.0, choices.weights, choices.cliques)).fewest(1, 9) is None


def test_it_stops_when_asked():
    asked = []
    choices = spots(1, 60, 40)
    assert Exchange(choices, lambda: asked.append(1) is None).fewest(1, 20) is None
    assert asked
