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
from core.wiring.shortest_path import MOST_SOLVED, shortest_path


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


@given(st.lists(PLACES, min_size=11, max_size=14))
@settings(max_examples=15, deadline=None)
def test_two_ways_to_solve_it_agree(points):
    """Cutting planes against dynamic programming, which have nothing in common."""
    d = table(points)
    by_cuts, by_subsets = shortest_path(d), orders._shortest_path(table(points[:10]))
    assert sorted(by_cuts) == list(range(1, len(points)))
    assert orders._path_length(d, by_cuts) >= orders._path_bound(d) - 1e-6
    few = table(points[:10])
    solved = orders._path_length(few, shortest_path(few))
    assert solved == pytest.approx(orders._path_length(few, by_subsets))


def test_a_long_chain_is_the_shortest_and_the_hasty_one_near_its_bound():
    rng = np.random.default_rng(7)
    d = table([(0, 0), *rng.integers(0, 60, (24, 2)).tolist()])
    order, hasty = best_chain(d), best_chain(d, hasty=True)
    assert sorted(order.visits) == list(range(1, 25))
    assert order.gap == 0.0
    assert hasty.bound <= order.length <= hasty.length
    assert hasty.gap < 0.12
    crossed = best_chain(table([(0, 0), *[(x, 0) for x in range(20, 0, -1)]]))
    assert crossed.length == pytest.approx(20.0)


def test_more_boxes_than_can_be_solved_are_told_with_their_gap():
    rng = np.random.default_rng(5)
    order = best_chain(table([(0, 0), *rng.integers(0, 60, (MOST_SOLVED + 4, 2)).tolist()]))
    assert 0.0 < order.gap < 0.15


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


@given(st.lists(PLACES, min_size=1, max_size=16), PLACES)
@settings(max_examples=60, deadline=None)
def test_a_chain_never_gets_shorter_with_one_more_box(points, more):
    assert best_chain(table([*points, more])).length >= best_chain(table(points)).length - 1e-6


def test_a_tree_gets_shorter_with_a_box_in_the_middle():
    """Four boxes at the ends of a cross with arms of 6: three steps of 12; with one in the middle four of 6."""
    ends = [(12, 6), (6, 12), (0, 6), (6, 0)]
    assert best_tree(table(ends)).length == 36.0
    assert best_tree(table([*ends, (6, 6)])).length == 24.0


def test_equal_steps_put_few_cables_into_one_box():
    # Around (6, 6) lie four boxes at a distance of 6 along the axes and four more at 3 + 3, as far from these.
    around = [(12, 6), (6, 12), (0, 6), (6, 0), (9, 9), (3, 9), (3, 3), (9, 3)]
    order = best_tree(table([(6, 6), *around]))
    assert order.length == 48.0
    cables = [order.parents.count(node) + (node > 0) for node in range(9)]
    assert max(cables) <= 4
