"""In which order cable visits the boxes, and how far that order can be from the best one.

Daisy chain: the shortest path from the switch through all boxes. Up to `EXACT` boxes by dynamic programming over
subsets (Held and Karp 1962, doi:10.1137/0110015), up to `MOST_SOLVED` by cutting planes (`core.wiring.shortest_path`);
these are the shortest there are, and so never get shorter with one more box. Beyond, or where the effort is spent,
nearest neighbour improved by turning stretches round and moving them (2-opt, Or-opt), against a lower bound from the
minimum spanning tree with penalties on its degrees (Held and Karp 1970, doi:10.1287/opre.18.6.1138).

Junction boxes: the minimum spanning tree over the boxes (Prim 1957), with as few cables in a box as equal lengths leave
to choose. Boxes anywhere else could shorten a rectilinear tree by a third at most (Hwang 1976, doi:10.1137/0130013).
That tree does get shorter where one more fixture hangs in the middle of others, as its box is then their junction.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from core.wiring.shortest_path import MOST_SOLVED, shortest_path

__all__ = ["EXACT", "Order", "best_chain", "best_tree"]

EXACT = 9
_EVEN = 1e-9  # lengths that differ by less are equal [m]
_ROUNDS = 150
_MOST_SWEEPS = 200
_NO_GAIN = 1e-9
Distances = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Order:
    """A tree over nodes 0 (the root) to n: ``parents[k]`` is the node before node k + 1, in order of ``visits``.

    ``length`` is the sum of its steps, ``bound`` a length that no order of its kind can go below.
    """

    visits: tuple[int, ...]
    parents: tuple[int, ...]
    length: float
    bound: float

    @property
    def gap(self) -> float:
        """How much longer than the best it can be at most, as a share of the bound."""
        return 0.0 if self.length <= self.bound + 1e-9 else self.length / self.bound - 1.0


@lru_cache(maxsize=512)
def best_chain(distances: Distances, hasty: bool = False) -> Order:
    """Return the order of a daisy chain that begins at node 0 and visits every other node.

    ``hasty`` leaves the search for the shortest out where it takes more than a frame of the screen.
    """
    n = len(distances) - 1
    visits = _shortest_path(distances) if n <= EXACT else None
    if visits is None and n <= MOST_SOLVED and not hasty:
        visits = shortest_path(distances)
    if visits is not None:
        length = _path_length(distances, visits)
        return Order(visits, _chain_parents(visits), length, length)
    visits = _improved(distances, _nearest_neighbour(distances))
    return Order(visits, _chain_parents(visits), _path_length(distances, visits), _path_bound(distances))


@lru_cache(maxsize=512)
def best_tree(distances: Distances) -> Order:
    """Return the minimum spanning tree, rooted at node 0."""
    matrix = np.array(distances)
    parents, visits, length = _prim(matrix)
    return Order(visits, parents, length, length)


def _chain_parents(visits: Sequence[int]) -> tuple[int, ...]:
    before = dict(zip(visits, (0, *visits[:-1]), strict=True)) if visits else {}
    return tuple(before[node] for node in range(1, len(visits) + 1))


def _path_length(distances: Distances, visits: Sequence[int]) -> float:
    return sum(distances[a][b] for a, b in zip((0, *visits), visits, strict=False))


def _shortest_path(d: Distances) -> tuple[int, ...]:
    """Held and Karp: best[(set, last)] over the sets of visited nodes 1..n."""
    n = len(d) - 1
    if n == 0:
        return ()
    best: dict[tuple[int, int], tuple[float, int]] = {(1 << k, k): (d[0][k + 1], -1) for k in range(n)}
    for members in range(1, 1 << n):
        for last in range(n):
            if not members >> last & 1 or members == 1 << last:
                continue
            rest = members ^ (1 << last)
            best[members, last] = min((best[rest, k][0] + d[k + 1][last + 1], k) for k in range(n) if rest >> k & 1)
    members = (1 << n) - 1
    last = min(range(n), key=lambda k: best[members, k][0])
    path = []
    while last >= 0:
        path.append(last + 1)
        members, last = members ^ (1 << last), best[members, last][1]
    return tuple(reversed(path))


def _nearest_neighbour(d: Distances) -> list[int]:
    left, path, at = set(range(1, len(d))), [], 0
    while left:
        at = min(left, key=lambda node: (d[at][node], node))
        left.remove(at)
        path.append(at)
    return path


def _improved(d: Distances, path: list[int]) -> tuple[int, ...]:
    """Turn stretches round and move short ones elsewhere while that shortens the path."""
    for _ in range(_MOST_SWEEPS):
        turned = _turned(d, path)
        moved = _moved(d, path)
        if not turned and not moved:
            break
    return tuple(path)


def _turned(d: Distances, path: list[int]) -> bool:
    """Turn round each stretch where that gains (2-opt), in place; tell whether any did."""
    n, gained = len(path), False
    for i in range(n - 1):
        before = path[i - 1] if i else 0
        for j in range(i + 1, n):
            first, last = path[i], path[j]
            gain = d[before][first] - d[before][last]
            if j + 1 < n:
                gain += d[last][path[j + 1]] - d[first][path[j + 1]]
            if gain > _NO_GAIN:
                path[i : j + 1] = path[i : j + 1][::-1]
                gained = True
    return gained


def _moved(d: Distances, path: list[int]) -> bool:
    """Move each stretch of up to three nodes to where it gains most (Or-opt), in place; tell whether any did."""
    gained = False
    for size in (1, 2, 3):
        for i in range(len(path) - size + 1):
            piece, rest = path[i : i + size], path[:i] + path[i + size :]
            if not rest:
                continue
            before = path[i - 1] if i else 0
            after = path[i + size] if i + size < len(path) else None
            saved = d[before][piece[0]]
            if after is not None:
                saved += d[piece[-1]][after] - d[before][after]
            cost, place, is_turned = min(_insertions(d, rest, piece[0], piece[-1]))
            if saved - cost > _NO_GAIN:
                path[:] = [*rest[:place], *(piece[::-1] if is_turned else piece), *rest[place:]]
                gained = True
    return gained


def _insertions(d: Distances, rest: Sequence[int], first: int, last: int) -> Iterator[tuple[float, int, bool]]:
    """Yield what it costs to put a stretch at each place, either way round."""
    for place in range(len(rest) + 1):
        before = rest[place - 1] if place else 0
        for is_turned, (head, tail) in enumerate(((first, last), (last, first))):
            cost = d[before][head]
            if place < len(rest):
                cost += d[tail][rest[place]] - d[before][rest[place]]
            yield cost, place, bool(is_turned)


def _prim(matrix: NDArray[np.float64]) -> tuple[tuple[int, ...], tuple[int, ...], float]:
    """Return parents, order of visits and length; of equal steps that from the node with the fewest so far is taken."""
    n = len(matrix)
    near, parent = matrix[0].copy(), np.zeros(n, dtype=int)
    out, steps = np.ones(n, dtype=bool), np.zeros(n, dtype=int)
    out[0] = False
    visits, length = [], 0.0
    for _ in range(n - 1):
        node = int(np.where(out, near, np.inf).argmin())
        length += float(near[node])
        out[node] = False
        alike = np.flatnonzero(~out & (np.arange(n) != node) & (matrix[node] <= near[node] + _EVEN))
        parent[node] = alike[steps[alike].argmin()]
        steps[[node, parent[node]]] += 1
        visits.append(node)
        closer = out & (matrix[node] < near)
        near[closer] = matrix[node][closer]
    return tuple(int(p) for p in parent[1:]), tuple(visits), length


def _path_bound(distances: Distances) -> float:
    """Return a lower bound of every path from node 0: spanning trees with a price on each node's degree."""
    matrix = np.array(distances)
    n = len(matrix)
    price, best, step = np.zeros(n), 0.0, float(matrix.mean()) / 4
    for _ in range(_ROUNDS):
        parents, _, length = _prim(matrix + price[:, None] + price[None, :])
        # A path has degree 1 at its root and its end, 2 elsewhere; the cheapest end keeps this a lower bound.
        best = max(best, length - float(price[0] + 2 * price[1:].sum() - price[1:].min()))
        degree = np.bincount(parents, minlength=n).astype(float)
        degree[1:] += 1.0
        wanted = np.full(n, 2.0)
        wanted[0] = 1.0
        price += step * (degree - wanted)
        step *= 0.97
    return best
