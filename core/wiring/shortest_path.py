"""The shortest path from a root through many boxes, solved to the end by cutting planes.

A path from node 0 with a free end is a round trip once a node is added that lies at no distance from every other and is
joined to the root. Each node has two edges; every set of nodes has to be left at least twice (Dantzig, Fulkerson and
Johnson 1954, doi:10.1287/opre.2.4.393). Broken demands are added as they turn up: first of the fractional solution, by
minimum cuts (Stoer and Wagner 1997, doi:10.1145/263867.263872), then of the whole-numbered one (HiGHS, branch and cut).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from core.quiet_solver import quiet_solver

__all__ = ["MOST_SOLVED", "shortest_path"]

MOST_SOLVED = 40
"""Boxes up to which the solution is looked for: 30 of them take a twentieth to a quarter of a second, 40 up to one."""
_MOST_ROUNDS = 120
_MOST_NODES = 4000
_HALF = 0.5
_FEASIBLE = 1e-6
_Array = NDArray[np.float64]
Edge = tuple[int, int]


def shortest_path(distances: Sequence[Sequence[float]]) -> tuple[int, ...] | None:
    """Return the nodes 1 to n in the order of the shortest path from node 0, None where the effort is spent first.

    Parameters
    ----------
    distances : (n + 1, n + 1)
        Symmetric, none below zero.
    """
    model = _Model(distances)
    for _ in range(_MOST_ROUNDS):
        chosen = model.solved()
        if chosen is None:
            return None
        broken = list(model.broken(chosen))
        if broken:
            for nodes in broken:
                model.leave_twice(nodes)
        elif model.is_whole:
            return _walked(model.edges, chosen, len(distances))
        else:
            model.make_whole()
    return None


class _Model:
    """The round trip as a linear program, later in whole numbers."""

    def __init__(self, distances: Sequence[Sequence[float]]) -> None:
        count = len(distances)
        self.count = count + 1
        self.is_whole = False
        self.edges: list[Edge] = [(a, b) for a in range(count) for b in range(a + 1, count + 1)]
        self._highs: Any = quiet_solver({"mip_abs_gap": 1e-7, "mip_max_nodes": _MOST_NODES})
        for column, (a, b) in enumerate(self.edges):
            self._highs.addVar(1.0 if (a, b) == (0, count) else 0.0, 1.0)
            self._highs.changeColCost(column, float(distances[a][b]) if b < count else 0.0)
        for node in range(self.count):
            self._row([n for n, edge in enumerate(self.edges) if node in edge], 2.0)

    def _row(self, columns: Sequence[int], most: float) -> None:
        index = np.array(columns, dtype=np.int32)
        self._highs.addRow(2.0, most, len(columns), index, np.ones(len(columns)))

    def leave_twice(self, nodes: Sequence[int]) -> None:
        """Demand that at least two edges lead out of a set of nodes."""
        inside = set(nodes)
        self._row([n for n, (a, b) in enumerate(self.edges) if (a in inside) != (b in inside)], highspy.kHighsInf)

    def make_whole(self) -> None:
        """From now on every edge is taken or left."""
        count = len(self.edges)
        kinds = np.full(count, highspy.HighsVarType.kInteger)
        self._highs.changeColsIntegrality(count, np.arange(count, dtype=np.int32), kinds)
        self.is_whole = True

    def solved(self) -> _Array | None:
        """Return how far each edge is taken; None where there is no best solution within the limits."""
        self._highs.run()
        if self._highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        return np.array(self._highs.getSolution().col_value)

    def broken(self, chosen: _Array) -> Iterator[Sequence[int]]:
        """Yield sets of nodes that are left less than twice: parts that hang together, else one minimum cut."""
        threshold = _HALF if self.is_whole else _FEASIBLE
        parts = _parts(self.count, [edge for edge, share in zip(self.edges, chosen, strict=True) if share > threshold])
        if len(parts) > 1:
            yield from parts
        elif not self.is_whole:
            cut = _least_cut(self.count, self.edges, chosen)
            if cut is not None:
                yield cut


def _parts(count: int, edges: Sequence[Edge]) -> list[list[int]]:
    """Return the nodes of each part that hangs together."""
    parent = list(range(count))

    def top(node: int) -> int:
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for a, b in edges:
        parent[top(a)] = top(b)
    found: dict[int, list[int]] = {}
    for node in range(count):
        found.setdefault(top(node), []).append(node)
    return list(found.values())


def _least_cut(count: int, edges: Sequence[Edge], chosen: _Array) -> list[int] | None:
    """Return the set of nodes that is left least, None where even that is left twice (Stoer and Wagner)."""
    weights = np.zeros((count, count))
    for (a, b), share in zip(edges, chosen, strict=True):
        weights[a, b] = weights[b, a] = share
    merged = [[node] for node in range(count)]
    active, least, found = list(range(count)), 2.0 - _FEASIBLE, None
    while len(active) > 1:
        reach = weights[active[0]][active]
        seen = np.zeros(len(active), dtype=bool)
        seen[0] = True
        before = last = 0
        cut = 0.0
        for _ in range(len(active) - 1):
            before, last = last, int(np.where(seen, -1.0, reach).argmax())
            cut = float(reach[last])
            seen[last] = True
            reach = reach + weights[active[last]][active]
        if cut < least:
            least, found = cut, list(merged[active[last]])
        kept, gone = active[before], active[last]
        merged[kept] += merged[gone]
        weights[kept] += weights[gone]
        weights[:, kept] += weights[:, gone]
        weights[kept, kept] = 0.0
        active.pop(last)
    return found


def _walked(edges: Sequence[Edge], chosen: _Array, extra: int) -> tuple[int, ...]:
    """Return the nodes from the root on, without the root and the node that was added."""
    beside: dict[int, list[int]] = {}
    for (a, b), share in zip(edges, chosen, strict=True):
        if share > _HALF:
            beside.setdefault(a, []).append(b)
            beside.setdefault(b, []).append(a)
    path: list[int] = []
    before, at = extra, 0
    while True:
        before, at = at, next(node for node in beside[at] if node != before)
        if at == extra:
            return tuple(path)
        path.append(at)
