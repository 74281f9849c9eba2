"""The order of the boxes: the chain against trying every order, the tree and the bounds against an open library."""

from __future__ import annotations

from itertools import pairwise, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse.csgraph import minimum_spanning_tree

from core.wiring import orders
from core.wiring.orders import best_chain, best_tree


def table(points):
    return tuple(tuple(float(abs(a[0] - b[0]) + abs(a[1] - b[1])) for b in points) for a in points)


PLACES = st.tuples(st.integers(0, 30), st.integers(0, 30))


def shortest(d):
    nodes = range(1, len(d))
    return min(sum(d[a][b] for a, b in pairwise((0, *order))) for order in permutations(nodes))


@given(st.lists(PLACES, min_size=1, max_size=7))
@settings(max_examples=60)
def test_a_chain_is_the_shortest_of_all(points):
    d = table(points)
    order = best_chain(d)
    assert sorted(order.visits) == list(range(1, len(points)))
    assert order.length == pytest.approx(shortest(d))
    assert order.gap == 0.0


@given(st.lists(PLACES, min_size=3, max_size=7))
@settings(max_examples=60)
def test_the_bound_of_the_exchange_method_holds(points):
    d = table(points)
    assert orders._path_bound(d) <= shortest(d) + 1e-6
    found = orders._improved(d, orders._nearest_neighbour(d))
    assert orders._path_length(d, found) >= shortest(d) - 1e-9


def test_a_long_chain_is_near_its_bound():
    rng = np.random.default_rng(7)
    points = [(0, 0), *rng.integers(0, 60, (24, 2)).tolist()]
    order = best_chain(table(points))
    assert sorted(order.visits) == list(range(1, 25))
    assert order.bound <= order.length
    assert order.gap < 0.12
    crossed = best_chain(table([(0, 0), *[(x, 0) for x in range(20, 0, -1)]]))
    assert crossed.length == pytest.approx(20.0)
    assert crossed.gap == pytest.approx(0.0, abs=1e-6)


@given(st.lists(PLACES, min_size=2, max_size=12, unique=True))
@settings(max_examples=60)
def test_a_tree_is_the_minimum_spanning_tree(points):
    d = table(points)
    order = best_tree(d)
    assert order.length == pytest.approx(float(minimum_spanning_tree(np.array(d)).sum()))
    assert order.length == pytest.approx(sum(d[order.parents[k - 1]][k] for k in order.visits))
    seen = {0}
    for node in order.visits:
        assert order.parents[node - 1] in seen
        seen.add(node)


@given(st.lists(PLACES, min_size=1, max_size=7), PLACES)
@settings(max_examples=60)
def test_a_chain_never_gets_shorter_with_one_more_box(points, more):
    assert best_chain(table([*points, more])).length >= best_chain(table(points)).length - 1e-9
