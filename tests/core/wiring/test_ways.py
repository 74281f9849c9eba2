"""The way of a cable above the ceiling: along and across the joists, and round the corner of an L."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import lil_matrix
from scipy.sparse.csgraph import dijkstra

from core.plan import JoistZone
from core.wiring.ways import Ways
from tests.core.wiring.shops import room

PLAIN = room((0, 0), (20, 0), (20, 16), (0, 16))
ELL = room((0, 0), (20, 0), (20, 6), (8, 6), (8, 16), (0, 16))
U = room((0, 0), (20, 0), (20, 16), (14, 16), (14, 6), (6, 6), (6, 16), (0, 16))


def feet(*point):
    return tuple(value * 0.3048 for value in point)


def test_a_way_goes_along_and_across():
    assert Ways(PLAIN).length(feet(2, 3), feet(10, 9)) == pytest.approx(14 * 0.3048)
    assert len(Ways(PLAIN).path(feet(2, 3), feet(10, 9))) == 3


def test_joists_at_an_angle_make_the_way_longer():
    turned = replace(PLAIN, joists=(JoistZone("j", 45.0),))
    # 8 ft straight along x is 8 cos 45 along the joists and as much across.
    assert Ways(turned).length(feet(6, 8), feet(14, 8)) == pytest.approx(2 * 8 * 0.3048 * math.cos(math.pi / 4))


def test_a_way_stays_in_a_room_with_a_corner():
    # In a U from leg to leg: down to y = 6, across, and up again.
    assert Ways(U).length(feet(3, 14), feet(17, 13)) == pytest.approx((8 + 14 + 7) * 0.3048)
    # In an L the one bend that lies in the room is taken, whichever it is.
    path = Ways(ELL).path(feet(3, 14), feet(18, 3))
    assert path[1] == pytest.approx(feet(3, 3))
    assert Ways(ELL).length(feet(3, 14), feet(18, 3)) == pytest.approx((15 + 11) * 0.3048)


def test_joists_crossed():
    # Joists along x, 16 in apart from the origin: y = 1 ft to y = 5 ft crosses those at 16, 32, 48 in.
    ways = Ways(PLAIN)
    assert ways.joists_crossed(feet(2, 1), feet(9, 5)) == 3
    assert ways.joists_crossed(feet(2, 1), feet(9, 1)) == 0


@given(st.tuples(st.integers(1, 19), st.integers(1, 15)), st.tuples(st.integers(1, 19), st.integers(1, 15)))
def test_the_way_is_that_of_a_walk_over_a_grid(a, b):
    """Independent check in the U-shaped room: shortest walk along the lines of a 1 ft grid (scipy's Dijkstra)."""
    graph, index = GRID
    if a in index and b in index:
        steps = dijkstra(graph, indices=index[a])[index[b]]
        assert Ways(U).length(feet(*a), feet(*b)) == pytest.approx(steps * 0.3048, abs=1e-9)


def _grid():
    area = shapely.Polygon([(x / 0.3048, y / 0.3048) for x, y in U.outline]).buffer(1e-6)
    points = [(x, y) for x in range(21) for y in range(17) if area.covers(shapely.Point(x, y))]
    index = {point: n for n, point in enumerate(points)}
    graph = lil_matrix((len(points), len(points)))
    for (x, y), n in index.items():
        for other in ((x + 1, y), (x, y + 1)):
            if other in index and area.covers(shapely.LineString(((x, y), other))):
                graph[n, index[other]] = graph[index[other], n] = 1.0
    return graph.tocsr(), index


GRID = _grid()
assert np.isfinite(dijkstra(GRID[0], indices=0)).all()
